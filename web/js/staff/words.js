/* SPDX-License-Identifier: MIT
 * Staff wording: what a refusal means and how to mend it, names of states, rights and reasons. */

export const STATES = {
    handed_in: "handed in", after_date: "after the date", could_not: "could not", on_paper: "on paper",
    not_yet: "not yet", to_check: "to check"
};
export const SURE = { sure: "sure", fairly: "fairly sure", leaning: "leaning", not_enough: "not enough to say" };
export const VERSIONS = { standard: "standard", quiet: "quiet", seated: "seated", no_kit: "no kit" };
export const KINDS = {
    zones: "aiming at zones (points)", successes: "how many succeed", timed_count: "how many in a time",
    measure: "a time or a distance"
};
export const STRANDS = {
    target: "target games", striking: "striking", catching: "catching", balance: "balance",
    travelling: "travelling", skipping: "skipping", dance: "dance"
};
export const RIGHTS = { teach: "teach", help: "help", read: "read" };
export const SCHOOL_RIGHTS = {
    pe_lead: "PE lead: the plan and results of all classes",
    safeguarding: "Safeguarding: children's messages of all classes",
    office: "Office: roster, cards, staff, dates, audit"
};
export const COULD_NOT = {
    no_space: "no space", no_kit: "no kit", no_device: "no device", no_grown_up: "no grown-up", not_today: "not today"
};
export const ASIDE = {
    child_says: "the child says it is wrong", not_possible: "not possible", wrong_child: "wrong child",
    entered_twice: "entered twice", not_as_set: "not done as set", other_evidence: "other evidence"
};
export const OVERRIDES = {
    seen_in_lessons: "seen in lessons", tries_were_not_typical: "the tries were not typical",
    kit_or_space: "kit or space at home", support_given: "help was given", other_evidence: "other evidence"
};
export const OUTCOMES = {
    acknowledged: "read", passed_on: "passed on to the designated safeguarding lead",
    recorded_elsewhere: "recorded in the school's own record"
};
export const ABOUT = { hurt: "Something hurt", unsafe: "Could not do it safely", talk: "Wants to talk" };
export const PARTS = { head: "head", arm: "arm", leg: "leg", tummy: "tummy", elsewhere: "somewhere else" };

const SLUGS = {
    offline: "No answer from the server. What you typed is still here; try again.",
    "not-signed-in": "You are signed out. Sign in again; what you typed is still here.",
    "wrong-sign-in": "That name and passphrase do not go together.",
    forbidden: "The page is out of date. Load it again.",
    "not-found": "That is not here, or not yours to see.",
    conflict: "That does not fit with what is stored already.",
    "too-large": "That is too much at once.",
    "too-many": "Too many tries for now. Wait a minute and try again.",
    busy: "The server is busy. Wait a moment and try again.",
    "store-full": "The server's disk is full. Nothing was stored. Tell whoever looks after it."
};

const CODES = {
    required: "is missing", too_long: "is too long", too_short: "is too short", not_text: "has signs that cannot be used",
    unknown: "is not known here", not_known: "is not known here", wrong_type: "is not the right kind of value",
    out_of_range: "is out of range", duplicate: "is there already", taken: "is taken already",
    common: "is too easy to guess; use three or more random words", order: "is in the wrong order",
    impossible: "cannot be made", confirm: "is surprising; please confirm it", not_allowed: "is not allowed here",
    disagree: "does not agree with the throws", not_a_choice: "is not one of the choices",
    last_office: "would leave nobody with the office right", two_needed: "needs at least two people"
};

function fieldName(pointer) {
    const parts = String(pointer || "").split("/").filter((p) => p !== "");
    return parts.map((p) => (/^\d+$/.test(p) ? String(Number(p) + 1) : p.replace(/_/g, " "))).join(" ") || "This";
}

/* Something typed here that cannot be read; its message is for the person who typed it. */
export class InputError extends Error {}

/* The sentence for a failure, or for one of its errors. */
export function sentenceFor(error, one) {
    if (one) {
        const more = one.nearest && one.nearest.length ? " (" + one.nearest.join(" or ") + " can)" : "";
        const name = fieldName(one.pointer);
        return name.charAt(0).toUpperCase() + name.slice(1) + " " + (CODES[one.code] || "is not right (" + one.code + ")") + more + ".";
    }
    if (error instanceof InputError) {
        return error.message;
    }
    return SLUGS[error.slug] || error.title || "Something went wrong.";
}

export function count(n, one, many) {
    return n + " " + (n === 1 ? one : many);
}

const DAY = new Intl.DateTimeFormat("en-GB", { weekday: "short", day: "numeric", month: "short", timeZone: "UTC" });
const MOMENT = new Intl.DateTimeFormat("en-GB", { weekday: "short", day: "numeric", month: "short" });

/* "2026-11-25" or an instant -> "Wed 25 Nov". */
export function dayWords(text) {
    if (!text) {
        return "";
    }
    return text.length === 10 ? DAY.format(new Date(text + "T12:00:00Z")) : MOMENT.format(new Date(text));
}

export function yearGroup(n) {
    return n === null || n === undefined ? "" : n === 0 ? "Reception" : "Year " + n;
}
