/* SPDX-License-Identifier: MIT
 * The rules of a unit in plain words, and changing them. A rule changes what the tries point to, for
 * every class that does the unit; what was decided already stays. */

import { put } from "../api.js";
import { el, choices } from "../dom.js";
import { form } from "./shell.js";

const STATISTIC = {
    middle: ["the middle try", "Recommended for judging: one lucky or unlucky try changes nothing."],
    best: ["the best try", "For celebrating. Generous: more tries make a higher band by themselves."],
    mean: ["the average of the tries", "Every try counts the same, so one odd try moves it."]
};
const POLICY = {
    majority: ["what two of the three strands reach", "Recommended: one strand alone neither lifts nor holds back."],
    weakest: ["the lowest of the strands", "Strict: every strand that is known has to reach a band."],
    all_of: ["all strands at the band", "Strict: doing, thinking and taking part must all reach it; one that is missing leaves it open."]
};
const POOLING = {
    unit: ["all hand-ins of the unit together", "Recommended: an extra go never lowers anything by itself."],
    latest: ["the latest hand-in only", "Says where a child is now, less surely."]
};

export function rulesLine(unit) {
    return "Judged here by " + STATISTIC[unit.statistic][0] + ", " + POOLING[unit.pooling][0] + "; for the unit " + POLICY[unit.policy][0] + " counts.";
}

function part(legend, name, all, now) {
    return choices({ legend, name, row: true, picked: [now], choices: Object.keys(all).map((k) => ({ value: k, text: all[k][0].charAt(0).toUpperCase() + all[k][0].slice(1), hint: all[k][1] })) });
}

/* `changed` runs after a change. mayChange false: the line alone. */
export function rulesBox(unit, mayChange, changed) {
    if (!mayChange) {
        return el("p", { class: "small quiet" }, rulesLine(unit));
    }
    const parts = {
        statistic: part("Of the tries counts", "statistic", STATISTIC, unit.statistic),
        pooling: part("Which hand-ins", "pooling", POOLING, unit.pooling),
        policy: part("Of doing, thinking and taking part counts", "policy", POLICY, unit.policy)
    };
    return el("details", { class: "rules" }, el("summary", null, rulesLine(unit)),
        form({ class: "panel no-print" }, async () => {
            const body = {};
            Object.keys(parts).forEach((k) => { body[k] = parts[k].values()[0]; });
            await put("/units/" + unit.id, body);
            await changed();
        }, parts.statistic, parts.pooling, parts.policy,
        el("p", { class: "small quiet" }, "This holds for every class that does this unit. What was decided already stays as it was decided."),
        el("div", { class: "buttons" }, el("button", { class: "button" }, "Use these rules"))));
}
