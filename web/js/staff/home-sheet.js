/* SPDX-License-Identifier: MIT
 * The home sheet: one side of A4 for a child without a screen. What to do, what to look for, how to be
 * safe, a box for every throw, and how it comes back. It says nothing about the child but, where the
 * teacher wants it, the display name. */

import { el } from "../dom.js";
import { zoneBoard, scene } from "../pupil/board.js";
import { fitting, fittingCues, fittingKit } from "../pupil/seated.js";
import { thing } from "../kit.js";
import { distance, unitName } from "../words.js";
import { dayWords, COULD_NOT } from "./words.js";
import { t } from "../msg.js";

const MAX_BOXES = 20;       /* more throws than that are tallied, not boxed */
const ONLY_STOP = /^stop if (anything|it) hurts\.?$/i;      /* the last line of every sheet says it in full */

function blank(words, wide) {
    return el("span", { class: wide ? "blank blank-wide" : "blank" }, el("span", null, words));
}

/* A row of the table of tries: a box for every throw, or one for the number. */
function tryRow(activity, n) {
    const boxes = activity.throws && activity.throws <= MAX_BOXES ? Array.from({ length: activity.throws }, () => el("span", { class: "box" })) : null;
    return el("tr", null, el("th", { scope: "row" }, "Try " + n),
        activity.distances_mm.length ? el("td", { class: "far" }, activity.distances_mm.map((d) => el("span", { class: "circle-one" }, distance(d)))) : null,
        boxes ? el("td", null, el("span", { class: "boxes" }, boxes)) : null,
        el("td", null, el("span", { class: "box box-wide" }), activity.unit === "count" ? null : el("span", { class: "small" }, " " + unitName(activity.unit))));
}

function tries(activity) {
    const throws = activity.throws && activity.throws <= MAX_BOXES;
    const each = activity.kind === "zones" ? "The points of each go" : "Tick each one that worked. A dash for the others";
    return el("table", { class: "sheet-tries" },
        el("thead", null, el("tr", null, el("td", null), activity.distances_mm.length ? el("th", { scope: "col" }, "How far? Ring one") : null,
            throws ? el("th", { scope: "col" }, each) : null, el("th", { scope: "col" }, throws ? "Total" : "My number"))),
        el("tbody", null, Array.from({ length: activity.attempts }, (_, i) => tryRow(activity, i + 1))));
}

function part(title, list) {
    return list.length ? [el("h2", null, title), el("ul", { class: "sheet-list" }, list.map((line) => el("li", null, line)))] : null;
}

function kitLines(activity, version) {
    return version.kind === "no_kit" ? [] : fittingKit(activity, version).map((k) => k.item + (k.swap ? " (or " + k.swap + ")" : ""));
}

function picture(activity, kind) {
    return activity.zones.length ? zoneBoard(activity, kind, (zone) => el("div", { class: "zone-name" }, el("span", null, zone.name), el("span", null, zone.points ? "+" + zone.points : "0")))
        : scene(activity, kind);
}

function howWasIt() {
    return el("p", { class: "sheet-row" }, el("strong", null, "It was (ring one): "),
        [["easy", "too_easy"], ["right", "about_right"], ["hard", "too_hard"]].map(([face, felt]) => el("span", { class: "face-one" }, thing(face), " ", t("felt." + felt))));
}

/* {challenge, activity, version, pupil?: {display_name}, klass} */
export function homeSheet(o) {
    const { challenge, activity, version } = o;
    const kind = version.kind;
    const setUp = fitting(activity.set_up, version);
    const where = window.location.origin;
    return el("article", { class: "sheet home-sheet" },
        el("div", { class: "sheet-head" },
            el("div", null, el("h1", null, activity.name), el("p", null, activity.summary, " Do it by ", el("strong", null, dayWords(challenge.due_at)), ".")),
            el("p", { class: "sheet-number" }, "Number ", el("strong", null, String(challenge.number)))),
        el("p", { class: "sheet-row" }, o.pupil ? el("strong", null, o.pupil.display_name) : blank("Name", true), " ", o.klass ? o.klass.name : "", blank("Day I did it")),
        el("div", { class: "sheet-two" },
            el("div", null, part("You need", kitLines(activity, version)), setUp ? [el("h2", null, "Set it out"), el("p", null, setUp)] : null,
                el("h2", null, "What to do"), el("p", null, version.how), el("p", null, fitting(activity.scoring, version))),
            el("div", null, picture(activity, kind),
                part("Look for", fittingCues(activity, version).map((c) => c.text)),
                part("Be safe", activity.safety.filter((line) => !ONLY_STOP.test(line)).concat(["Stop if it hurts, or if you feel dizzy or wheezy. Tell a grown-up."])))),
        el("h2", null, "My " + (activity.attempts === 1 ? "try" : activity.attempts + " tries")),
        el("p", { class: "small" }, "Write them just as they come. All of them help. Fewer is fine."),
        tries(activity), howWasIt(),
        el("p", { class: "sheet-row small" }, el("strong", null, "I could not do it: "), Object.keys(COULD_NOT).map((k) => el("span", { class: "tick-one" }, el("span", { class: "box box-small" }), t("reason." + k)))),
        el("p", { class: "sheet-foot small" }, "Give this sheet back to your teacher. Or send the tries with your card at " + where + " or " + where + "/quick. ",
            "This sheet is not for emergencies: if somebody is badly hurt or in danger, tell a grown-up or ring 999."));
}
