/* SPDX-License-Identifier: MIT
 * Short ways to write an activity of the library down. What comes out is what the server takes as a new
 * activity. Texts are for a child of seven and whoever reads to them: short sentences, nothing that asks for force
 * or speed. Band lines are made for the three bands that are offered at set-up: a school moves them. */

/* The four ways of doing it: {how, lines: [..]} or {how, target} or words alone. */
export function ways(standard, quiet, seated, noKit) {
    const way = (kind, w) => {
        const how = typeof w === "string" ? w : w.how;
        return { kind, how, ...(w.lines ? { band_lines: w.lines } : {}), ...(w.target ? { own_target: w.target } : {}) };
    };
    return [way("standard", standard), way("quiet", quiet), way("seated", seated), way("no_kit", noKit)];
}

export const lookFor = (...texts) => texts.map((text) => ({ text }));

/* `right` stands among the others, not always in the same place. */
export function ask(text, right, ...others) {
    const choices = others.map((other) => ({ text: other, right: false }));
    choices.splice(text.length % (others.length + 1), 0, { text: right, right: true });
    return { text, choices };
}

/* "a soft ball", "a ball of socks", ... in pairs: what it is, and what a home has instead. */
export function things(...pairs) {
    return pairs.map(([item, swap]) => ({ item, swap }));
}

/* Easier and harder by space, task, equipment and people (STEP, common practice, no source). */
export function step(space, task, equipment, people) {
    return [["space", space], ["task", task], ["equipment", equipment], ["people", people]].map(([change, [easier, harder]]) => ({ change, easier, harder }));
}

export const points = (...zones) => zones.map(([name, worth]) => ({ name, points: worth }));

/* hits out of so many goes; a count in so many seconds; a time */
export const hits = (throws) => ({ kind: "successes", unit: "count", attempts: 3, throws });
export const counted = (seconds, softHigh, hardHigh) => ({ kind: "timed_count", unit: "count", attempts: 3, seconds, soft_high: softHigh, hard_high: hardHigh });
export const timed = (limits) => ({ kind: "measure", unit: "ms", attempts: 3, resolution: 100, ...limits });
export const zones = (throws, list) => ({ kind: "zones", unit: "points", attempts: 3, throws, zones: points(...list) });
