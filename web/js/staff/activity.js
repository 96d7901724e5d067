/* SPDX-License-Identifier: MIT
 * An activity as one form: what is done, how it is scored, its versions with band lines, what to
 * look for, safety, kit. Saving makes a new revision; challenges already set keep theirs. */

import { get, post, put } from "../api.js";
import { el, fill, choices } from "../dom.js";
import { field } from "../field.js";
import { start, titled, form, has, notice } from "./shell.js";
import { KINDS, STRANDS, VERSIONS, InputError, count, notYours } from "./words.js";
import { readValue, plainNumber } from "../words.js";
import { rows } from "./rows.js";
import { preview } from "./editor-preview.js";

const CHANGES = { space: "Space", task: "Task", equipment: "Equipment", people: "People" };
const BLANK = {
    name: "", strand: "target", kind: "zones", unit: "points", attempts: 3, throws: 4, cap: null, seconds: 30, lower_is_better: false, resolution: 1,
    hard_low: null, hard_high: null, soft_low: null, soft_high: null, reference_mm: null, distances_mm: [], zones: [{ name: "miss", points: 0 }], targets: [],
    versions: [{ kind: "standard", how: "", band_lines: [] }], cues: [], questions: [], safety: ["Check the floor and the space around you.", "Stop if anything hurts."], kit: [],
    steps: [], summary: "", set_up: "", scoring: ""
};

function text(label, name, value, max, hint, tag) {
    return field({ tag, label, name, type: tag ? null : "text", value: value || "", maxlength: String(max), hint, rows: tag ? "3" : null });
}

function number(label, name, value, hint) {
    return field({ label, name, type: "text", inputmode: "decimal", value: value === null || value === undefined ? "" : String(value), hint, autocomplete: "off" });
}

/* A part of the form: open while an activity is new, folded with a word of what it holds afterwards. */
function part(title, a, holds, ...children) {
    return el("details", { class: "panel part", open: !a.id }, el("summary", null, el("h2", null, title), a.id ? el("span", { class: "hint" }, holds) : null), ...children);
}

/* Fields that belong to a kind are shown for that kind only. */
function scoring(a) {
    const kind = field({ label: "Kind of score", name: "kind", value: a.kind, choices: Object.keys(KINDS).map((k) => ({ value: k, text: KINDS[k] })) });
    const measure = field({ label: "Measured in", name: "unit", value: a.unit === "mm" ? "mm" : "ms", choices: [{ value: "ms", text: "seconds" }, { value: "mm", text: "centimetres" }] });
    const shown = (value) => (value === null || value === undefined ? "" : a.kind === "measure" ? plainNumber(value, a.unit) : value);
    const f = {
        kind, measure,
        attempts: number("Tries in one hand-in", "attempts", a.attempts, "One to five; three is usual"),
        throws: number("Goes in one try", "throws", a.throws),
        cap: number("Objects not set up again", "cap", a.cap, "Blank: set up again after each go"),
        seconds: number("Seconds", "seconds", a.seconds),
        lower: choices({ name: "lower", type: "checkbox", picked: a.lower_is_better ? ["yes"] : [], choices: [{ value: "yes", text: "less is better (a time to beat)" }] }),
        resolution: number("Measured to the nearest", "resolution", shown(a.kind === "measure" ? a.resolution : null)),
        hard_low: number("Impossible below", "hard_low", shown(a.hard_low)),
        hard_high: number("Impossible above", "hard_high", shown(a.hard_high)),
        soft_low: number("Ask once below", "soft_low", shown(a.soft_low)),
        soft_high: number("Ask once above", "soft_high", shown(a.soft_high)),
        zones: rows({ legend: "Zones, in order: the first that fits counts. A miss is a zone of 0 points.", items: a.zones, max: 6, blank: { name: "", points: 0 },
            fields: [{ key: "name", label: "Zone", max: 40 }, { key: "points", label: "Points", number: true }] })
    };
    const show = () => {
        const k = kind.control.value;
        f.throws.hidden = k !== "zones" && k !== "successes";
        f.cap.hidden = k !== "successes";
        f.seconds.hidden = k !== "timed_count";
        f.zones.hidden = k !== "zones";
        [f.lower, f.resolution, f.soft_low, f.hard_low, measure].forEach((x) => { x.hidden = k !== "measure"; });
        [f.hard_high, f.soft_high].forEach((x) => { x.hidden = k !== "measure" && k !== "timed_count"; });
    };
    kind.control.addEventListener("change", show);
    show();
    f.unit = () => ({ zones: "points", successes: "count", timed_count: "count", measure: measure.control.value }[kind.control.value]);
    f.box = el("section", { class: "panel" }, el("h2", null, "Scoring"), el("div", { class: "field-row" }, kind, measure, f.attempts, f.throws, f.cap, f.seconds),
        f.zones, el("div", { class: "field-row" }, f.resolution, f.hard_low, f.soft_low, f.soft_high, f.hard_high), f.lower);
    return f;
}

function versionBoxes(a, words, unitNow) {
    const all = ["standard", "quiet", "seated", "no_kit"].map((kind) => {
        const v = a.versions.find((x) => x.kind === kind) || { kind, how: "", band_lines: [] };
        const how = text(VERSIONS[kind].charAt(0).toUpperCase() + VERSIONS[kind].slice(1) + ": how", "how_" + kind, v.how, 600,
            kind === "standard" ? null : "Blank: no such version. Show nobody standing in a seated one.", "textarea");
        const lines = words.slice(1).map((word, i) => number("From here: " + word, "line_" + kind + "_" + i,
            v.band_lines[i] === undefined ? "" : plainNumber(v.band_lines[i], a.unit)));
        const own = kind === "standard" ? null : number("Own target", "own_" + kind, v.own_target === null || v.own_target === undefined ? "" : plainNumber(v.own_target, a.unit),
            "Instead of band lines: one score to reach. Staff see met, nearly or not yet; no band is suggested.");
        return { kind, how, lines, own, box: el("div", null, how, el("details", { open: v.band_lines.length > 0 || kind === "standard" || Number.isInteger(v.own_target) }, el("summary", null, kind === "standard" ? "Band lines of this version" : "Band lines or own target of this version"),
            el("p", { class: "small quiet" }, "The score from which each band is reached. Blank: no band is suggested."), el("div", { class: "field-row" }, lines), own)) };
    });
    return { box: part("Versions, open to every child", a, a.versions.map((v) => VERSIONS[v.kind]).join(", "), all.map((v) => v.box)),
        read: () => all.filter((v) => v.how.control.value.trim()).map((v) => ({ kind: v.kind, how: v.how.control.value.trim(),
            band_lines: bandLines(v.lines, unitNow()), own_target: v.own && v.own.control.value.trim() ? need(readValue(v.own.control.value, unitNow()), "An own target") : null })) };
}

/* Lines are typed from the lowest band up; a gap would move the later ones to the wrong band. */
function bandLines(fields, unit) {
    const typed = fields.map((l) => l.control.value.trim());
    const filled = typed.filter(Boolean);
    if (filled.length && typed.slice(0, filled.length).some((t) => t === "")) {
        throw new InputError("Band lines are filled in from the lowest band up, with no gap.");
    }
    return filled.map((t) => need(readValue(t, unit), "A band line"));
}

function need(value, what) {
    if (value === null || Number.isNaN(value)) {
        throw new InputError(what + " is not a number.");
    }
    return value;
}

function whole(f) {
    const typed = f.control.value.trim();
    return typed === "" || f.hidden ? null : need(/^\d{1,6}$/.test(typed) ? Number(typed) : null, f.querySelector("label").textContent);
}

function inUnit(f, unit) {
    const typed = f.control.value.trim();
    return typed === "" || f.hidden ? null : need(readValue(typed, unit), f.querySelector("label").textContent);
}

function metres(typed) {
    return typed.split(/[;\s]+/).filter(Boolean).map((t) => need(readValue(t, "ms"), "A distance"));
}

function editor(a, words, save) {
    const s = scoring(a);
    const f = {
        name: text("Name", "name", a.name, 60), strand: field({ label: "Strand", name: "strand", value: a.strand, choices: Object.keys(STRANDS).map((k) => ({ value: k, text: STRANDS[k] })) }),
        summary: text("In one or two sentences", "summary", a.summary, 300, null, "textarea"), set_up: text("How to set it out", "set_up", a.set_up, 600, null, "textarea"),
        how: text("How to score", "scoring", a.scoring, 600, null, "textarea"),
        distances: text("Distances to choose from, in metres", "distances", a.distances_mm.map((d) => d / 1000).join(" "), 80, "For example: 2 2.5 3. Blank: no distance"),
        reference: number("Reference distance in metres", "reference", a.reference_mm ? a.reference_mm / 1000 : "")
    };
    const lists = {
        targets: rows({ legend: "What a home may aim at", items: a.targets, max: 8, blank: { name: "", size_mm: null }, fields: [{ key: "name", label: "Target", max: 60 }, { key: "size_mm", label: "Size in mm", number: true, optional: true }] }),
        cues: rows({ legend: "Teaching points: what a watcher can see", items: a.cues, max: 8, blank: { text: "" }, fields: [{ key: "text", label: "Look for", max: 120 }] }),
        safety: rows({ legend: "Safety lines", items: a.safety.map((t) => ({ text: t })), max: 8, blank: { text: "" }, fields: [{ key: "text", label: "Safety", max: 160 }] }),
        kit: rows({ legend: "Kit, with a swap from the house", items: a.kit, max: 8, blank: { item: "", swap: "" }, fields: [{ key: "item", label: "Kit", max: 80 }, { key: "swap", label: "Or from the house", max: 120, optional: true }] }),
        questions: rows({ legend: "Questions to think about (three at most)", items: a.questions.map(questionRow), max: 3, blank: { text: "", a: "", b: "", c: "" },
            fields: [{ key: "text", label: "Question", max: 200, long: true }, { key: "a", label: "Right answer", max: 120 }, { key: "b", label: "Another answer", max: 120 }, { key: "c", label: "Another answer", max: 120, optional: true }] })
    };
    const steps = Object.keys(CHANGES).map((change) => {
        const step = a.steps.find((x) => x.change === change) || { easier: "", harder: "" };
        return { change, easier: text(CHANGES[change] + ": easier", "easier_" + change, step.easier, 200), harder: text(CHANGES[change] + ": harder", "harder_" + change, step.harder, 200) };
    });
    const versions = versionBoxes(a, words, s.unit);
    const collect = () => {
        const unit = s.unit();
        const km = s.kind.control.value;
        return {
            name: f.name.control.value, strand: f.strand.control.value, kind: km, unit, attempts: whole(s.attempts), throws: whole(s.throws), cap: whole(s.cap), seconds: whole(s.seconds),
            lower_is_better: km === "measure" && s.lower.values().length > 0, resolution: km === "measure" ? inUnit(s.resolution, unit) || 1 : 1,
            hard_low: inUnit(s.hard_low, unit), hard_high: inUnit(s.hard_high, unit), soft_low: inUnit(s.soft_low, unit), soft_high: inUnit(s.soft_high, unit),
            reference_mm: f.reference.control.value.trim() ? need(readValue(f.reference.control.value, "ms"), "The reference distance") : null,
            distances_mm: metres(f.distances.control.value.replace(/,/g, ".")), zones: km === "zones" ? s.zones.read() : [], targets: lists.targets.read(),
            versions: versions.read(), cues: lists.cues.read(), safety: lists.safety.read().map((x) => x.text), kit: lists.kit.read(),
            questions: lists.questions.read().map(questionOut), summary: f.summary.control.value, set_up: f.set_up.control.value, scoring: f.how.control.value,
            steps: steps.filter((x) => x.easier.control.value.trim() || x.harder.control.value.trim()).map((x) => ({ change: x.change, easier: x.easier.control.value.trim(), harder: x.harder.control.value.trim() }))
        };
    };
    const node = form({ class: "editor" }, async () => {
        try {
            await save(collect());
        } catch (error) {
            node.querySelectorAll("details.part").forEach((d) => { d.open = true; });   /* so that what is wrong can be seen and reached */
            throw error;
        }
    }, el("section", { class: "panel" }, el("h2", null, "What it is"), el("div", { class: "fields-two" }, f.name, f.strand), f.summary, f.set_up, f.how), s.box,
    part("Distance", a, count(a.distances_mm.length, "distance", "distances"), el("div", { class: "fields-two" }, f.distances, f.reference), lists.targets), versions.box,
    part("Learning", a, count(a.cues.length, "teaching point", "teaching points") + ", " + count(a.questions.length, "question", "questions"), lists.cues, lists.questions),
    part("Safety and kit", a, count(a.safety.length, "safety line", "safety lines") + ", " + count(a.kit.length, "thing", "things"), lists.safety, lists.kit,
        el("p", { class: "small quiet" }, "Follow your school's own risk assessment and local rules; Thrice does not replace them.")),
    part("Easier and harder", a, count(a.steps.length, "way", "ways"), el("div", { class: "fields-two" }, steps.map((x) => [x.easier, x.harder]))),
    el("div", { class: "buttons editor-save" }, el("button", { class: "button" }, "Save the activity")));
    node.collect = collect;
    return node;
}

function questionRow(q) {
    const right = q.choices.find((c) => c.right);
    const others = q.choices.filter((c) => c !== right);
    return { text: q.text, a: right ? right.text : "", b: others[0] ? others[0].text : "", c: others[1] ? others[1].text : "" };
}

function questionOut(row) {
    return { text: row.text, choices: [{ text: row.a, right: true }, { text: row.b, right: false }].concat(row.c ? [{ text: row.c, right: false }] : []) };
}

function somebodyFirst(error) {
    if (error.slug !== "conflict") {
        throw error;
    }
    throw new InputError("Somebody else has saved this activity since you opened it, so nothing of yours was stored. " +
        "Open it again in another tab, look at what has changed, and put your changes in there.");
}

start(async ({ session, params, body }) => {
    const id = params.get("id");
    const copy = params.get("copy");
    const [school, found] = await Promise.all([get("/school"), id || copy ? get("/activities/" + encodeURIComponent(id || copy)) : null]);
    const mayMake = has(session, "pe_lead") || session.classes.some((c) => c.right === "teach");
    const a = found ? found.activity : BLANK;
    titled(id ? a.name : copy ? "Copy of " + a.name : "A new activity");
    let revision = a.revision;
    const start_from = copy ? { ...a, name: (a.name + " (copy)").slice(0, 60) } : a;
    const save = async (wanted) => {
        const answer = id ? await put("/activities/" + encodeURIComponent(id), { ...wanted, revision }).catch(somebodyFirst)
            : await post("/activities", copy ? { ...wanted, copied_from: copy } : wanted);
        if (!id) {
            window.location.assign("/staff/activity?id=" + answer.activity.id);
            return;
        }
        revision = answer.activity.revision;
        notice("Saved. Challenges already set keep what they had.");
        window.scrollTo(0, 0);
    };
    const node = editor(start_from, school.band_words, save);
    fill(body, id && mayMake ? el("div", { class: "buttons" }, el("a", { class: "button", href: "/staff/set?activity=" + id }, "Set it"), el("a", { class: "button-second", href: "/staff/activity?copy=" + id }, "Make a copy"),
        el("a", { class: "button-second", href: "/staff/lines?activity=" + id }, "Band lines")) : null,
        id && mayMake && !found.own ? el("p", { class: "small quiet" }, notYours(found), " Its words, pictures, kit and safety lines are the school’s: you may change them here.") : null, el("div", { class: "with-preview" }, node, preview(node, node.collect)));
    if (!mayMake) {
        node.querySelectorAll("input, select, textarea, button").forEach((x) => { x.disabled = true; });
    }
});
