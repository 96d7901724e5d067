/* SPDX-License-Identifier: MIT
 * The three lanes. A hand-in is drawn as one lane an attempt, each with a marker along its lane, the
 * value written beside it and the best ringed by hand. The same drawing on every page and on paper;
 * each lane has its number and each marker its value, so colour is never the only sign. Further
 * along is always better: where less is better (a time to beat) the track runs the other way. */

import { el, svg } from "./dom.js";
import { t } from "./msg.js";
import { shortValue, valueFrom, dayWords } from "./words.js";

const LEFT = 34,
    RIGHT = 236,
    WIDTH = 300;

/* A steady hand: the same drawing every time, no two lines alike. */
export function hand(seed) {
    let state = (seed * 2654435761) % 4294967296 || 1;
    return (reach) => {
        state = (state * 1664525 + 1013904223) % 4294967296;
        return (state / 4294967296 - 0.5) * 2 * reach;
    };
}

function n(x) {
    return Math.round(x * 10) / 10;
}

export function chalkLine(x1, y1, x2, y2, wobble) {
    const parts = Math.max(2, Math.round(Math.hypot(x2 - x1, y2 - y1) / 40));
    let d = "M" + n(x1 + wobble(1)) + " " + n(y1 + wobble(1));
    for (let i = 1; i <= parts; i += 1) {
        const t = i / parts,
            h = (i - 0.5) / parts;
        d +=
            "Q" +
            n(x1 + (x2 - x1) * h + wobble(1.6)) +
            " " +
            n(y1 + (y2 - y1) * h + wobble(1.6)) +
            " " +
            n(x1 + (x2 - x1) * t + wobble(0.8)) +
            " " +
            n(y1 + (y2 - y1) * t + wobble(0.8));
    }
    return d;
}

/* A ring that does not quite close, as chalk goes round: a smooth curve past uneven points. */
export function chalkRing(x, y, r, wobble, overlap) {
    const parts = 10,
        turn = Math.PI * 2 + (overlap || 0),
        from = -2.2,
        points = [];
    for (let i = 0; i <= parts; i += 1) {
        const a = from + (turn * i) / parts,
            rr = r * 1.03 + wobble(r * 0.075);
        points.push([x + Math.cos(a) * rr, y + Math.sin(a) * rr]);
    }
    let d = "M" + n(points[0][0]) + " " + n(points[0][1]);
    for (let i = 1; i < parts; i += 1) {
        const p = points[i],
            q = points[i + 1];
        d +=
            "Q" + n(p[0]) + " " + n(p[1]) + " " + n((p[0] + q[0]) / 2) + " " + n((p[1] + q[1]) / 2);
    }
    return d + "L" + n(points[parts][0]) + " " + n(points[parts][1]);
}

/* The end of the track for these values: what can be at most, or a round number past the highest. */
export function trackEnd(activity, values) {
    const highest = Math.max(0, ...values);
    if (activity.kind === "zones" && activity.zones && activity.zones.length && activity.throws) {
        return Math.max(
            highest,
            activity.throws * Math.max(...activity.zones.map((z) => z.points)),
            1
        );
    }
    if (activity.kind === "successes" && activity.throws) {
        return Math.max(highest, activity.cap || activity.throws, 1);
    }
    const wanted = highest * 1.12 || 10;
    const power = Math.pow(10, Math.floor(Math.log10(wanted)));
    const step = [1, 1.2, 1.5, 2, 2.5, 3, 4, 5, 6, 8, 10].find((s) => s * power >= wanted);
    return step * power;
}

function along(value, end, lower, left, right) {
    const part = Math.min(1, Math.max(0, value / end));
    return left + (lower ? 1 - part : part) * (right - left);
}

function isBest(attempt, best, index, attempts) {
    if (
        best === null ||
        best === undefined ||
        attempt === null ||
        attempt.part ||
        attempt.value !== best
    ) {
        return false;
    }
    return attempts.findIndex((a) => a && !a.part && a.value === best) === index;
}

function bestOf(attempts, lower) {
    const whole = attempts.filter((a) => a && !a.part).map((a) => a.value);
    if (!whole.length) {
        return null;
    }
    return lower ? Math.min(...whole) : Math.max(...whole);
}

/* "Try 1: 7. Try 2: 9, the best. Try 3: not done yet." */
export function laneWords(attempts, best, unit) {
    return attempts
        .map((a, i) => {
            if (!a) {
                return t("lane.not_done", { try: i + 1 });
            }
            let value = valueFrom(a.value, unit, a.distance_mm);
            if (a.part) {
                value = t(a.going ? "lane.so_far" : "lane.part", { value });
            }
            if (isBest(a, best, i, attempts)) {
                value = t("lane.the_best", { value });
            }
            return t("lane.try", { try: i + 1, value });
        })
        .join(" ");
}

const path = (name, d) => svg("path", { d, class: name });
const text = (x, y, name, words, anchor) =>
    svg("text", { x: n(x), y, class: name, "text-anchor": anchor }, words);

/* Edge lines of lanes, a start line across them. */
function track({ count, left, start, top, pitch, right, thin, wobble }) {
    const parts = [];
    for (let i = 0; i <= count; i += 1) {
        const y = top + pitch * i;
        parts.push(path("lane-edge" + thin, chalkLine(left, y, right, y, wobble)));
    }
    parts.push(path("lane-start", chalkLine(start, top, start, top + pitch * count, wobble)));
    return parts;
}

/* A marker, ringed when it is the best, and its value. */
function marker({ x, y, size, ringed, index, value, name, wobble }) {
    return [
        ringed ? path("lane-ring", chalkRing(x, y, size * 1.7, wobble, 0.5)) : null,
        path("lane-mark lane-" + (index + 1), chalkRing(x, y, size, wobble, 0) + "Z"),
        text(x + (ringed ? 2 * size + 3 : size + 5), y + 5, name, value)
    ];
}

/* One lane's number, trail, marker, value. */
function lane({ y, index, attempt, ringed, end, lower, unit, wobble }) {
    const number = text(6, y + 5, "lane-no", String(index + 1));
    if (!attempt) {
        return [number, path("lane-edge", chalkRing(LEFT + 2, y, 6, wobble, -0.7))];
    }
    const x = along(attempt.value, end, lower, LEFT + 10, RIGHT);
    const to = Math.max(LEFT + 5, x - 12);
    return [
        number,
        path("lane-trail lane-" + (index + 1), chalkLine(LEFT + 4, y, to, y, wobble)),
        marker({ x, y, size: 8.5, ringed, index, value: shortValue(attempt.value, unit), wobble }),
        attempt.part && !attempt.going
            ? path("lane-start", chalkLine(x - 6, y + 6, x + 6, y - 6, wobble))
            : null
    ];
}

function drawn(name, height, words, parts) {
    return svg(
        "svg",
        { viewBox: "0 0 " + WIDTH + " " + height, class: "lanes" + name, role: "img", "aria-label": words },
        parts
    );
}

/* A hand-in as lanes.
 * {attempts: [{value, distance_mm?, part?} | null], best?: value or null (worked out when left out),
 *  activity: {kind, unit, lower_is_better, throws?, zones?, cap?}, before?: own best so far (dashed),
 *  end?: end of the track, small?: bool, label?: words before the values} */
export function lanes(o) {
    const { activity, attempts } = o;
    const lower = Boolean(activity.lower_is_better);
    const best = o.best === undefined ? bestOf(attempts, lower) : o.best;
    const before = o.before === undefined ? null : o.before;
    const values = attempts
        .filter(Boolean)
        .map((a) => a.value)
        .concat(before === null ? [] : [before]);
    const end = o.end || trackEnd(activity, values);
    const pitch = 38,
        top = before === null ? 4 : 22,
        count = attempts.length,
        bottom = top + pitch * count;
    const wobble = hand(count * 7 + 3);
    const parts = [
        track({ count, left: 24, start: LEFT - 8, top, pitch, right: WIDTH - 4, thin: "", wobble })
    ];
    if (before !== null) {
        const x = along(before, end, lower, LEFT + 10, RIGHT);
        const anchor = x > 200 ? "end" : x < 80 ? "start" : "middle";
        const words = t("lane.before", { value: shortValue(before, activity.unit) });
        parts.push(path("lane-best", chalkLine(x, top - 2, x, bottom, wobble)));
        parts.push(text(x, 14, "lane-no", words, anchor));
    }
    attempts.forEach((attempt, index) => {
        const y = top + pitch * index + pitch / 2;
        const ringed = isBest(attempt, best, index, attempts);
        parts.push(lane({ y, index, attempt, end, lower, unit: activity.unit, wobble, ringed }));
    });
    const words = (o.label ? o.label + ": " : "") + laneWords(attempts, best, activity.unit);
    return drawn(o.small ? " lanes-small" : "", bottom + 4, words, parts);
}

/* Hand-ins over time, oldest first, on one track: thin lanes, a block a day.
 * {line: {activity, best, hand_ins: [{on, attempts, best}]}, last?: only so many, end?} */
export function lanesOverTime(o) {
    const { activity } = o.line;
    const all = o.line.hand_ins.filter((h) => h.attempts.length);
    const shown = o.last ? all.slice(-o.last) : all;
    const lower = Boolean(activity.lower_is_better);
    const values = [];
    all.forEach((h) => h.attempts.forEach((a) => values.push(a.value)));
    const end = o.end || trackEnd(activity, values);
    const pitch = 19,
        gap = 9,
        left = 66,
        right = 234;
    const wobble = hand(shown.length * 5 + 11);
    const parts = [];
    let top = 3;
    for (const h of shown) {
        const count = h.attempts.length;
        const thin = " lane-thin";
        parts.push(text(0, top + (count * pitch) / 2 + 5, "lane-no", dayWords(h.on, "short")));
        parts.push(
            track({ count, left: left - 6, start: left - 4, top, pitch, right: WIDTH - 2, thin, wobble })
        );
        h.attempts.forEach((a, index) => {
            const x = along(a.value, end, lower, left + 6, right);
            const y = top + index * pitch + pitch / 2;
            const ringed = isBest(a, h.best, index, h.attempts);
            const value = shortValue(a.value, activity.unit);
            parts.push(marker({ x, y, size: 5, ringed, index, value, name: "lane-value", wobble }));
        });
        top += count * pitch + gap;
    }
    const words = shown
        .map((h) => dayWords(h.on) + ". " + laneWords(h.attempts, h.best, activity.unit))
        .join(" ");
    return drawn(" lanes-time", top + 1, words, parts);
}

/* The same in words, for beside or instead of the drawing. */
export function lanesTable(line) {
    const { activity } = line;
    return el(
        "table",
        { class: "table dense" },
        el(
            "thead",
            null,
            el(
                "tr",
                null,
                el("th", { scope: "col" }, t("lane.day")),
                el("th", { scope: "col" }, t("lane.tries")),
                el("th", { scope: "col" }, t("lane.best"))
            )
        ),
        el(
            "tbody",
            null,
            line.hand_ins.map((h) =>
                el(
                    "tr",
                    null,
                    el("th", { scope: "row" }, dayWords(h.on)),
                    el(
                        "td",
                        null,
                        h.attempts.length
                            ? h.attempts.map((a) => shortValue(a.value, activity.unit)).join(", ")
                            : t("lane.none")
                    ),
                    el("td", null, h.best === null ? "" : shortValue(h.best, activity.unit))
                )
            )
        )
    );
}
