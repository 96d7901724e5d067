/* SPDX-License-Identifier: MIT
 * What a half-made try is worth, whether it can be, and how it is sent. The server judges again:
 * this is only so that a child hears at once, kindly. An attempt in a draft is
 *   {way: "throws", throws: [...]} or {way: "total", value}, with distance_mm?, sure? */

import { t } from "../msg.js";
import { nearestWords, longValue, shortValue } from "../words.js";

/* Goes in one try, and how many hits end it (objects that are not set up again). */
export function goes(activity) {
    return activity.throws || 0;
}

function capReached(activity, attempt) {
    return (
        activity.kind === "successes" &&
        activity.cap &&
        attempt.throws.reduce((a, b) => a + b, 0) >= activity.cap
    );
}

/* The value so far, or null. */
export function valueOf(attempt) {
    if (!attempt) {
        return null;
    }
    if (attempt.way === "throws") {
        return attempt.throws.length ? attempt.throws.reduce((a, b) => a + b, 0) : null;
    }
    return attempt.value === undefined ? null : attempt.value;
}

/* All its goes are made. */
export function isWhole(activity, attempt) {
    if (!attempt || valueOf(attempt) === null) {
        return false;
    }
    return (
        attempt.way !== "throws" ||
        attempt.throws.length >= goes(activity) ||
        Boolean(capReached(activity, attempt))
    );
}

/* The nearest totals that can be made below and above, rising. */
export function nearest(attainable, value) {
    const below = attainable.filter((t) => t < value).pop();
    const above = attainable.find((t) => t > value);
    return [below, above].filter((t) => t !== undefined);
}

/* What a count or a measure can be at all (low, high), and where it is worth a question. */
export function limits(activity) {
    const none = (v) => v === null || v === undefined;
    let { hard_low: low, hard_high: high, soft_low: softLow, soft_high: softHigh } = activity;
    if (activity.kind === "timed_count") {
        low = none(low) ? 0 : low;
        high = none(high) ? activity.seconds * 8 : high;
        softHigh = none(softHigh) ? activity.seconds * 4 : softHigh;
    }
    if (activity.kind === "measure" && none(low)) {
        low = 1;
    }
    return {
        low: none(low) ? -Infinity : low,
        high: none(high) ? Infinity : high,
        softLow: none(softLow) ? -Infinity : softLow,
        softHigh: none(softHigh) ? Infinity : softHigh
    };
}

/* Words for a child when this try cannot be, or null. */
export function cannotBe(activity, attempt) {
    const value = valueOf(attempt);
    if (value === null) {
        return null;
    }
    if (
        attempt.way === "total" &&
        activity.attainable &&
        activity.attainable.length &&
        (activity.kind === "zones" || activity.kind === "successes")
    ) {
        if (activity.attainable.indexOf(value) < 0) {
            return (
                t("try.cannot_make", { value }) +
                " " +
                nearestWords(nearest(activity.attainable, value))
            );
        }
        return null;
    }
    const { low, high } = limits(activity);
    if (value < low) {
        return low <= 1
            ? t("try.nothing")
            : t("try.under", { value: longValue(low, activity.unit) });
    }
    return value > high ? t("try.over", { value: longValue(high, activity.unit) }) : null;
}

/* Possible, but worth one question: "71? Really?" */
export function isSurprising(activity, attempt) {
    const value = valueOf(attempt);
    const { softLow, softHigh } = limits(activity);
    return (
        value !== null &&
        !attempt.sure &&
        activity.kind !== "zones" &&
        activity.kind !== "successes" &&
        (value < softLow || value > softHigh)
    );
}

export function askWords(activity, attempt) {
    return t("try.really", { value: shortValue(valueOf(attempt), activity.unit) });
}

/* As lanes.js draws it. */
export function toLane(activity, attempt, going) {
    const value = valueOf(attempt);
    if (value === null || cannotBe(activity, attempt)) {
        return null;
    }
    return { value, distance_mm: attempt.distance_mm, part: !isWhole(activity, attempt), going };
}

/* As web/openapi.json has an attempt. */
export function toSend(activity, attempt) {
    const sent = attempt.distance_mm ? { distance_mm: attempt.distance_mm } : {};
    if (attempt.way === "throws") {
        if (capReached(activity, attempt) && attempt.throws.length < goes(activity)) {
            return { ...sent, value: valueOf(attempt), tries_used: attempt.throws.length };
        }
        return { ...sent, throws: attempt.throws };
    }
    return { ...sent, value: attempt.value };
}
