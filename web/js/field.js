/* SPDX-License-Identifier: MIT
 * What an adult types into, with its label, its hint and what is wrong with it. */

import { el, freshId } from "./dom.js";

/* A labelled field: {label, name, hint, type, value, tag: "input|select|textarea", ...attributes}.
 * The returned element has .control (the input) and .wrong(text) (says or clears what to mend). */
export function field(options) {
    const { label, hint, tag, choices, ...attributes } = options;
    const id = attributes.id || freshId("field");
    const wrong = el("span", { class: "wrong", id: id + "-wrong" });
    const described = (hint ? id + "-hint " : "") + id + "-wrong";
    const options_of = (choices || []).map((c) =>
        el("option", { value: c.value, selected: c.value === attributes.value }, c.text)
    );
    const control = el(
        tag || (choices ? "select" : "input"),
        { ...attributes, id, "aria-describedby": described },
        options_of
    );
    const box = el(
        "div",
        { class: "field" },
        el("label", { for: id }, label),
        hint ? el("span", { class: "hint", id: id + "-hint" }, hint) : null,
        control,
        wrong
    );
    box.control = control;
    box.wrong = (text) => {
        wrong.textContent = text || "";
        if (text) {
            control.setAttribute("aria-invalid", "true");
        } else {
            control.removeAttribute("aria-invalid");
        }
    };
    return box;
}
