/* SPDX-License-Identifier: MIT
 * Fields and choices: what a person fills in, with its label, its hint and what is wrong with it. */

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

/* Radio or tick boxes as big targets: {legend, name, type: "radio|checkbox", choices: [{value, text, hint?}],
 * picked: [values], row: bool, tight: bool (short words), onchange(values)}. The returned fieldset has .values(). */
export function choices(options) {
    const box = el(
        "fieldset",
        {
            class:
                "choices" +
                (options.row ? " choices-row" : "") +
                (options.tight ? " choices-tight" : "")
        },
        options.legend ? el("legend", null, options.legend) : null,
        options.hint ? el("span", { class: "hint" }, options.hint) : null
    );
    const name = options.name || freshId("choice");
    box.values = () =>
        Array.from(box.querySelectorAll("input:checked")).map((input) => input.value);
    for (const choice of options.choices) {
        const input = el("input", {
            type: options.type || "radio",
            name,
            value: choice.value,
            checked: (options.picked || []).indexOf(choice.value) >= 0,
            onchange: () => options.onchange && options.onchange(box.values())
        });
        box.appendChild(
            el(
                "label",
                { class: "choice" },
                input,
                el(
                    "span",
                    null,
                    choice.text,
                    choice.hint ? el("span", { class: "hint" }, choice.hint) : null
                )
            )
        );
    }
    return box;
}
