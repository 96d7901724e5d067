/* SPDX-License-Identifier: MIT
 * The next lesson: groups by what comes next, teaching points not seen yet, kit and safety. A group
 * is called by what comes next; who has no tries is watched in the lesson and in no group. */

import { get } from "../api.js";
import { el, fill } from "../dom.js";
import { start, titled, action, notice } from "./shell.js";
import { VERSIONS, dayWords, count } from "./words.js";
import { distance } from "../words.js";

const STEPS = {
    closer: ["Closer", "A little nearer, so that more of it comes off."],
    same: ["The same again", "From the same place: a few more goes make it steady."],
    further: ["Further away", "A step back, where there is room and it is safe."],
    score: ["A score to make", "A little over the own best."],
    new: ["Something new", "All that can be made was made: the other hand, a smaller target, another activity."],
    to_check: ["Look at what they sent first", "It waits for a check, so nothing is said about it yet."],
    no_tries: ["No tries yet: watch them in the lesson", "Nothing is known, and that says nothing about what they can do."],
    second_view: ["Waiting for your second view", "What comes next is shown after you have given it."]
};
const HOLDS_KIT = ["closer", "same", "further", "score", "new", "no_tries"];

function nameOf(p) {
    return p.display_name + (p.version && p.version !== "standard" ? " (" + VERSIONS[p.version] + ")" : "");
}

/* Children of a group by where they stand: [["2.5 m", [pupils]], ...] */
function places(group) {
    const found = new Map();
    group.pupils.forEach((p) => {
        const at = p.distance_mm || 0;
        found.set(at, (found.get(at) || []).concat([p]));
    });
    return Array.from(found).sort((a, b) => a[0] - b[0]).map(([mm, pupils]) => [mm ? "from " + distance(mm) : "", pupils]);
}

/* "a beanbag (or a folded cloth): for 28 (20 + 7 + 1)": for each group as it stands above. */
function kitLines(activity) {
    const each = activity.groups.filter((g) => HOLDS_KIT.indexOf(g.step) >= 0).map((g) => g.pupils.length);
    const all = each.reduce((sum, n) => sum + n, 0);
    return all ? activity.kit.map((k) => k.item + (k.swap ? " (or " + k.swap + ")" : "") + ": for " + all + (each.length > 1 ? " (" + each.join(" + ") + ")" : "")) : [];
}

function card(group) {
    const [title, note] = STEPS[group.step];
    const n = group.pupils.length;
    return el("section", { class: "panel next-card" }, el("h3", null, title, el("span", { class: "quiet" }, " · " + n)),
        el("p", { class: "small" }, note, group.words.length ? " " + group.words.join(" ") : null),
        places(group).map(([where, pupils]) => el("p", null, where ? el("span", { class: "quiet" }, where + ": ") : null, el("span", { class: "next-names" }, pupils.map(nameOf).join(", ")))));
}

function cues(activity, pupils) {
    const missing = activity.cues.filter((c) => c.not_seen.length);
    const unlooked = activity.cues.filter((c) => c.not_looked.length);
    const names = (list) => (list.length === pupils ? "everybody" : list.map((p) => p.display_name).join(", "));
    if (!activity.cues.length) {
        return null;
    }
    return [el("h3", null, "Teaching points looked for and not seen yet"),
        missing.length ? el("ul", null, missing.map((c) => el("li", null, c.text + ": ", el("span", { class: "next-names" }, names(c.not_seen))))) : el("p", null, "None."),
        unlooked.length ? el("details", null, el("summary", null, "Not looked for yet (that is not the same as not seen)"),
            el("ul", { class: "small" }, unlooked.map((c) => el("li", null, c.text + ": " + names(c.not_looked))))) : null];
}

function activityBox(activity, pupils) {
    return el("section", { class: "next-activity" }, el("h2", null, activity.activity.name, el("span", { class: "title-note" }, activity.last_on ? "last done " + dayWords(activity.last_on) : "not done yet")),
        el("div", { class: "next-cards" }, activity.groups.map(card)),
        kitLines(activity).length ? [el("h3", null, "Kit, one each"), el("ul", { class: "small" }, kitLines(activity).map((k) => el("li", null, k)))] : null, cues(activity, pupils),
        activity.safety.length ? [el("h3", null, "Safety"), el("ul", { class: "small" }, activity.safety.map((s) => el("li", null, s)))] : null);
}

/* The same as plain text, for a plan of one's own. */
export function lessonText(plan, klass) {
    const lines = ["Next lesson: " + plan.unit.name + (klass ? ", " + klass.name : ""), ""];
    plan.activities.forEach((a) => {
        lines.push(a.activity.name.toUpperCase());
        a.groups.forEach((g) => {
            lines.push("", STEPS[g.step][0] + " (" + g.pupils.length + "). " + STEPS[g.step][1] + (g.words.length ? " " + g.words.join(" ") : ""));
            places(g).forEach(([where, pupils]) => lines.push("  " + (where ? where + ": " : "") + pupils.map(nameOf).join(", ")));
        });
        if (kitLines(a).length) {
            lines.push("", "Kit, one each");
            kitLines(a).forEach((k) => lines.push("  - " + k));
        }
        const missing = a.cues.filter((c) => c.not_seen.length);
        if (missing.length) {
            lines.push("", "Looked for and not seen yet");
            missing.forEach((c) => lines.push("  " + c.text + ": " + c.not_seen.map((p) => p.display_name).join(", ")));
        }
        lines.push("", "Safety");
        a.safety.forEach((s) => lines.push("  - " + s));
        lines.push("");
    });
    return lines.concat([plan.note]).join("\n");
}

/* The clipboard where the browser lets a page write to it, else the text to copy by hand. */
async function copy(text, place) {
    try {
        await window.navigator.clipboard.writeText(text);
        notice("Copied as text.");
    } catch (error) {
        const area = el("textarea", { rows: "12", readonly: true, "aria-label": "The lesson as text", class: "no-print" });
        area.value = text;
        fill(place, el("p", { class: "small" }, "Copy it from here:"), area);
        area.focus();
        area.select();
    }
}

start(async ({ params, body }) => {
    const classId = params.get("class") || "";
    const unit = encodeURIComponent(params.get("unit") || "");
    const [plan, all] = await Promise.all([get("/units/" + unit + "/next-lesson?class=" + encodeURIComponent(classId)), get("/classes")]);
    const klass = all.classes.find((c) => c.id === classId);
    titled("Next lesson", plan.unit.name + (klass ? " · " + klass.name : ""));
    const place = el("div");
    fill(body, el("p", null, "Groups by what comes next for each child, from the last tries. You know the class; move anybody. ", el("span", { class: "quiet" }, plan.note)),
        plan.activities.length ? el("div", { class: "buttons no-print" }, action("Copy as text", () => copy(lessonText(plan, klass), place), { class: "button-second" }),
            el("button", { type: "button", class: "button-second", onclick: () => window.print() }, "Print"), el("span", { class: "small quiet" }, count(plan.pupils, "child", "children"))) : null,
        place, plan.activities.length ? plan.activities.map((a) => activityBox(a, plan.pupils)) : el("p", null, "Nothing of this unit was set for this class yet."),
        el("p", { class: "small quiet" }, "Follow your school’s own risk assessment and local rules; Thrice does not replace them."),
        el("p", { class: "unit-links no-print" }, el("a", { href: "/staff/assess?unit=" + unit + "&class=" + encodeURIComponent(classId) }, "Unit end"), el("a", { href: "/staff/seen?unit=" + unit + "&class=" + encodeURIComponent(classId) }, "Teaching points seen"), el("a", { href: "/staff/class?id=" + encodeURIComponent(classId) }, "Who's done it")));
});
