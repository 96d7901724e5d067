/* SPDX-License-Identifier: MIT
 * Sentences of the family's page: what was done, what the numbers are, what to try next. */

import { t } from "./msg.js";
import { longValue, distance, dayWords, bestsWords } from "./words.js";

/* What a line's numbers are: "A score adds up 4 throws. The most is 20." */
export function numberWords(activity) {
    const { kind, unit, throws, most, seconds } = activity;
    return t("figure." + (kind === "measure" ? unit : kind), { throws, most, seconds });
}

/* A line for a family: how often, the best from each distance, where it began; no judgement. */
export function toldWords(line) {
    const { unit, lower_is_better: lower } = line.activity;
    const n = line.hand_ins.length;
    const words = [
        line.since ? t("told.since", { n, day: dayWords(line.since, "year") }) : t("told.times", { n })
    ];
    if (line.bests.length) {
        words.push(t("told.bests", { bests: bestsWords(line) }));
        if (line.first_value !== null) {
            words.push(t("told.first", { first: longValue(line.first_value, unit) }));
        }
        if (lower) {
            words.push(t("told.smaller"));
        }
    }
    return words.join(" ");
}

/* What to try next, for a family. */
export function familyNextWords(n) {
    return t("familynext." + n.next.kind, {
        value: n.next.value === null ? "" : longValue(n.next.value, n.unit),
        far: n.next.distance_mm ? distance(n.next.distance_mm) : ""
    });
}
