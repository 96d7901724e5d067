/* SPDX-License-Identifier: MIT
 * What is known of the child's space and step while the page is open: never stored, never sent, gone
 * with the page or another child. Big steps: 60 cm until measured (common practice, no source). Whoever
 * does it seated is told metres and asked for metres. */

import { el, fill, announce } from "../dom.js";
import { t } from "../msg.js";
import { distance, plainNumber, readValue } from "../words.js";
import { state } from "./state.js";
import { plain } from "./screens.js";

const STEP_MM = 600,
    MEASURED_STEPS = 3;
let memory = {};

export function practice() {
    const pupil = state.session.pupil;
    if (memory.pupil !== pupil) {
        memory = { pupil, step: STEP_MM, inSteps: false, seated: false, space: 0, asked: false, hold: false };
    }
    return memory;
}

/* "3 m" or "5 big steps", to half a step. */
export function far(mm) {
    const { inSteps, seated, step } = practice();
    const n = Math.max(0.5, Math.round((mm / step) * 2) / 2);
    return inSteps && !seated ? t("step.steps", { number: plainNumber(n, "count"), n }) : distance(mm);
}

/* The distances that fit the space; the nearest one when none does. */
export function withinSpace(distances) {
    const { space } = practice();
    const fit = distances.filter((d) => !space || d <= space);
    return fit.length ? fit : [Math.min(...distances)];
}

/* How long is this child's big step? A fold that few open. */
function measure(changed) {
    const says = el("span", { class: "wrong", id: "step-says", "aria-live": "polite" });
    const input = el("input", {
        type: "text",
        id: "step-cm",
        inputmode: "numeric",
        autocomplete: "off",
        maxlength: "5",
        "aria-describedby": "step-says"
    });
    const keep = () => {
        const mm = readValue(input.value, "mm");
        const step = mm === null ? 0 : mm / MEASURED_STEPS;
        if (step < 150 || step > 1500) {
            fill(says, t("step.range"));
            return;
        }
        practice().step = step;
        practice().inSteps = true;
        announce(t("step.kept"));
        changed();
    };
    return el(
        "details",
        null,
        el("summary", null, t("step.measure")),
        el("p", null, t("step.how")),
        el(
            "div",
            { class: "field" },
            el("label", { for: "step-cm" }, t("try.centimetres")),
            input,
            says
        ),
        plain(t("step.keep"), keep)
    );
}

export function stepWays(changed) {
    if (practice().seated) {
        return null;
    }
    return [
        plain(t(practice().inSteps ? "step.in_metres" : "step.in_steps"), () => {
            practice().inSteps = !practice().inSteps;
            changed();
        }),
        practice().inSteps ? measure(changed) : null
    ];
}

/* Asked once, before the first throw from a distance. */
export function spaceQuestion(answered) {
    const { seated, step } = practice();
    const unit = seated ? 1000 : step;
    const question = t(seated ? "step.space_metres" : "step.space");
    const answer = (units) => () => {
        const p = practice();
        p.asked = true;
        p.space = units * unit;
        answered();
    };
    const key = (units, words, label) =>
        el(
            "button",
            { class: "button-second", type: "button", "aria-label": label || null, onclick: answer(units) },
            words
        );
    return el(
        "div",
        { class: "panel panel-sky", role: "group", "aria-label": question },
        el("p", { class: "lead" }, question),
        el(
            "div",
            { class: "step-keys" },
            [2, 3, 4, 5, 6, 8].map((n) =>
                key(n, String(n), seated ? distance(n * unit) : t("step.steps", { number: n, n }))
            ),
            key(0, t("step.more"))
        ),
        el("p", null, t("step.only_here"))
    );
}
