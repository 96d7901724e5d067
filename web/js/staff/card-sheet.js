/* SPDX-License-Identifier: MIT
 * Cards as a printable sheet: cut lines, picture, QR code, code, name. They exist in this page only;
 * once it is left, they cannot be shown again. */

import { el, fill, svg, banner } from "../dom.js";
import { picture, pictureName } from "../pictures.js";

function qr(card) {
    const size = card.qr.size;
    return svg("svg", { viewBox: "-4 -4 " + (size + 8) + " " + (size + 8), class: "qr", role: "img", "aria-label": "QR code of this card" },
        svg("rect", { x: -4, y: -4, width: size + 8, height: size + 8, fill: "#fff" }), svg("path", { d: card.qr.path, fill: "#000" }));
}

export function cardSlip(card) {
    const forPupil = card.for === "pupil";
    return el("li", { class: "slip" },
        el("div", null, el("strong", { class: "slip-name" }, card.pupil.display_name), el("br"),
            el("span", null, card.pupil.class || ""), el("br"),
            el("span", { class: "small" }, forPupil ? "My card" : "Family card", card.label ? " · " + card.label.replace("_", " ") : ""),
            forPupil ? el("div", { class: "slip-picture" }, picture(card.picture), el("span", { class: "small" }, pictureName(card.picture))) : null),
        qr(card), el("span", { class: "code" }, card.code),
        el("span", { class: "small slip-where" }, (forPupil ? "Scan, or type the code at " : "Scan, or type this at ") + card.url.split("#")[0]));
}

/* The same card twice, one behind the other, so that both halves of a cut go to one child. */
function slipsOf(cards, two) {
    return cards.map((card) => (two ? [cardSlip(card), cardSlip(card)] : cardSlip(card)));
}

export function cardSheet(cards) {
    if (!cards.length) {
        return banner("", el("p", null, "Everyone has a card already. Make another one on the pupil's page, or replace all."));
    }
    const slips = el("ul", { class: "slips" }, slipsOf(cards, false));
    const two = el("label", { class: "choice" }, el("input", { type: "checkbox", onchange: (event) => fill(slips, slipsOf(cards, event.target.checked)) }),
        el("span", null, "Print two of each", el("span", { class: "hint" }, "the same card: one for the bag, one for the wall. Cancelling it cancels both.")));
    return el("div", null, el("div", { class: "no-print" }, banner("careful", el("p", null, "These cards are shown once. Print them now; afterwards they can only be replaced."))),
        el("div", { class: "no-print" }, two),
        el("div", { class: "buttons no-print" }, el("button", { type: "button", class: "button", onclick: () => window.print() }, "Print")),
        slips);
}
