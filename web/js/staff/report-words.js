/* SPDX-License-Identifier: MIT
 * What is offered to begin a report with: what the teacher decided and shared with families, what was seen in lessons
 * and what was looked for and not yet seen. The server gives no other facts: an assessment that is not shared is known
 * here by that alone, and how often or whether a home sent is not known at all. A child is called by name: Thrice
 * holds nothing that a pronoun could be made from. */

function listed(items) {
    return items.length < 2 ? items.join("") : items.slice(0, -1).join(", ") + " and " + items[items.length - 1];
}

function low(text) {
    return "“" + text.replace(/[.\s]+$/, "") + "”";
}

const STATES = { none: "not decided", not_shared: "not shared yet", second_view_open: "second view first" };

/* {name, unit, state, band or null, seen: [texts], notSeen: [texts], right, answered} of one row of the reports. */
export function factsOf(row, unit) {
    const { assessment, seen, not_seen: notSeen, questions_right: right, questions_answered: answered } = row.facts;
    return { name: row.display_name, unit: unit.name, state: assessment.state, band: assessment.word, seen, notSeen, right, answered };
}

/* The teacher assessment in words: the school's own where families may see it, else why it is not said. */
export function assessmentWords(f) {
    return f.band || STATES[f.state];
}

/* Why no sentence says the assessment, or "". */
export function heldBack(f) {
    return f.state === "not_shared" ? "Teacher assessment: not shared yet, so it is not offered."
        : f.state === "second_view_open" ? "Teacher assessment: not shown until you have given the second view that you were asked for." : "";
}

/* When there is no sentence. */
export function nothingToOffer(f) {
    return f.state === "none" ? "Nothing has been decided or seen in lessons yet, so there is nothing to write from."
        : "Nothing has been seen in lessons yet, so there is nothing else to write from.";
}

/* Two or three sentences, or "" when there is nothing to write from. */
export function sentences(f) {
    const out = [];
    if (f.band) {
        out.push(f.name + "’s teacher assessment in " + f.unit + " is " + low(f.band) + ".");
    }
    if (f.seen.length) {
        out.push("In lessons " + f.name + " showed " + listed(f.seen.slice(0, 2).map(low)) + (f.answered > 1 && f.right === f.answered ? ", and could say why" : "") + ".");
    }
    if (f.notSeen.length) {
        out.push("A next step for " + f.name + " is " + low(f.notSeen[0]) + ".");
    }
    return out.join(" ");
}

/* One line for parents' evening: [assessment, strength, next step]. */
export function oneLine(f) {
    return [assessmentWords(f), f.seen.slice(0, 2).join("; ") || "nothing seen yet", f.notSeen[0] || ""];
}
