/* SPDX-License-Identifier: MIT
 * Band lines of an activity, with a live preview of how a class's last tries would fall under them
 * and how sure that would be. What is typed is worked out a moment later and nothing is stored before
 * "Save"; an answer that is no longer wanted is given up. */

import { get, put } from "../api.js";
import { el, fill, freshId, announce, choices } from "../dom.js";
import { start, titled, has, action, notice } from "./shell.js";
import { SURE, VERSIONS, InputError, dayWords, notYours, sentenceFor } from "./words.js";
import { readValue, plainNumber, unitName, longValue } from "../words.js";
import { spreadDrawing, spreadTable } from "./spread.js";

const WAIT_MS = 150;
const UNIT_SAYS = { middle: "the middle try", best: "the best try", mean: "the average of the tries" };

/* The next value up (better) or down from here: totals that can be made, else one step. */
function stepped(activity, value, by) {
    const totals = activity.attainable.filter((t) => t > 0);
    if (totals.length) {
        const more = totals.filter((t) => (by > 0 ? t > value : t < value));
        return more.length ? (by > 0 ? more[0] : more[more.length - 1]) : value;
    }
    const step = activity.kind === "measure" ? Math.max(activity.resolution, activity.unit === "ms" ? 500 : 10) : 1;
    const low = activity.hard_low === null ? 1 : Math.max(1, activity.hard_low);
    const high = activity.hard_high === null ? Infinity : activity.hard_high;
    return Math.min(high, Math.max(low, value + by * step));
}

/* Why a typed line cannot stand, or null. */
function lineFault(activity, value) {
    const totals = activity.attainable.filter((t) => t > 0);
    const low = totals.length ? 1 : activity.hard_low === null ? 1 : Math.max(1, activity.hard_low);
    const high = totals.length ? totals[totals.length - 1] : activity.hard_high === null ? Infinity : activity.hard_high;
    return value < low ? "No less than " + longValue(low, activity.unit) + "."
        : value > high ? "No more than " + longValue(high, activity.unit) + "." : null;
}

/* What to know of a line that no single try makes exactly, or null. It may stand: the average of
 * several tries can reach it as it is. */
function lineNote(activity, value) {
    const above = activity.attainable.find((t) => t >= value);
    return above === undefined || above === value ? null
        : "No single try makes " + value + "; " + above + " is the first that reaches it.";
}

function stepper(activity, label, value, changed) {
    const id = freshId("line");
    const input = el("input", { id, type: "text", inputmode: "decimal", autocomplete: "off", value: value === undefined ? "" : plainNumber(value, activity.unit), "aria-describedby": id + "-wrong " + id + "-note" });
    const note = el("span", { class: "small quiet", id: id + "-note" });
    const wrong = el("span", { class: "wrong", id: id + "-wrong" });
    const node = el("div", { class: "stepper" });
    const move = (by) => {
        const now = readValue(input.value, activity.unit);
        const first = activity.attainable.filter((t) => t > 0)[0] || activity.soft_low || activity.hard_low || 1;
        input.value = plainNumber(now === null ? first : stepped(activity, now, by), activity.unit);
        changed();
    };
    input.addEventListener("input", changed);
    input.addEventListener("keydown", (event) => {
        if (event.key === "ArrowUp" || event.key === "ArrowDown") {
            move(event.key === "ArrowUp" ? 1 : -1);
            event.preventDefault();
        }
    });
    const button = (sign, by, words) => el("button", { type: "button", class: "button-second", "aria-label": words + ": " + label, onclick: () => move(by) }, sign);
    fill(node, el("label", { for: id }, label), el("div", { class: "stepper-row" }, button("−", -1, "Smaller"), input, button("+", 1, "Larger"), el("span", { class: "small quiet" }, activity.unit === "points" ? "points" : unitName(activity.unit))), wrong, note);
    /* {value} or {empty} or {fault} */
    node.read = () => {
        const typed = input.value.trim();
        const v = typed === "" ? null : readValue(typed, activity.unit);
        const fault = typed === "" ? null : v === null ? "That is not a number." : lineFault(activity, v);
        wrong.textContent = fault || "";
        note.textContent = v === null || fault ? "" : lineNote(activity, v) || "";
        input.setAttribute("aria-invalid", fault ? "true" : "false");
        return { value: v, fault, empty: typed === "" };
    };
    node.input = input;
    return node;
}

/* The lines of one version; throws InputError with what to mend. */
function readLines(activity, steppers, words) {
    const read = steppers.map((s) => s.read());
    const used = read.filter((r) => !r.empty);
    const gap = read.findIndex((r) => r.empty);
    if (read.some((r) => r.fault)) {
        throw new InputError("One of the lines cannot stand as it is.");
    }
    if (gap >= 0 && read.slice(gap).some((r) => !r.empty)) {
        throw new InputError("Fill the lines from the first on: “" + words[gap + 1] + "” has none yet.");
    }
    const wrong = used.findIndex((r, i) => i > 0 && (activity.lower_is_better ? r.value >= used[i - 1].value : r.value <= used[i - 1].value));
    if (wrong > 0) {
        throw new InputError("“" + words[wrong + 1] + "” has to be harder to reach than “" + words[wrong] + "”.");
    }
    return used.map((r) => r.value);
}

function versionForm(state, version, changed) {
    const { activity, words } = state;
    const steppers = words.slice(1).map((word, i) => stepper(activity, "From here: " + word, version.lines[i], () => {
        try {
            version.lines = readLines(activity, steppers, words);
            version.fault = null;
        } catch (error) {
            version.fault = error.message;
        }
        version.touched = true;
        changed();
    }));
    return el("fieldset", null, el("legend", null, VERSIONS[version.kind].charAt(0).toUpperCase() + VERSIONS[version.kind].slice(1) + " version"),
        version.ownTarget !== null ? el("p", { class: "small" }, "This version has an own target (" + longValue(version.ownTarget, activity.unit) + ") and no band. Lines set here take its place.") : null,
        activity.reference_mm ? el("p", { class: "small quiet" }, "The lines belong to tries from " + activity.reference_mm / 1000 + " m.") : null,
        steppers, el("p", { class: "small quiet" }, "Blank: no band is suggested."));
}

function sureBox(p) {
    const known = p.from.placed - p.labels.unknown;
    return known ? el("ul", { class: "lines-sure" }, ["sure", "fairly", "leaning", "not_enough"].map((k) => el("li", null, el("span", { class: "sure sure-" + k }, SURE[k] + ": " + p.labels[k])))) : null;
}

function previewBox(activity, p) {
    if (!p.from) {
        return el("div", { class: "lines-told" }, p.sentences.map((s) => el("p", null, s)));
    }
    return [el("p", { class: "small quiet" }, VERSIONS[p.version].charAt(0).toUpperCase() + VERSIONS[p.version].slice(1) + " version, " + p.from.unit.name + ", last done " + dayWords(p.from.last_on) + ", by " + UNIT_SAYS[p.statistic] + "."),
        el("div", { class: "lines-told" }, p.sentences.map((s) => el("p", null, s))), p.from.placed ? [spreadDrawing(activity, p), sureBox(p)] : null,
        el("p", { class: "small bands-key" }, p.bands.map((b) => el("span", null, el("span", { class: "band-box band-still" }, String(b.band)), " " + b.word))),
        p.from.placed ? el("details", null, el("summary", null, "In figures"), spreadTable(activity, p)) : null, el("p", { class: "small quiet" }, p.note)];
}

/* Asks a moment after the last change; only the latest answer is shown. */
function asker(state, place, said) {
    let timer = 0;
    let flying = null;
    const ask = async () => {
        const version = state.version();
        if (flying) {
            flying.abort();
        }
        if (version.fault || !version.lines.length) {
            said(version.fault || "No line yet, so no band.");
            place.classList.add("lines-old");
            return;
        }
        flying = new AbortController();
        const mine = flying;
        try {
            const p = await get("/activities/" + state.activity.id + "/band-preview?class=" + state.classId + "&version=" + version.kind + "&lines=" + version.lines.join(","), { signal: mine.signal });
            if (mine === flying) {
                fill(place, previewBox(state.activity, p));
                place.classList.remove("lines-old");
                said("");
                announce(p.sentences.slice(0, 2).join(" "));
            }
        } catch (error) {
            if (mine === flying && !mine.signal.aborted) {
                place.classList.add("lines-old");
                said(error.errors && error.errors.length ? sentenceFor(error, error.errors[0]) : sentenceFor(error));
            }
        }
    };
    return () => {
        window.clearTimeout(timer);
        said("Working out …");
        timer = window.setTimeout(ask, WAIT_MS);
    };
}

function classChoice(state, classes, changed) {
    const select = el("select", { "aria-label": "Class to look at" }, classes.map((c) => el("option", { value: c.id, selected: c.id === state.classId }, c.name)));
    select.addEventListener("change", () => {
        state.classId = select.value;
        changed();
    });
    const printed = el("span", { class: "only-print" }, (classes.find((c) => c.id === state.classId) || { name: "" }).name);
    select.addEventListener("change", () => fill(printed, select.options[select.selectedIndex].text));
    return el("p", null, el("label", { class: "no-print" }, "How would this class fall? ", select), printed);
}

async function save(state) {
    const versions = {};
    const faulty = state.versions.find((v) => v.fault);
    if (faulty) {
        throw new InputError(VERSIONS[faulty.kind] + " version: " + faulty.fault);
    }
    state.versions.filter((v) => v.touched).forEach((v) => { versions[v.kind] = v.lines; });
    const answer = await put("/activities/" + state.activity.id + "/lines", { revision: state.activity.revision, versions }).catch((error) => {
        if (error.slug === "conflict") {
            throw new InputError("Somebody else has saved this activity since you opened it, so nothing of yours was stored. Load the page again and look.");
        }
        throw error;
    });
    state.activity = answer.activity;
    state.versions.forEach((v) => { v.touched = false; });
    notice("Saved. What is still open is judged by these lines now; what was decided stays as it was decided.");
    window.scrollTo(0, 0);
}

start(async ({ session, params, body }) => {
    const [found, school, all] = await Promise.all([get("/activities/" + encodeURIComponent(params.get("activity") || "")), get("/school"), get("/classes")]);
    const activity = found.activity;
    const mine = all.classes.filter((c) => has(session, "pe_lead") || session.classes.some((k) => k.id === c.id && k.right === "teach"));
    titled(activity.name, "Band lines");
    if (!mine.length) {
        fill(body, el("p", null, "Band lines are set by whoever teaches a class or leads PE."));
        return;
    }
    const wanted = params.get("class");
    const state = {
        activity, words: school.band_words, classId: mine.some((c) => c.id === wanted) ? wanted : mine[0].id,
        versions: activity.versions.map((v) => ({ kind: v.kind, lines: v.band_lines.slice(), ownTarget: v.own_target === undefined ? null : v.own_target, fault: null, touched: false })),
        at: 0
    };
    state.version = () => state.versions[state.at];
    const place = el("div", { class: "lines-preview" });
    const status = el("p", { class: "lines-state small", role: "status" });
    const changed = asker(state, place, (text) => { status.textContent = text; });
    const form = el("div");
    const drawForm = () => fill(form, versionForm(state, state.version(), changed));
    drawForm();
    const kinds = activity.versions.length > 1 ? choices({ legend: "Version", row: true, tight: true, picked: [activity.versions[0].kind], choices: activity.versions.map((v) => ({ value: v.kind, text: VERSIONS[v.kind] })),
        onchange: (picked) => {
            state.at = state.versions.findIndex((v) => v.kind === picked[0]);
            drawForm();
            changed();
        } }) : null;
    fill(body, el("p", null, "A line is the score from which a band is reached: the school’s judgement. Fewer lines, further apart, are surer. ", el("a", { class: "no-print", href: "/staff/words" }, "What the words mean")),
        el("div", { class: "lines-page" },
            el("section", { class: "lines-form", "aria-label": "Lines" }, kinds, form,
                found.own ? null : el("p", { class: "banner" }, notYours(found) + " You can try boundaries out here; they are not saved."),
                el("div", { class: "buttons" }, found.own ? action("Save the lines", () => save(state)) : el("a", { class: "button", href: "/staff/activity?copy=" + activity.id }, "Make a copy"), el("a", { class: "button-plain", href: "/staff/activity?id=" + activity.id }, "The whole activity"))),
            el("section", { "aria-label": "Preview" }, classChoice(state, mine, changed), status, place)));
    changed();
});
