/* SPDX-License-Identifier: MIT
 * The board: "19 of 27" for the whiteboard. No names, no reasons, no sign of a message. */

import { get } from "../api.js";
import { el, fill, svg } from "../dom.js";
import { start, titled } from "./shell.js";
import { dayWords } from "./words.js";

function bar(done, of) {
    const share = of ? done / of : 0;
    const chart = svg("svg", { class: "board-bar", viewBox: "0 0 300 26", role: "img", "aria-label": done + " of " + of },
        svg("line", { x1: 4, y1: 20, x2: 296, y2: 20, class: "board-line" }),
        done ? svg("line", { x1: 4, y1: 13, x2: 4 + 292 * share, y2: 13, class: "board-done" }) : null);
    return chart;
}

function tile(c) {
    return el("li", null, el("div", { class: "tile board-tile" },
        el("span", { class: "tile-name" }, c.number + " · " + c.name),
        el("span", { class: "big-number" }, c.done + " of " + c.of),
        bar(c.done, c.of),
        el("span", { class: "tile-note" }, "due " + dayWords(c.due_at))));
}

start(async ({ params, body }) => {
    const id = params.get("id") || "";
    let etag = null;
    const look = async () => {
        const board = await get("/classes/" + encodeURIComponent(id) + "/board", { etag, onetag: (tag) => { etag = tag; } });
        if (!board) {
            return;
        }
        titled(board.class.name, "Tries sent in");
        fill(body, board.challenges.length ? el("ul", { class: "tiles board" }, board.challenges.map(tile)) : el("p", { class: "lead" }, "Nothing is set for this class now."),
            el("p", { class: "no-print" }, el("a", { href: "/staff/class?id=" + id }, "Back to who's done it")));
    };
    await look();
    window.setInterval(() => document.visibilityState === "visible" && look().catch(() => null), 5000);
});
