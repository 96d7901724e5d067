/* SPDX-License-Identifier: MIT
 * Cards for a whole class: made here, shown once, printed. */

import { get, post } from "../api.js";
import { el, fill, banner, choices } from "../dom.js";
import { start, titled, has, rightOn, action, classById } from "./shell.js";
import { cardSheet } from "./card-sheet.js";
import { openSignIn } from "./sign-in-window.js";
import { count } from "./words.js";

/* By the school's own rules, kept by the office: no reason is known here. */
function heldBack(pupils) {
    return pupils.length ? el("div", { class: "no-print" }, banner("careful", el("p", null, "Held back: ", pupils.map((p) => p.display_name).join(", "),
        ". The office has said how these families see the page. Their cards are made one by one on the pupil's page, and do not go home with the class."))) : null;
}

function nextStep(id) {
    return el("p", { class: "no-print link" }, el("a", { href: "/staff/set?class=" + id }, "Next: set an activity"));
}

/* Guessing from outside has stopped typed cards: only those who teach the class can let it in. */
function stopped(id) {
    return el("section", { class: "no-print cards-ask" }, el("h2", null, "When a card is not let in"),
        el("p", null, "Somewhere too many wrong codes were typed, and a child reads \u201cAsk your teacher to open sign-in for the class\u201d. Open it when you know who is asking: ",
            "for 20 minutes the typed cards of this class are let in. QR codes always are."),
        el("div", { class: "buttons" }, openSignIn(id)));
}

start(async ({ session, params, body }) => {
    const id = params.get("class") || "";
    const [klass, list] = await Promise.all([classById(id), get("/classes/" + encodeURIComponent(id) + "/pupils")]);
    const pupils = list.pupils.filter((p) => !p.left);
    const without = pupils.filter((p) => !p.cards.pupil).length;
    titled(klass.class.name, "Cards");
    const made = el("div");
    const office = has(session, "office");
    const holder = choices({ legend: "For", name: "holder", row: true, picked: ["pupil"],
        choices: [{ value: "pupil", text: "the pupils" }].concat(office ? [{ value: "family", text: "their families", hint: "after the school's own identity check; family cards end on 31 August" }] : []) });
    const which = choices({ legend: "Which", name: "which", picked: ["missing"],
        choices: [{ value: "missing", text: "those who have none" }, { value: "all", text: "everyone, and cancel the old ones", hint: "for a lost set" }] });
    const make = async () => {
        const answer = await post("/classes/" + encodeURIComponent(id) + "/cards", { holder: holder.values()[0], replace: which.values()[0] === "all" });
        fill(made, heldBack(answer.held_back), nextStep(id), cardSheet(answer.cards));
    };
    fill(body, pupils.length
        ? el("div", { class: "no-print cards-ask" },
            el("p", null, count(pupils.length, "pupil", "pupils") + (without ? ", " + without + " without a card." : ", and each has a card.")),
            el("p", { class: "quiet" }, "A card opens one child's own page. Treat it as you would a house key: it goes home in the school bag. A lost card is cancelled on the pupil's page."),
            holder, which, el("div", { class: "buttons" }, action("Make cards", make), el("a", { class: "button-second", href: "/staff/class?id=" + id }, "Back to the class")))
        : el("p", null, "No pupil yet. ", el("a", { href: "/staff/list?class=" + id }, "Bring in the class list first.")),
        made, pupils.length && rightOn(session, id) === "teach" ? stopped(id) : null);
});
