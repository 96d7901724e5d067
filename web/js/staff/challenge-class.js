/* SPDX-License-Identifier: MIT
 * Above the children of a challenge: what is to check, with what can be done about it, and each class
 * in one sentence. Numbers there belong to nobody, and are read as those of the class alone. */

import { el } from "../dom.js";
import { count, TO_CHECK } from "./words.js";
import { shortValue } from "../words.js";
import { checkButtons } from "./challenge-row.js";

const STATISTIC = { middle: "the middle of the tries", best: "the best of the tries", mean: "the average of the tries" };

function tried(data, entry) {
    const row = data.rows.find((r) => r.pupil.id === entry.pupil.id);
    const handIn = row && row.hand_ins.find((h) => h.id === entry.hand_in);
    return handIn ? handIn.attempts.map((a) => shortValue(a.value, data.activity.unit)).join(", ") : "";
}

/* What counts for nothing until somebody has looked; and what counts already, but is worth a look. */
export function toCheck(data, mayMark, redraw) {
    return [listed(data, "to_check", "To check", mayMark, redraw), listed(data, "noted", "Counts already: worth a look", mayMark, redraw)];
}

function listed(data, which, title, mayMark, redraw) {
    if (!data[which].length) {
        return null;
    }
    return el("section", { class: "panel to-check" + (which === "to_check" ? " panel-sun" : ""), "aria-labelledby": which },
        el("h2", { id: which }, title),
        el("ul", null, data[which].map((c) => el("li", null,
            el("p", null, el("a", { href: "#pupil-" + c.pupil.id }, c.pupil.display_name), " (" + tried(data, c) + ") " + TO_CHECK[c.why] + "."),
            mayMark ? checkButtons(c.hand_in, c.pupil.display_name, redraw) : null))));
}

function five(f, unit) {
    const v = (x) => shortValue(Math.round(x * 10) / 10, unit);
    return el("p", null, "Of " + f.n + " children, " + STATISTIC[f.statistic] + ": lowest " + v(f.min) + " · a quarter below " + v(f.q1) + " · half below " + v(f.median) +
        " · three quarters below " + v(f.q3) + " · highest " + v(f.max) + " · average " + v(f.mean) + ". They belong to the class, not to a child.");
}

function hundredths(x) {
    return (Math.round(x * 100) / 100).toFixed(2);
}

function figures(f, unit) {
    const error = f.typical_error === null ? "not known" : f.typical_error_unit === "share" ? Math.round(f.typical_error * 100) + " %" : shortValue(Math.round(f.typical_error * 10) / 10, unit);
    const parts = [["Judged on", (f.judged === "same_day" ? "tries of one day, " : "two hand-ins, ") + count(f.pupils, "child", "children")], ["Typical error", error]];
    if (f.icc_one !== null) {
        parts.push(f.judged === "same_day" ? ["ICC of one try", hundredths(f.icc_one)] : ["ICC of one hand-in", hundredths(f.icc_one) + " (95 %: " + hundredths(f.lower) + " to " + hundredths(f.upper) + ")"]);
        parts.push(f.judged === "same_day" ? ["ICC of the tries together", hundredths(f.icc_together) + " (95 %: " + hundredths(f.lower) + " to " + hundredths(f.upper) + ")"] : ["ICC of two hand-ins together", hundredths(f.icc_together)]);
    }
    if (f.band_widths !== null) {
        parts.push(["Typical error in widths of a band", hundredths(f.band_widths)]);
    }
    if (f.how_sure !== null) {
        parts.push(["Mean of how sure", hundredths(f.how_sure)]);
    }
    return el("dl", { class: "facts facts-tight" }, parts.map((p) => [el("dt", null, p[0]), el("dd", null, p[1])]));
}

export function classView(v, unit) {
    const p = v.participation;
    return el("section", { class: "class-view", "aria-label": v.class.name },
        el("p", null, el("strong", null, v.class.name), ": " + p.made + " of " + count(p.set, "child has", "children have") + " sent tries" + (p.could_not ? ", " + p.could_not + " could not" : "") + ". " + v.sentence),
        v.notes.length || v.five_numbers || v.figures ? el("details", { class: "small" }, el("summary", null, "More about the class"),
            el("div", null, v.notes.map((n) => el("p", null, n)), v.five_numbers ? five(v.five_numbers, unit) : null, v.figures ? figures(v.figures, unit) : null)) : null);
}
