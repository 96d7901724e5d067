/* SPDX-License-Identifier: MIT
 * What is offered to begin a report with: what the teacher decided, what was seen in lessons and what was
 * looked for and not yet seen. How often or whether a home sent is not known here. A child is called by
 * name: Thrice holds nothing that a pronoun could be made from. */

function listed(items) {
    return items.length < 2 ? items.join("") : items.slice(0, -1).join(", ") + " and " + items[items.length - 1];
}

function low(text) {
    return "“" + text.replace(/[.\s]+$/, "") + "”";
}

/* The facts of one row of the unit end, as said by the class's own teachers:
 * {name, unit, band or null, seen: [texts], notSeen: [texts], right, answered} */
export function factsOf(row, data) {
    const texts = (value) => data.cues.filter((c) => row.evidence.seen[c.id] === value).map((c) => c.text).filter((t, i, all) => all.indexOf(t) === i);
    return { name: row.pupil.display_name, unit: data.unit.name, band: row.assessment ? data.band_words[row.assessment.band] : null,
        seen: texts(true), notSeen: texts(false), right: row.evidence.questions_right, answered: row.evidence.questions_answered };
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
    return [f.band || "not decided", f.seen.slice(0, 2).join("; ") || "nothing seen yet", f.notSeen[0] || ""];
}
