/* SPDX-License-Identifier: MIT
 * Children's messages. Nothing is written here but who has read it and where it went: the school's
 * own record is elsewhere. */

import { get, post } from "../api.js";
import { el, fill, banner } from "../dom.js";
import { start, titled, action } from "./shell.js";
import { ABOUT, PARTS, OUTCOMES, dayWords } from "./words.js";

function what(m) {
    const parts = [ABOUT[m.about]];
    if (m.where) {
        parts.push(PARTS[m.where]);
    }
    if (m.still !== null) {
        parts.push(m.still ? "still hurts" : "has stopped");
    }
    return parts.join(", ");
}

function box(m, redraw) {
    const done = m.acknowledged;
    return el("article", { class: "panel" + (done ? "" : " panel-coral") },
        el("h3", null, m.pupil.display_name + (m.class ? " · " + m.class.name : "")),
        el("p", null, what(m)), el("p", { class: "small quiet" }, dayWords(m.raised_on) + ", " + m.part_of_day, m.overdue && !done ? el("strong", { class: "late" }, " · not read for more than a school day") : null),
        done ? el("p", { class: "small" }, OUTCOMES[done.outcome] + ": " + done.by + ", " + dayWords(done.on))
            : el("div", { class: "buttons" }, Object.keys(OUTCOMES).map((k, i) => action("I have " + OUTCOMES[k].replace("read", "read it").replace("recorded", "recorded it").replace("passed", "passed it"), async () => {
                await post("/messages/" + m.id + "/acknowledgement", { outcome: k });
                await redraw();
            }, { class: i ? "button-second" : "button" }))));
}

/* What is closed here, so that an empty list is not taken for "nobody wrote". */
function limitsBox(limits) {
    const of = (l) => (l.class ? l.class.name : "all classes");
    const words = (l) => (l.since ? "Messages of " + of(l) + " from before " + dayWords(l.since) + " are closed to you."
        : "Messages of " + of(l) + " are closed to you until a second person agrees that you may read them.");
    return limits.length ? banner("careful", el("ul", null, limits.map((l) => el("li", null, words(l)))),
        el("p", { class: "small" }, "Somebody with office or safeguarding can ask for it, and a second of them accepts.")) : null;
}

start(async ({ body }) => {
    titled("Messages from children");
    const redraw = async () => {
        const { messages, limits } = await get("/messages");
        const waiting = messages.filter((m) => !m.acknowledged);
        const read = messages.filter((m) => m.acknowledged);
        fill(body, banner("careful", el("p", null, "Follow your school's child protection policy and speak to the designated safeguarding lead. Do not investigate here. If a child may be in immediate danger call 999."),
            el("p", null, "Nobody is alerted outside this page. Look each school day. Looking is written to the audit.")),
        limitsBox(limits), el("h2", null, "Waiting"), waiting.length ? waiting.map((m) => box(m, redraw)) : el("p", null, limits.length ? "No message that is open to you waits." : "No message waits."),
        read.length ? [el("h2", null, "Read"), read.map((m) => box(m, redraw))] : null);
    };
    await redraw();
});
