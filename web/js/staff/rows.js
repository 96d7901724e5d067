/* SPDX-License-Identifier: MIT
 * A short list that is typed row by row: zones, teaching points, kit. Rows left blank do not count. */

import { el, freshId } from "../dom.js";
import { InputError } from "./words.js";

/* {legend, items, max, blank, fields: [{key, label, max?, number?, optional?}]} -> fieldset with .read() */
export function rows(o) {
    const list = el("ol", { class: "rows" });
    const box = el("fieldset", { class: "rows-box" }, el("legend", null, o.legend), list);
    const made = [];
    const more = el("button", { type: "button", class: "button-plain", onclick: () => add(o.blank, true) }, "Add a line");
    const tidy = () => {
        more.hidden = made.length >= o.max;
    };
    function add(item, focus) {
        const inputs = o.fields.map((f) => {
            const id = freshId("row");
            const value = item[f.key];
            const input = el("input", { id, type: "text", inputmode: f.number ? "numeric" : null, maxlength: f.max ? String(f.max) : "8", class: f.number ? "short" : null, autocomplete: "off",
                value: value === null || value === undefined ? "" : String(value) });
            return { f, input, node: el("div", { class: "row-field" + (f.number ? " row-short" : "") + (f.long ? " row-long" : "") }, el("label", { for: id, class: "small" }, f.label), input) };
        });
        const row = { item, inputs };
        const line = el("li", { class: o.fields.length === 1 ? "row-one" : null }, inputs.map((i) => i.node), el("button", { type: "button", class: "button-plain", "aria-label": "Take this line away", onclick: () => {
            made.splice(made.indexOf(row), 1);
            line.remove();
            tidy();
            more.focus();
        } }, "Remove"));
        made.push(row);
        list.appendChild(line);
        tidy();
        if (focus) {
            inputs[0].input.focus();
        }
    }
    o.items.forEach((item) => add(item, false));
    box.appendChild(more);
    tidy();
    box.read = () => made.filter((row) => row.inputs[0].input.value.trim() !== "").map((row) => {
        const out = {};
        row.inputs.forEach(({ f, input }) => {
            const typed = input.value.trim();
            if (f.number) {
                if (typed !== "" && !/^\d{1,6}$/.test(typed)) {
                    input.setAttribute("aria-invalid", "true");
                    input.focus();
                    throw new InputError(f.label + " is not a whole number.");
                }
                input.removeAttribute("aria-invalid");
                out[f.key] = typed === "" ? (f.optional ? null : 0) : Number(typed);
            } else {
                out[f.key] = typed;
            }
        });
        ["x1_mm", "x2_mm", "y1_mm", "y2_mm"].forEach((key) => {
            if (row.item[key] !== undefined && row.item[key] !== null) {
                out[key] = row.item[key];
            }
        });
        return out;
    });
    return box;
}
