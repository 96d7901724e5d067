/* SPDX-License-Identifier: MIT
 * The school's activities, by strand. */

import { get, del } from "../api.js";
import { el, fill } from "../dom.js";
import { start, titled, has, action } from "./shell.js";
import { KINDS, STRANDS, VERSIONS, count, notYours } from "./words.js";

function card(a, mayMake, redraw) {
    return el("article", { class: "panel", "aria-labelledby": "a" + a.id },
        el("h3", { id: "a" + a.id }, el("a", { href: "/staff/activity?id=" + a.id }, a.name)),
        el("p", null, a.summary),
        el("p", { class: "small quiet" }, KINDS[a.kind] + " · " + count(a.attempts, "try", "tries") + " · versions: " + a.versions.map((v) => VERSIONS[v.kind]).join(", ") +
            " · set " + count(a.used, "time", "times")),
        mayMake ? el("div", { class: "buttons" }, el("a", { class: "button", href: "/staff/set?activity=" + a.id }, "Set it"),
            el("a", { class: "button-second", href: "/staff/activity?copy=" + a.id }, "Make a copy"),
            a.own ? action("Archive", async () => { await del("/activities/" + a.id); await redraw(); }, { class: "button-plain" }) : null) : null,
        mayMake && !a.own ? el("p", { class: "small quiet" }, notYours(a)) : null);
}

start(async ({ session, body }) => {
    titled("Activities");
    const mayMake = has(session, "pe_lead") || session.classes.some((c) => c.right === "teach");
    const redraw = async () => {
        const { activities } = await get("/activities");
        const live = activities.filter((a) => !a.archived);
        fill(body, mayMake ? el("p", null, el("a", { class: "button", href: "/staff/activity" }, "A new activity"), " ", el("a", { class: "button-second", href: "/staff/library" }, "Choose from the library"), " ", el("a", { class: "button-second", href: "/staff/units" }, "Units and lessons")) : null,
            live.length ? Object.keys(STRANDS).filter((s) => live.some((a) => a.strand === s)).map((s) => [el("h2", null, STRANDS[s].charAt(0).toUpperCase() + STRANDS[s].slice(1)),
                live.filter((a) => a.strand === s).map((a) => card(a, mayMake, redraw))]) : el("p", null, "No activity yet."));
    };
    await redraw();
});
