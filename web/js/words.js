/* SPDX-License-Identifier: MIT
 * Numbers, days and codes in everyday words, in the language of msg.js. Values are integers in the
 * activity's unit (points, count, ms, mm); nobody should ever read a millisecond. */

import { t, knows, own } from "./msg.js";

/* 12400 ms -> "12.4"; 850 mm -> "85"; points and counts as they are. */
function everyday(value, unit) {
    if (unit === "ms") {
        return Math.round(value / 10) / 100;
    }
    return unit === "mm" ? Math.round(value) / 10 : value;
}

function written(number) {
    return String(number).replace(".", t("number.point"));
}

export function plainNumber(value, unit) {
    return written(everyday(value, unit));
}

/* "12.4 s", "85 cm", "7": fits beside a marker. */
export function shortValue(value, unit) {
    const number = plainNumber(value, unit);
    return unit === "ms" || unit === "mm" ? t("value.short_" + unit, { number }) : number;
}

/* "12.4 seconds", "85 cm", "1 point", "17". */
export function longValue(value, unit) {
    const number = plainNumber(value, unit);
    return unit === "count" ? number : t("value.long_" + unit, { number, n: everyday(value, unit) });
}

/* What to type: "seconds", "cm", "points", "how many". */
export function unitName(unit) {
    return t("value.unit_" + unit);
}

/* Everyday text -> integer in the unit, or null. "12.4", "12,4" and "1:05" (seconds) are read. */
export function readValue(text, unit) {
    const typed = String(text).trim().replace(",", ".");
    const clock = /^(\d{1,3}):([0-5]\d(?:\.\d{1,3})?)$/.exec(typed);
    if (clock && unit === "ms") {
        return Math.round((Number(clock[1]) * 60 + Number(clock[2])) * 1000);
    }
    if (!/^\d{1,7}(\.\d{1,3})?$/.test(typed)) {
        return null;
    }
    const number = Number(typed);
    if (unit === "ms") {
        return Math.round(number * 1000);
    }
    if (unit === "mm") {
        return Math.round(number * 10);
    }
    return Number.isInteger(number) ? number : null;
}

/* 3000 -> "3 m"; 2500 -> "2.5 m" */
export function distance(mm) {
    return t("value.metres", { number: written(Math.round(mm / 10) / 100) });
}

/* "7 points from 3 m" */
export function valueFrom(value, unit, mm) {
    const words = longValue(value, unit);
    return mm ? t("value.from", { value: words, far: distance(mm) }) : words;
}

/* A measure rounded to what the activity measures in. */
export function toResolution(value, resolution) {
    const step = resolution > 0 ? resolution : 1;
    return Math.round(value / step) * step;
}

/* Days ---------------------------------------------------------------------------------------- */

function dayNumber(day) {
    const [y, m, d] = day.split("-").map(Number);
    return Math.round(Date.UTC(y, m - 1, d) / 86400000);
}

/* This device's day as "YYYY-MM-DD". */
export function deviceDay(when) {
    const d = when || new Date();
    const two = (n) => (n < 10 ? "0" : "") + n;
    return d.getFullYear() + "-" + two(d.getMonth() + 1) + "-" + two(d.getDate());
}

/* The last day of a span that ends at this instant. */
export function dayOf(instant) {
    return deviceDay(new Date(new Date(instant).getTime() - 1000));
}

/* Names of days and months bend in a sentence, so each language lists its own. */
function nameOf(list, index) {
    return t(list).split("|")[index];
}

/* "2026-03-06" -> "Friday 6 March"; `year`: "6 March 2026"; `short`: "6 Mar"; `month`: "6 March". */
export function dayWords(day, form) {
    const [year, m, d] = day.split("-").map(Number);
    return t("date." + (form || "long"), {
        weekday: nameOf("date.weekdays", new Date(Date.UTC(year, m - 1, d)).getUTCDay()),
        day: d,
        month: nameOf(form === "short" ? "date.months_short" : "date.months", m - 1),
        year
    });
}

/* "Do it by Friday." or "It was for Friday 6 March." */
export function dueSentence(dueAt, today) {
    const day = dayOf(dueAt);
    const away = dayNumber(day) - dayNumber(today);
    if (away < 0) {
        return t("due.past", { day: dayWords(day) });
    }
    if (away < 2) {
        return t(away === 0 ? "due.today" : "due.tomorrow");
    }
    return t("due.day", {
        day:
            away < 7
                ? nameOf("date.by_weekdays", (dayNumber(day) + 4) % 7) /* day 0 was a Thursday */
                : dayWords(day, "month")
    });
}

/* Errors ----------------------------------------------------------------------------------------- */

/* One sentence for a failure (ApiError): for an adult, or with `stem` "childerror." */
export function errorWords(error, stem) {
    const own = stem || "error.";
    const key = own + String(error.slug).replace(/_/g, "-");
    return t(knows(key) ? key : own + "other");
}

/* One sentence for a field's code; `nearest` totals are named. */
export function codeWords(item) {
    if (item.nearest && item.nearest.length) {
        return t("code.cannot") + " " + nearestWords(item.nearest);
    }
    return t(knows("code." + item.code) ? "code." + item.code : "code.other");
}

/* [15, 17] -> "15 or 17 can." */
export function nearestWords(nearest) {
    return nearest.length > 1
        ? t("code.nearest_two", { low: nearest[0], high: nearest[1] })
        : t("code.nearest_one", { total: nearest[0] });
}

/* "a", "a and b", "a, b and c" */
export function listWords(items) {
    if (items.length < 2) {
        return items.join("");
    }
    const last = items[items.length - 1];
    return t("value.and", { some: items.slice(0, -1).join(t("value.comma")), last });
}

/* Own best --------------------------------------------------------------------------------------- */

/* What changed, in words for the child: from a hand-in's own_best. */
export function ownBestWords(best, unit) {
    if (!best || !best.status) {
        return null;
    }
    const none = (v) => v === null || v === undefined;
    const far = best.distance_mm;
    const value = none(best.value) ? "" : valueFrom(best.value, unit, far);
    const before = none(best.before) ? "" : longValue(best.before, unit);
    switch (best.status) {
        case "new_best":
            return (
                t("own.new_best", { value }) + (before ? " " + t("own.before", { before }) : "")
            );
        case "first":
        case "new_best_farther":
        case "equal_best":
            return t("own." + best.status, { value });
        case "first_at_distance":
            return far
                ? t("own.first_at_distance", { value: longValue(best.value, unit), far: distance(far) })
                : t("own.first", { value });
        default:
            return before ? t("own.still", { before }) : t("own.as_it_was");
    }
}

/* What to try next. A place is said as how far it is, never as the change: "2 m back" can be read two
 * ways. `kind`: the version's, since who sits is not told to stand. */
export function nextWords(next, unit, kind) {
    if (!next || !knows("next." + next.kind)) {
        return null;
    }
    const moves = next.kind === "closer" || next.kind === "further";
    return t("next." + (moves && kind === "seated" ? "sit" : next.kind), {
        value: next.value === undefined || next.value === null ? "" : longValue(next.value, unit),
        far: next.distance_mm ? distance(next.distance_mm) : ""
    });
}

/* The teaching points met, each without its full stop. */
export function pointsWords(met) {
    return listWords(met.map((text) => own(text).replace(/[.\u06d4](\u2069?)$/, "$1")));
}

/* "15 points from 2 m and 12 points from 3 m" */
export function bestsWords(line) {
    const some = line.bests.filter((b) => b.value); /* nothing, from one distance, is no best to speak of */
    return listWords((some[0] ? some : line.bests).map((b) => valueFrom(b.value, line.activity.unit, b.distance_mm)));
}
