/* SPDX-License-Identifier: MIT
 * Staff wording: names of states, rights and reasons; and what a refusal means and how to mend it: the
 * slug of a problem, and for each of its errors the label that people see and what is wrong with it.
 * A code that is not listed is never shown raw. */

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
export const CARD_KINDS = { home: "home", other_home: "other home", school: "school", card_1: "card 1", card_2: "card 2", card_3: "card 3" };
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
    entered_twice: "entered twice", not_as_set: "not done as set", other_evidence: "other evidence",
    mistyped: "typed wrongly from a sheet"
};
/* Why a hand-in is listed, and whether it counts meanwhile. */
export const TO_CHECK = {
    mistake: "says it is a mistake: counts for nothing until somebody has looked",
    surprising: "surprising for this child: counts for nothing until somebody has looked",
    confirmed: "was asked “are you sure?” and said yes: counts",
    part: "a try with fewer throws than asked: evidence, but no best"
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

/* Refusals ---------------------------------------------------------------------------------------- */

const SLUGS = {
    offline: "No answer from the server. What you typed is still here; try again.",
    "bad-input": "Something here needs mending. Nothing was stored.",
    malformed: "The request could not be read. Load the page again.",
    "not-signed-in": "You are signed out. Sign in again; what you typed is still here.",
    "wrong-sign-in": "That name and passphrase do not go together.",
    "card-ended": "This card no longer works. A new one is made on the pupil’s page.",
    forbidden: "That is not allowed here, or the page is out of date. Load it again.",
    "not-found": "That is not here, or not yours to see.",
    method: "That cannot be done here.",
    conflict: "That does not fit with what is stored already. Load the page again and look.",
    different: "Something else was stored before under the same send. The first one is kept.",
    "not-open": "The challenge had not opened on that day.",
    closed: "The challenge was not open on that day.",
    "enough-today": "That is enough of this challenge for one child and one day.",
    confirm: "That is surprising, but it can be. Please confirm it.",
    "too-large": "That is too much at once.",
    "media-type": "That kind of file is not taken here. Save the list as CSV.",
    "wrong-host": "This server does not answer under that address.",
    "too-many": "Too many tries for now. Wait a minute and try again.",
    headers: "The browser sent too much at once. Close it, open it again and sign in.",
    busy: "The server is busy. Wait a moment and try again.",
    store: "The data could not be read or written. Tell whoever looks after the server.",
    "store-full": "The server's disk is full. Nothing was stored. Tell whoever looks after it.",
    internal: "Something went wrong on the server. Nothing was stored. Try again."
};

/* Go behind the name of the field. */
const CODES = {
    required: "is missing", empty: "is empty", too_long: "is too long", too_short: "is too short",
    not_text: "has signs that cannot be used", control_character: "has a sign that cannot be shown",
    bidi: "has a sign that turns text around", formula: "begins like a spreadsheet formula",
    duplicate: "is there already", twice: "is there twice", taken: "is taken already", same: "is the same as before",
    unknown: "is not known here", not_found: "is not here, or not yours to see",
    id: "is not known here", not_an_id: "is not known here", not_a_uuid: "is not known here", not_a_key: "is not known here",
    type: "is not the right kind of value", not_json: "cannot be read", duplicate_key: "cannot be read",
    not_true_or_false: "has to be yes or no", not_a_choice: "is not one of the choices", choice: "is not one of the choices",
    day: "is not a day", not_a_day: "is not a day", not_a_time: "is not a time",
    in_future: "is in the future", in_past: "is over already", too_old: "is too long ago", before_start: "is before the first day", before_year: "is before this school year",
    other_day: "is not today by the server's clock; load the page again",
    overlap: "has two that overlap", out_of_range: "is out of range", too_few: "has too few entries",
    too_many: "has too many entries", too_many_values: "has too many entries", too_many_throws: "has more goes than a try has",
    too_deep: "cannot be read", wrong_order: "is in the wrong order",
    not_of_this_kind: "does not go with this kind of score", wrong_points: "has points that no zone gives",
    tries_used: "has a number of goes that does not fit", distance: "has to be from 0.5 to 30 m",
    impossible: "cannot be made", not_of_standard: "is not for the standard version", lines_or_target: "does not go with band lines: a version has one or the other", confirm: "is surprising; please confirm it", confirm_distance: "is surprising; please confirm it",
    disagree: "is not the sum of the goes", not_allowed: "is not allowed here", archived: "has been archived",
    year_group: "is from Reception to Year 7", in_use: "is in use: an assessment has that band", time_zone: "is not a time zone that this server knows",
    common: "is too easy to guess; use three or more random words", own_words: "is easy to guess: it is the school's name, your name or this page's; use three or more random words", wrong: "is not right",
    choose: "has to be chosen", not_empty: "still has children in it", no_miss: "needs one of 0 points, for a miss", one_right: "needs exactly one right answer",
    may_not_read: "has somebody who may not read them",
    office_only: "can be changed by the office only", group: "is for classes only; a group takes pupils from classes",
    other_class: "belongs to another class", not_in_class: "is not in this class", class_required: "is missing", not_a_class: "is a group; bring the list into a class",
    not_a_group: "is a class; only a group takes pupils of other classes", not_a_live_card: "no longer works",
    off: "is off for this class", left: "has left the school",
    asked: "has been asked about already", decided_by_them: "was decided by this colleague, who cannot give the second view as well", may_not_see: "may not see this class"
};

/* Say all by themselves. */
const WHOLE = {
    no_standard: "The standard version is missing: say how it is done.",
    plan_changed: "Something has changed since the plan was shown. Look at it again, then do it.",
    moved_already: "The classes have moved up within the last 180 days. If this is another school year, say so.",
    back_up_first: "Say first that a backup of today has been made.",
    made_by_another: "The band boundaries and what they judge belong to whoever made this activity, and to the PE lead. Make a copy: that one is yours.",
    set_again_first: "It is cancelled for this class. Set it again first.",
    with_dates: "Cancel it or change its dates, not both at once.",
    last_office: "Somebody has to keep the office right. Give it to another person first.",
    over: "This waits no more: it was decided, taken back, or has lapsed. Load the page again.",
    own: "This concerns you: somebody else has to accept it.",
    asked_by_you: "You asked for this: somebody else has to accept it.",
    not_agreed: "Your own right or account waits for a second person. Until one agrees you accept nothing.",
    asker: "Who asked may not ask for this: their own right or account waits for a second person, or is no longer there. Decline it, and ask again yourself.",
    account_disabled: "The account is disabled. It can be accepted once it has been let in again.",
    not_signed_in: "The person it concerns has not signed in with a passphrase of their own yet. It can be accepted once they have.",
    nothing_to_accept: "There is nothing to accept about that: two persons have agreed, or the right is not there.",
    one_way_only: "Come in one way only: with a name and passphrase, or with a card.",
    three_live: "This child has three live cards of that kind. Cancel or replace one first.",
    changed: "This was changed elsewhere since it was shown here.",
    must_change: "Choose a passphrase of your own first.",
    second_view_open: "You still owe a second view of this child. Give it first; until then nothing that was suggested or decided is shown to you.",
    eight_open: "At most eight second views of a class and unit are open at once. Wait for some, or take some back.",
    given: "This second view has been given already.", not_given: "The second view has not been given yet.", agreed: "What you agreed on is recorded already.",
    decide_first: "There is no teacher assessment of this child yet. Decide it first; then the two can be held side by side.",
    only_hurt: "Only a message that something hurt has that.",
    ticked: "Somebody was ticked against these words. Put the statement away and add another.",
    forty_statements: "There are 40 statements in use. Put one away first.",
    not_yet: "One-time codes are not asked for yet.",
    no_header: "The list has several columns and no headings. Put “name” above the names.",
    no_name_column: "The list has no column of names. Call it “name”, or “forename” and “surname”.",
    quote_not_closed: "The list has a quotation mark that is never closed.",
    too_many_rows: "The list has more than 2,000 rows.",
    too_large: "The list is larger than 1 MiB."
};

/* Two fields that do not go together, by the one that was named. */
const ORDER = {
    opens_on: "Opens has to be before Due.", opens_at: "Opens has to be before Due.", due_on: "Due has to be after Opens.", due_at: "Due has to be after Opens.", closes_on: "Closes has to be after Due.", closes_at: "Closes has to be after Due.",
    hard_high: "“Impossible above” has to be more than “Impossible below”.", soft_low: "“Ask once below” has to lie between the impossible ends.",
    soft_high: "“Ask once above” has to lie between “Ask once below” and “Impossible above”.", ends_on: "The last day of a term is before its first day.",
    distances_mm: "The distances go from near to far."
};

/* The last part of a pointer -> the label on the page. */
const LABELS = {
    activity: "Activity", classes: "For", class: "Class", opens_on: "Opens", opens_at: "Opens", due_on: "Due", due_at: "Due",
    closes_on: "Closes", closes_at: "Closes", unit: "Measured in", display_name: "Display name", year_group: "Year group",
    family_view: "Family page", name: "Name", kind: "Kind", strand: "Strand", summary: "In one or two sentences",
    set_up: "How to set it out", scoring: "How to score", attempts: "Tries in one hand-in", throws: "Goes in one try",
    cap: "Objects not set up again", seconds: "Seconds", lower_is_better: "Less is better", resolution: "Measured to the nearest",
    hard_low: "Impossible below", hard_high: "Impossible above", soft_low: "Ask once below", soft_high: "Ask once above",
    reference_mm: "Reference distance", distances_mm: "Distances to choose from", zones: "Zones", targets: "What a home may aim at",
    versions: "Versions", cues: "Teaching points", questions: "Questions to think about", safety: "Safety lines", kit: "Kit",
    steps: "Easier and harder", band_words: "Bands", terms: "Term dates", closed_days: "Days when school is closed",
    time_zone: "Time zone", safeguarding_contact: "Designated safeguarding lead", away_phone: "What children read when school is closed",
    dpia_done_on: "Data protection impact assessment", rights: "Rights", right: "Right", until: "Last day", readers: "Readers of messages",
    old: "Passphrase now", new: "New passphrase", passphrase: "Passphrase", one_time_code: "One-time code", band: "Assessment", bands: "Assessment", reason: "Reason",
    shared: "Sharing", pupil: "Pupil", pupils: "Pupils", version: "Version", from: "From", done_on: "Done on", could_not: "Could not", channel: "From",
    lines: "Band lines", distance_mm: "Distance", holder: "For", label: "Which card", replace: "The card", cue: "Teaching point", seen: "Seen", marks: "What was seen", question: "Question",
    area: "Area", text: "Statement", met: "Yes or not yet", on: "When", archived: "Put away", outcome: "What was done",
    challenge: "Challenge", cancelled: "Cancelled", copied_from: "The activity that is copied", state: "State", before: "The page", phrase: "Phrase", left: "Has left",
    disabled: "Disable", top_year: "Who leaves", backed_up: "The backup", again: "Another school year", seen: "The plan", x1_mm: "Place of the zone", x2_mm: "Place of the zone", y1_mm: "Place of the zone", y2_mm: "Place of the zone"
};

const NTH = {
    attempts: "Try", zones: "Zone", targets: "Target", versions: "Version", cues: "Teaching point", questions: "Question", safety: "Safety line",
    kit: "Kit line", distances_mm: "Distance", band_words: "Band", terms: "Term", closed_days: "Closed day", classes: "Class",
    lines: "Line", standard: "Line", quiet: "Line", seated: "Line", no_kit: "Line", pupils: "Pupil", readers: "Reader", rights: "Right", band_lines: "band line", choices: "answer", steps: "Easier and harder, line"
};

/* Within a list a part has a shorter name; "" is the entry itself. */
const WITHIN = {
    name: "name", points: "points", size_mm: "size", how: "how", text: "", item: "", swap: "or from the house", easier: "easier", harder: "harder",
    starts_on: "first day", ends_on: "last day", kind: "kind", choices: "answers", right: "", band_lines: "band lines", value: "", throws: "",
    distance_mm: "distance", own_target: "own target", change: "", until: "last day", class: ""
};

/* "/zones/1/points" -> "Zone 2: points"; "/hard_low" -> "Impossible below". */
function fieldName(pointer) {
    const parts = String(pointer || "").split("/").filter((p) => p !== "");
    const words = [];
    for (let i = 0; i < parts.length; i += 1) {
        const isNumber = /^\d+$/.test(parts[i]);
        if (!isNumber && /^\d+$/.test(parts[i + 1] || "") && NTH[parts[i]]) {
            words.push(NTH[parts[i]] + " " + (Number(parts[i + 1]) + 1));
            i += 1;
        } else if (!isNumber && words.length) {
            words.push(WITHIN[parts[i]] === undefined ? "" : WITHIN[parts[i]]);
        } else if (!isNumber && LABELS[parts[i]] && (i === parts.length - 1 || parts[i] !== "school")) {
            words.push(LABELS[parts[i]]);
        }
    }
    return words.filter(Boolean).join(": ") || "Something here";
}

/* Something typed here that cannot be read; its message is for the person who typed it. */
export class InputError extends Error {}

/* What is wrong in words, to go behind a name ("Line 4 "). */
export function codeWords(code) {
    return CODES[code] || "cannot be taken as it is";
}

/* An error about the whole request says what the failure says. */
export function isWhole(error, one) {
    return one.pointer === "" && one.code === error.slug;
}

/* The sentence for a failure, or for one of its errors. */
export function sentenceFor(error, one) {
    if (one && !isWhole(error, one)) {
        if (WHOLE[one.code]) {
            return WHOLE[one.code];
        }
        const between = one.code === "wrong_order" || one.code === "before_start" ? ORDER[String(one.pointer).split("/").pop()] : null;
        if (between) {
            return between;
        }
        const more = one.nearest && one.nearest.length ? " (" + one.nearest.join(" or ") + " can)" : "";
        const name = one.line ? "Line " + one.line : fieldName(one.pointer);
        return name + " " + (one.line && one.code === "required" ? "has no name" : codeWords(one.code)) + more + ".";
    }
    if (error instanceof InputError) {
        return error.message;
    }
    const slug = String(error.slug || "").replace(/_/g, "-");
    return SLUGS[slug] || "That did not work. Load the page again, and tell the office if it happens again.";
}

/* Whose an activity's boundaries and its archive are, for somebody whose they are not. */
export function notYours(a) {
    return (a.made_by ? "Made by " + a.made_by + ". Only " + a.made_by + " and the PE lead" : "It came with Thrice. Only the PE lead") +
        " can archive it or change its band boundaries. A copy is yours.";
}

export function count(n, one, many) {
    return n + " " + (n === 1 ? one : many);
}

const DAY = new Intl.DateTimeFormat("en-GB", { weekday: "short", day: "numeric", month: "short", timeZone: "UTC" });
const MOMENT = new Intl.DateTimeFormat("en-GB", { weekday: "short", day: "numeric", month: "short" });

const DAY_OF_YEAR = new Intl.DateTimeFormat("en-GB", { day: "numeric", month: "short", year: "numeric", timeZone: "UTC" });

/* With the year: for what may be read years after. */
export function yearDay(text) {
    return DAY_OF_YEAR.format(new Date(text + "T12:00:00Z"));
}

/* "2026-11-25" or an instant -> "Wed 25 Nov". */
export function dayWords(text) {
    if (!text) {
        return "";
    }
    return text.length === 10 ? DAY.format(new Date(text + "T12:00:00Z")) : MOMENT.format(new Date(text));
}

/* An audit row's action, object and code, as the record has them, in words. */
export const AUDIT_CODES = {
    pupil: "pupil card", family: "family card", replaced: "replaced by another", all: "", open: "open to family cards",
    two_part: "card and phrase", off: "closed", home: "home", other_home: "other home", school: "school", words_read: "languages read"
};

export function yearGroup(n) {
    return n === null || n === undefined ? "" : n === 0 ? "Reception" : "Year " + n;
}
