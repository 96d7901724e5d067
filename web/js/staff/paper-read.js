/* SPDX-License-Identifier: MIT
 * What a member of staff types for one try of a child: a total in everyday units, or each throw ("5 2 0 2").
 * Says at once what cannot be and what could. The server judges again. */

import { readValue, shortValue, unitName } from "../words.js";
import { nearest, limits } from "../pupil/score.js";

const NONE = { attempt: null, value: null, wrong: "" };

function wrong(words) {
    return { attempt: null, value: null, wrong: words };
}

function points(activity) {
    return activity.kind === "zones" ? activity.zones.map((z) => z.points) : [0, 1];
}

function readThrows(parts, activity) {
    const can = points(activity);
    const throws = parts.map(Number);
    const odd = parts.find((p, i) => !/^\d{1,3}$/.test(p) || can.indexOf(throws[i]) < 0);
    if (odd !== undefined) {
        return wrong(odd + " is no throw. " + can.slice().sort((a, b) => a - b).join(", ") + " can be.");
    }
    if (throws.length > activity.throws) {
        return wrong(throws.length + " throws; a try has " + activity.throws + ".");
    }
    return { attempt: { throws }, value: throws.reduce((a, b) => a + b, 0), wrong: "" };
}

function outside(value, activity) {
    const { low, high } = limits(activity);
    if (value < low) {
        return "At least " + shortValue(low, activity.unit) + ".";
    }
    return value > high ? "At most " + shortValue(high, activity.unit) + "." : "";
}

/* {attempt: as the server takes it or null, value, wrong: words or ""}; nothing typed is no attempt. */
export function readTry(text, activity) {
    const typed = text.trim();
    if (typed === "") {
        return NONE;
    }
    const parts = typed.split(/[\s;]+|,\s+/);
    if (activity.throws && parts.length > 1) {
        return readThrows(parts, activity);
    }
    const value = readValue(typed, activity.unit);
    if (value === null) {
        return wrong(activity.throws ? "A total, or each throw with spaces between." : "A number in " + unitName(activity.unit) + ".");
    }
    const can = activity.throws ? activity.attainable : null;
    if (can && can.length && can.indexOf(value) < 0) {
        return wrong("That cannot be. " + nearest(can, value).join(" or ") + " can.");
    }
    const words = can ? "" : outside(value, activity);
    return words ? wrong(words) : { attempt: { value }, value, wrong: "" };
}
