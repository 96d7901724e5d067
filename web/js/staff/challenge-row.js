/* SPDX-License-Identifier: MIT
 * One child in a challenge's results, in as little height as its tries need: lanes, what changed on
 * the child's own line, the gain in a few words, what the tries point to. Sentences, reasons and what
 * can be done with a hand-in are folded away behind one button a child. */

import { post } from "../api.js";
import { el } from "../dom.js";
import { action } from "./shell.js";
import { STATES, ASIDE, COULD_NOT, VERSIONS, SURE, dayWords } from "./words.js";
import { lanesOverTime } from "../lanes.js";
import { shortValue, distance } from "../words.js";
import { owesView } from "./suggestion.js";

const DRAWN = 2;        /* latest hand-ins in the row; earlier ones are folded */

const CHANGED = {
    first: "a first score", new_best: "a new own best", new_best_farther: "as good or better from farther away",
    first_at_distance: "first time at this distance", equal_best: "equals the own best", not_this_time: "own best stays"
};
const MARKS = { mistake: "says it is a mistake", keep: "kept", set_aside: "set aside", ask_again: "asked again" };

/* Keep, ask again, set aside with a reason: the same here, in the list on top and in the one of all
 * classes. `done(what)` runs once it is stored. options: {reason: the one chosen at first, keys: {what: letter},
 * which the buttons name}. Each button has its `what` as data-mark. */
export function checkButtons(handIn, name, done, options = {}) {
    const keys = options.keys || {};
    const why = el("select", { "aria-label": "Reason for setting aside, " + name }, Object.keys(ASIDE).map((k) => el("option", { value: k, selected: k === options.reason }, ASIDE[k])));
    const button = (what, words, kind, body) => {
        const text = words + (keys[what] ? " (" + keys[what].toUpperCase() + ")" : "");
        return action(text, async () => {
            await post("/hand-ins/" + handIn + "/" + what, body ? body() : undefined);
            await done(what);
        }, { class: kind, "data-mark": what, "aria-label": text + ", " + name, "aria-keyshortcuts": keys[what] || null });
    };
    return el("div", { class: "check-buttons no-print" }, button("keep", "Keep", "button-second"), button("ask-again", "Ask again", "button-second"),
        el("span", { class: "check-aside" }, why, button("set-aside", "Set aside", "button-careful", () => ({ reason: why.value }))));
}

function notes(handIn, activity) {
    const version = activity.versions.find((v) => v.id === handIn.version);
    const from = Array.from(new Set(handIn.attempts.map((a) => a.distance_mm).filter(Boolean))).map(distance);
    return [version && version.kind !== "standard" ? VERSIONS[version.kind] + " version" : "",
        from.length ? "from " + from.join(", ") : "",
        handIn.after_date ? "after the date" : "",
        handIn.channel === "paper" ? "on paper" : handIn.channel === "staff" ? "entered by staff" : "",
        handIn.could_not ? "could not: " + COULD_NOT[handIn.could_not] : "",
        handIn.state === "to_check" ? "to check, does not count yet" : handIn.state === "set_aside" ? "set aside, counts for nothing" : ""].filter(Boolean).join(" · ");
}

function drawn(handIns, activity) {
    return handIns.some((h) => h.attempts.length) ? lanesOverTime({ line: { activity, hand_ins: handIns.map((h) => ({ on: h.done_on, attempts: h.attempts, best: h.state === "counts" ? h.best : null })) } }) : null;
}

/* With one hand-in its day is in the drawing already. */
function noteLines(handIns, activity) {
    return handIns.map((h) => {
        const words = notes(h, activity);
        return words ? el("p", { class: "small" }, handIns.length > 1 || !h.attempts.length ? dayWords(h.done_on) + ": " + words : words) : null;
    });
}

/* The gain looks at the latest tries of the year; where those came with a later challenge it says so,
 * or "a first score" here would stand beside a gain. */
function gainWords(r) {
    const here = r.hand_ins.some((h) => h.done_on === r.gain.latest_on);
    return (r.gain.latest_on && !here ? "by " + dayWords(r.gain.latest_on) + ": " : "") + (r.gain.estimate ? "ESTIMATE: " : "") + r.gain.label;
}

function changed(r, unit) {
    const own = r.own_best;
    const known = own && own.before !== null && own.value !== null && own.status !== "not_this_time" && own.status !== "first";
    const from = !known ? "" : own.before === own.value ? " (" + shortValue(own.value, unit) + ")" : " (" + shortValue(own.before, unit) + " → " + shortValue(own.value, unit) + ")";
    return [own && own.status ? el("p", null, CHANGED[own.status] + from) : null,
        r.gain && r.gain.silent !== "one_hand_in" ? el("p", { class: "gain gain-" + r.gain.category }, gainWords(r)) : null];
}

/* The latest tries in figures: what a narrow screen shows until the child is opened. */
function short(r, activity) {
    const h = r.hand_ins[r.hand_ins.length - 1];
    if (!h) {
        return null;
    }
    const words = [h.attempts.map((a) => shortValue(a.value, activity.unit)).join(", "), notes(h, activity)].filter(Boolean).join(" \u00b7 ");
    return el("p", { class: "small result-short" }, dayWords(h.done_on) + ": " + words);
}

function pointsTo(r) {
    const s = r.suggestion;
    if (r.second_view) {
        return owesView();
    }
    if (!s) {
        return null;
    }
    return el("p", { class: "suggestion-word" }, s.word ? el("strong", null, s.word, " ") : null,
        s.label ? el("span", { class: "sure sure-" + s.label }, SURE[s.label]) : !s.word ? el("span", { class: "quiet" }, "nothing suggested") : null);
}

function folded(r, activity, mayMark, redraw) {
    const name = r.pupil.display_name;
    const earlier = r.hand_ins.slice(0, -DRAWN);
    const marked = r.hand_ins.filter((h) => h.marks.length);
    const parts = [
        r.gain ? el("p", null, r.gain.first_on ? dayWords(r.gain.first_on) + " against " + dayWords(r.gain.latest_on) + ": " : "", r.gain.sentence) : null,
        r.estimate ? el("p", null, r.estimate.sentence) : r.estimate_silent ? el("p", null, r.estimate_silent) : null,
        r.suggestion ? [el("p", null, r.suggestion.sentence), el("ul", null, r.suggestion.reasons.map((x) => el("li", null, x)))] : null,
        earlier.length ? [el("p", null, "Earlier tries"), drawn(earlier, activity), noteLines(earlier, activity)] : null,
        marked.map((h) => el("p", { class: "quiet" }, dayWords(h.done_on) + ". " + h.marks.map((m) => m.by + ": " + MARKS[m.mark] + (m.reason ? " (" + ASIDE[m.reason] + ")" : "") + ", " + dayWords(m.on)).join("; "))),
        mayMark ? r.hand_ins.map((h) => el("div", null, el("p", null, "Hand-in of " + dayWords(h.done_on)), checkButtons(h.id, name + ", " + dayWords(h.done_on), redraw))) : null
    ];
    return el("details", { class: "row-more small no-print" }, el("summary", { "aria-label": "Why, " + name }, mayMark ? "Why, and check" : "Why"), parts);
}

/* Nobody is waited for in a cancelled one. */
function stateMark(data, r) {
    return data.cancelled && r.state === "not_yet" ? el("span", { class: "quiet" }, "–", el("span", { class: "only-read" }, " cancelled, nothing sent"))
        : el("span", { class: "state state-" + r.state }, STATES[r.state]);
}

/* data.cancelled: in each class that is shown. */
export function row(data, r, mayMark, redraw) {
    const { activity } = data;
    const latest = r.hand_ins.slice(-DRAWN);
    const some = r.hand_ins.length > 0 || (r.suggestion && r.suggestion.label);
    return el("tr", { id: "pupil-" + r.pupil.id, class: "result" + (some ? "" : " result-none"), tabindex: "-1" },
        el("th", { scope: "row", class: "pin" }, el("a", { href: "/staff/pupil?id=" + r.pupil.id }, r.pupil.display_name)),
        el("td", { class: "result-state" }, stateMark(data, r), r.could_not ? el("span", { class: "small quiet state-why" }, COULD_NOT[r.could_not]) : null),
        el("td", { class: "result-lanes" }, drawn(latest, activity), noteLines(latest, activity)),
        el("td", { class: "result-change" }, changed(r, activity.unit)),
        el("td", { class: "result-points" }, short(r, activity), pointsTo(r), some ? folded(r, activity, mayMark, redraw) : null));
}
