/* SPDX-License-Identifier: MIT
 * Cards for a whole class: made here, shown once, printed. */

import { get, post } from "../api.js";
import { el, fill, banner, choices } from "../dom.js";
import { start, titled, has, rightOn, action, classById } from "./shell.js";
import { cardSheet } from "./card-sheet.js";
import { openSignIn } from "./sign-in-window.js";
import { count, CARD_KINDS } from "./words.js";

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

const kinds = (labels) => labels.map((l) => CARD_KINDS[l]).join(", ");

/* What was left alone stands beside what was made. */
function keptBox(kept) {
    return kept.length ? el("div", { class: "no-print" }, banner("", el("p", null, "Kept, and still working: ",
        kept.map((k) => k.pupil.display_name + " (" + kinds(k.labels) + ")").join(", "), "."))) : null;
}

/* Before cards end that lie somewhere else: whose they are, and what is to become of them. */
function askBox(more, family, make, close) {
    const keep = "The card named first is reissued; the others go on working. Choose this unless they are lost too.";
    const all = family ? "Each of these cards ends, and a new one is printed for it. Whoever holds the old one sees nothing until the new one is there."
        : "Each of these cards ends, and a new one of its kind is printed. The old one in another home opens nothing from now on: see that the new one gets there.";
    return banner("careful", el("h2", { tabindex: "-1" }, count(more.length, "child has", "children have") + " more than one card"),
        el("ul", null, more.map((k) => el("li", null, el("strong", null, k.pupil.display_name), ": " + kinds(k.labels)))),
        el("div", { class: "buttons" }, action("Keep the others", () => make("keep"))), el("p", { class: "small" }, keep),
        el("div", { class: "buttons" }, action("Reissue every one", () => make("remake"), { class: "button-careful" })), el("p", { class: "small" }, all),
        el("div", { class: "buttons" }, el("button", { type: "button", class: "button-second", onclick: close }, "Make none")));
}

start(async ({ session, params, body }) => {
    const id = params.get("class") || "";
    const path = "/classes/" + encodeURIComponent(id);
    const [klass, list] = await Promise.all([classById(id), get(path + "/pupils")]);
    const pupils = list.pupils.filter((p) => !p.left);
    const without = pupils.filter((p) => !p.cards.pupil).length;
    titled(klass.class.name, "Cards");
    const made = el("div"), asks = el("div", { class: "no-print" });
    const office = has(session, "office");
    const close = () => fill(asks);
    const holder = choices({ legend: "For", name: "holder", row: true, picked: ["pupil"], onchange: close,
        choices: [{ value: "pupil", text: "the pupils" }].concat(office ? [{ value: "family", text: "their families", hint: "after the school's own identity check; family cards end on 31 August" }] : []) });
    const which = choices({ legend: "Which", name: "which", picked: ["missing"], onchange: close,
        choices: [{ value: "missing", text: "those who have none" }, { value: "all", text: "everyone, and cancel the old ones", hint: "for a lost set; a child with more than one card is named first" }] });
    const order = async (wish) => {
        const answer = await post(path + "/cards", { holder: holder.values()[0], ...wish });
        close();
        fill(made, heldBack(answer.held_back), keptBox(answer.kept), nextStep(id), cardSheet(answer.cards));
        made.scrollIntoView({ block: "start" });
    };
    const make = async () => {
        close();
        if (which.values()[0] === "missing") {
            await order({});
            return;
        }
        const { live } = await get(path + "/cards");
        const more = live.filter((k) => k.for === holder.values()[0] && k.labels.length > 1);
        if (!more.length) {
            await order({ replace: true });
            return;
        }
        fill(asks, askBox(more, holder.values()[0] === "family", (others) => order({ replace: true, others }), close));
        asks.querySelector("h2").focus();
    };
    fill(body, pupils.length
        ? el("div", { class: "no-print cards-ask" },
            el("p", null, count(pupils.length, "pupil", "pupils") + (without ? ", " + without + " without a card." : ", and each has a card.")),
            el("p", { class: "quiet" }, "A card opens one child's own page. Treat it as you would a house key: it goes home in the school bag. A lost card is cancelled on the pupil's page."),
            holder, which, el("div", { class: "buttons" }, action("Make cards", make), el("a", { class: "button-second", href: "/staff/class?id=" + id }, "Back to the class")))
        : el("p", null, "No pupil yet. ", el("a", { href: "/staff/list?class=" + id }, "Bring in the class list first.")),
        asks, made, pupils.length && rightOn(session, id) === "teach" ? stopped(id) : null);
});
