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

/* One lane's edge lines, number, trail, marker, value. */
function lane(o) {
    const parts = [];
    const { y, index, attempt, ringed, wobble } = o;
    parts.push(svg("text", { x: 6, y: y + 5, class: "lane-no" }, String(index + 1)));
    if (!attempt) {
        parts.push(svg("path", { d: chalkRing(LEFT + 2, y, 6, wobble, -0.7), class: "lane-edge" }));
        return parts;
    }
    const x = along(attempt.value, o.end, o.lower, LEFT + 10, RIGHT);
    parts.push(
        svg("path", {
            d: chalkLine(LEFT + 4, y, Math.max(LEFT + 5, x - 12), y, wobble),
            class: "lane-trail lane-" + (index + 1)
        })
    );
    if (ringed) {
        parts.push(svg("path", { d: chalkRing(x, y, 14.5, wobble, 0.5), class: "lane-ring" }));
    }
    parts.push(
        svg("path", {
            d: chalkRing(x, y, 8.5, wobble, 0) + "Z",
            class: "lane-mark lane-" + (index + 1)
        })
    );
    if (attempt.part && !attempt.going) {
        parts.push(
            svg("path", { d: chalkLine(x - 6, y + 6, x + 6, y - 6, wobble), class: "lane-start" })
        );
    }
    parts.push(
        svg("text", { x: n(x + (ringed ? 20 : 14)), y: y + 5 }, shortValue(attempt.value, o.unit))
    );
    return parts;
}

/* A hand-in as lanes.
 * {attempts: [{value, distance_mm?, part?} | null], best?: value or null (worked out when left out),
 *  activity: {kind, unit, lower_is_better, throws?, zones?, cap?}, before?: own best so far (dashed),
 *  end?: end of the track, small?: bool, label?: words before the values} */
export function lanes(o) {
    const { activity, attempts } = o;
    const lower = Boolean(activity.lower_is_better);
    const best = o.best === undefined ? bestOf(attempts, lower) : o.best;
    const values = attempts
        .filter(Boolean)
        .map((a) => a.value)
        .concat(o.before === null || o.before === undefined ? [] : [o.before]);
    const end = o.end || trackEnd(activity, values);
    const pitch = 38,
        top = o.before === null || o.before === undefined ? 4 : 22;
    const height = top + pitch * attempts.length + 4;
    const wobble = hand(attempts.length * 7 + 3);
    const drawing = svg("svg", {
        viewBox: "0 0 " + WIDTH + " " + height,
        class: "lanes" + (o.small ? " lanes-small" : ""),
        role: "img",
        "aria-label": (o.label ? o.label + ": " : "") + laneWords(attempts, best, activity.unit)
    });
    for (let i = 0; i <= attempts.length; i += 1) {
        drawing.appendChild(
            svg("path", {
                d: chalkLine(24, top + pitch * i, WIDTH - 4, top + pitch * i, wobble),
                class: "lane-edge"
            })
        );
    }
    drawing.appendChild(
        svg("path", {
            d: chalkLine(LEFT - 8, top, LEFT - 8, height - 4, wobble),
            class: "lane-start"
        })
    );
    if (top > 4) {
        const x = along(o.before, end, lower, LEFT + 10, RIGHT);
        drawing.appendChild(
            svg("path", { d: chalkLine(x, top - 2, x, height - 4, wobble), class: "lane-best" })
        );
        drawing.appendChild(
            svg(
                "text",
                {
                    x: n(x),
                    y: 14,
                    "text-anchor": x > 200 ? "end" : x < 80 ? "start" : "middle",
                    class: "lane-no"
                },
                t("lane.before", { value: shortValue(o.before, activity.unit) })
            )
        );
    }
    attempts.forEach((attempt, index) => {
        const parts = lane({
            y: top + pitch * index + pitch / 2,
            index,
            attempt,
            end,
            lower,
            unit: activity.unit,
            wobble,
            ringed: isBest(attempt, best, index, attempts)
        });
        parts.forEach((p) => drawing.appendChild(p));
    });
    return drawing;
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
    let height = 4;
    shown.forEach((h) => {
        height += h.attempts.length * pitch + gap;
    });
    const wobble = hand(shown.length * 5 + 11);
    const words = shown
        .map((h) => dayWords(h.on) + ". " + laneWords(h.attempts, h.best, activity.unit))
        .join(" ");
    const drawing = svg("svg", {
        viewBox: "0 0 " + WIDTH + " " + Math.max(height, 10),
        class: "lanes lanes-time",
        role: "img",
        "aria-label": words
    });
    let y = 3;
    for (const h of shown) {
        const tall = h.attempts.length * pitch;
        drawing.appendChild(
            svg("text", { x: 0, y: y + tall / 2 + 5, class: "lane-no" }, dayWords(h.on, "short"))
        );
        for (let i = 0; i <= h.attempts.length; i += 1) {
            drawing.appendChild(
                svg("path", {
                    d: chalkLine(left - 6, y + i * pitch, WIDTH - 2, y + i * pitch, wobble),
                    class: "lane-edge lane-thin"
                })
            );
        }
        drawing.appendChild(
            svg("path", {
                d: chalkLine(left - 4, y, left - 4, y + tall, wobble),
                class: "lane-start"
            })
        );
        h.attempts.forEach((a, i) => {
            const x = along(a.value, end, lower, left + 6, right),
                middle = y + i * pitch + pitch / 2;
            const ringed = isBest(a, h.best, i, h.attempts);
            if (ringed) {
                drawing.appendChild(
                    svg("path", { d: chalkRing(x, middle, 8.6, wobble, 0.5), class: "lane-ring" })
                );
            }
            drawing.appendChild(
                svg("path", {
                    d: chalkRing(x, middle, 5, wobble, 0) + "Z",
                    class: "lane-mark lane-" + (i + 1)
                })
            );
            drawing.appendChild(
                svg(
                    "text",
                    { x: n(x + (ringed ? 13 : 9)), y: middle + 4.5, class: "lane-value" },
                    shortValue(a.value, activity.unit)
                )
            );
        });
        y += tall + gap;
    }
    return drawing;
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
