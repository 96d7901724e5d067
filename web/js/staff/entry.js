/* SPDX-License-Identifier: MIT
 * Entry on a child's behalf, from a sheet of paper or as staff saw it: a total in everyday units or
 * each throw ("5 2 0 2"). The id is made once a form, so a repeated send is stored once. */

import { post, uuid7 } from "../api.js";
import { el, fill, banner, choices } from "../dom.js";
import { field } from "../field.js";
import { form } from "./shell.js";
import { COULD_NOT, VERSIONS, sentenceFor } from "./words.js";
import { readTry } from "./paper-read.js";
import { unitName, distance, shortValue, deviceDay } from "../words.js";

function attemptHint(activity) {
    if (activity.throws) {
        return "A total, or each throw: " + (activity.kind === "zones" ? "5 2 0 2" : "1 0 1 1");
    }
    return "In " + unitName(activity.unit);
}

function attemptFields(activity) {
    const list = [];
    for (let i = 1; i <= activity.attempts; i += 1) {
        list.push(field({ label: "Try " + i, name: "attempt_" + i, type: "text", inputmode: activity.throws ? "text" : "decimal",
            autocomplete: "off", maxlength: "60", hint: i === 1 ? attemptHint(activity) : null }));
    }
    return list;
}

function collect(fields, activity, mm) {
    const attempts = [];
    for (const one of fields) {
        one.wrong("");
        const typed = one.control.value.trim();
        if (typed === "") {
            continue;
        }
        const { attempt, wrong } = readTry(typed, activity);
        if (!attempt) {
            one.wrong(wrong);
            one.control.focus();
            return null;
        }
        attempts.push(mm ? { ...attempt, distance_mm: mm } : attempt);
    }
    return attempts;
}

/* Says errors beside the try they are about. True when all found their place. */
function place(error, fields, activity) {
    let all = error.errors.length > 0;
    for (const one of error.errors) {
        const found = /^\/attempts\/(\d+)/.exec(one.pointer);
        const target = found && fields[Number(found[1])];
        if (!target) {
            all = false;
        } else {
            target.wrong(one.nearest && one.nearest.length
                ? "That cannot be. " + one.nearest.map((v) => shortValue(v, activity.unit)).join(" or ") + " can." : sentenceFor(error, one));
            target.control.focus();
        }
    }
    return all;
}

export function entryForm({ challenge, activity, pupils, done }) {
    const who = field({ label: "Pupil", name: "pupil", choices: [{ value: "", text: "Choose" }].concat(pupils.map((p) => ({ value: p.id, text: p.display_name }))), value: "" });
    const version = field({ label: "Version", name: "version", choices: activity.versions.map((v) => ({ value: v.id, text: VERSIONS[v.kind] })), value: activity.versions[0].id });
    const tries = attemptFields(activity);
    const far = activity.distances_mm.length ? field({ label: "Distance", name: "distance", value: String(activity.reference_mm || activity.distances_mm[0]),
        choices: activity.distances_mm.map((d) => ({ value: String(d), text: distance(d) })) }) : null;
    const doneOn = field({ label: "Done on", name: "done_on", type: "date", value: deviceDay(), max: deviceDay() });
    const channel = choices({ legend: "From", name: "channel", row: true, picked: ["paper"],
        choices: [{ value: "paper", text: "a paper sheet" }, { value: "staff", text: "what I saw" }] });
    const could = field({ label: "Or: could not", name: "could_not", value: "",
        choices: [{ value: "", text: "–" }].concat(Object.keys(COULD_NOT).map((k) => ({ value: k, text: COULD_NOT[k] }))) });
    const ask = el("div");
    let id = uuid7();
    const send = async (confirmed) => {
        const attempts = collect(tries, activity, far ? Number(far.control.value) : 0);
        if (!attempts) {
            return;
        }
        const body = { id, pupil: who.control.value, channel: channel.values()[0], version: version.control.value, attempts, done_on: doneOn.control.value };
        if (could.control.value) {
            body.could_not = could.control.value;
        }
        if (confirmed) {
            body.confirmed = true;
        }
        try {
            await post("/challenges/" + challenge.id + "/hand-ins", body);
        } catch (error) {
            if (error.slug === "confirm" || (error.code && error.code("confirm"))) {
                fill(ask, banner("careful", el("p", null, "That is a surprising score. Is it right?"),
                    el("div", { class: "buttons" }, el("button", { type: "button", class: "button", onclick: () => { fill(ask); send(true); } }, "Yes, store it"),
                        el("button", { type: "button", class: "button-second", onclick: () => fill(ask) }, "No, change it"))));
                return;
            }
            if (!error.errors || !place(error, tries, activity)) {
                throw error;
            }
            return;
        }
        const name = who.control.options[who.control.selectedIndex].text;
        id = uuid7();
        tries.forEach((t) => { t.control.value = ""; });
        could.control.value = "";
        who.control.value = "";
        fill(ask);
        await done(name);
    };
    return form(null, async () => {
        who.wrong(who.control.value ? "" : "Choose the child.");
        if (!who.control.value) {
            who.control.focus();
            return;
        }
        await send(false);
    }, who, el("div", { class: "field-row" }, tries), el("div", { class: "field-row" }, far, version, doneOn, could), channel, ask,
    el("div", { class: "buttons" }, el("button", { class: "button" }, "Store")));
}
