/* SPDX-License-Identifier: MIT
 * "What the tries point to": the suggestion with how sure it is and why, the same on every page.
 * It is not an assessment, and the heading of its column says so. */

import { el } from "../dom.js";
import { SURE } from "./words.js";

/* Instead of a suggestion, for whoever still owes a second view of the child. */
export function owesView() {
    return el("p", { class: "small" }, "Kept from you until you have ", el("a", { href: "/staff/second" }, "given your second view"), ".");
}

export function suggestionBox(s) {
    const head = s.word ? el("p", { class: "suggestion-word" }, el("strong", null, s.word), " ",
        s.label ? el("span", { class: "sure sure-" + s.label }, SURE[s.label]) : null)
        : s.label === "not_enough" ? el("p", null, el("span", { class: "sure sure-not_enough" }, SURE.not_enough)) : null;
    return el("div", { class: "suggestion" }, head, el("p", { class: "small" }, s.sentence),
        s.reasons.length ? el("details", null, el("summary", null, "Why"), el("ul", { class: "small" }, s.reasons.map((r) => el("li", null, r)))) : null);
}
