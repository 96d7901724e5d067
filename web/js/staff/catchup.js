/* SPDX-License-Identifier: MIT
 * A catch-up from those who have not sent: who comes, as a list to print or a group. Reasons are not shown,
 * and nothing here says that a child should have sent. */

import { get, post } from "../api.js";
import { el, fill, choices } from "../dom.js";
import { field } from "../field.js";
import { start, titled, rightOn, action, form } from "./shell.js";
import { count, dayWords, InputError } from "./words.js";
import { deviceDay } from "../words.js";

start(async ({ session, params, body }) => {
    const classId = params.get("class") || "";
    const grid = await get("/classes/" + encodeURIComponent(classId) + "/grid?all=1");
    const at = params.get("id") ? grid.challenges.findIndex((c) => c.id === params.get("id") && !c.cancelled) : 0;
    const challenge = grid.challenges[at];
    titled(grid.class.name, "Catch up" + (challenge ? " · " + challenge.name : ""));
    if (!challenge) {
        fill(body, el("p", null, "That is not set for this class now."));
        return;
    }
    const away = grid.pupils.filter((p) => p.cells[at].state === "not_yet" || p.cells[at].state === "could_not");
    if (!away.length) {
        fill(body, el("p", null, "Everybody has sent something. There is nobody to catch up with."), el("p", null, el("a", { href: "/staff/class?id=" + classId }, "Who's done it")));
        return;
    }
    const who = choices({ legend: "Who comes", name: "who", type: "checkbox", row: true, picked: away.map((p) => p.id), choices: away.map((p) => ({ value: p.id, text: p.display_name })) });
    const teach = rightOn(session, classId) === "teach";
    const name = field({ label: "Name of the group", name: "name", type: "text", maxlength: "40", value: ("Catch-up " + dayWords(deviceDay(), "short")).slice(0, 40) });
    const made = el("div", { role: "status" });
    const group = form({ class: "panel no-print" }, async () => {
        const picked = who.values();
        if (!picked.length) {
            throw new InputError("Tick at least one child.");
        }
        const { class: klass } = await post("/classes", { name: name.control.value, kind: "group" });
        for (const pupil of picked) {
            await post("/classes/" + klass.id + "/pupils", { pupil });
        }
        fill(made, el("p", null, klass.name + " has " + count(picked.length, "child", "children") + ". ", el("a", { href: "/staff/list?class=" + klass.id }, "Look at the group"),
            " · ", el("a", { href: "/staff/set?class=" + klass.id }, "Set something for it")));
    }, el("h2", null, "Make a group of them"), name, el("div", { class: "buttons" }, el("button", { class: "button" }, "Make the group")), made);
    fill(body, el("p", null, count(away.length, "child has", "children have") + " not sent “" + challenge.name + "” yet. That lowers nothing; a home may have had no room, no kit or no time."),
        who, el("div", { class: "buttons no-print" }, action("Print the list", () => {
            const picked = who.values();
            who.querySelectorAll("label").forEach((l) => l.classList.toggle("no-print", picked.indexOf(l.querySelector("input").value) < 0));
            window.print();
        }, { class: "button-second" }),
        el("a", { class: "button-second", href: "/staff/hall?id=" + challenge.id + "&class=" + classId }, "In the hall"),
        el("a", { class: "button-second", href: "/staff/paper?id=" + challenge.id + "&class=" + classId }, "A pile of sheets")),
        teach ? group : null, el("p", { class: "no-print" }, el("a", { href: "/staff/class?id=" + classId }, "Who's done it")));
});
