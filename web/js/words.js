/* SPDX-License-Identifier: MIT
 * Numbers and codes in everyday words. Values are integers in the activity's unit (points, count,
 * ms, mm); nobody should ever read a millisecond. Sentences for children have at most 12 words. */

const DAYS = ["Sunday", "Monday", "Tuesday", "Wednesday", "Thursday", "Friday", "Saturday"];
const MONTHS = [
    "January",
    "February",
    "March",
    "April",
    "May",
    "June",
    "July",
    "August",
    "September",
    "October",
    "November",
    "December"
];

/* 12400 ms -> "12.4"; 850 mm -> "85"; points and counts as they are. */
export function plainNumber(value, unit) {
    if (unit === "ms") {
        return String(Math.round(value / 10) / 100);
    }
    return unit === "mm" ? String(Math.round(value) / 10) : String(value);
}

/* "12.4 s", "85 cm", "7": fits beside a marker. */
export function shortValue(value, unit) {
    const sign = { ms: " s", mm: " cm" }[unit] || "";
    return plainNumber(value, unit) + sign;
}

/* "12.4 seconds", "85 cm", "1 point", "17 times". */
export function longValue(value, unit) {
    const number = plainNumber(value, unit);
    if (unit === "points") {
        return number + (value === 1 ? " point" : " points");
    }
    if (unit === "ms") {
        return number + (number === "1" ? " second" : " seconds");
    }
    return unit === "mm" ? number + " cm" : number;
}

/* What to type: "seconds", "cm", "points", "how many". */
export function unitName(unit) {
    return { points: "points", count: "how many", ms: "seconds", mm: "cm" }[unit] || unit;
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
    return String(Math.round(mm / 10) / 100) + " m";
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

/* "2026-03-06" -> "Friday 6 March"; with `year` "6 March 2026"; `short` "6 Mar". */
export function dayWords(day, form) {
    const [y, m, d] = day.split("-").map(Number);
    const month = MONTHS[m - 1];
    if (form === "short") {
        return d + " " + month.slice(0, 3);
    }
    if (form === "year") {
        return d + " " + month + " " + y;
    }
    return DAYS[new Date(Date.UTC(y, m - 1, d)).getUTCDay()] + " " + d + " " + month;
}

/* "by today", "by tomorrow", "by Friday", "by 14 March", "was for Friday 6 March". */
export function dueWords(dueAt, today) {
    const day = dayOf(dueAt);
    const away = dayNumber(day) - dayNumber(today);
    if (away < 0) {
        return "was for " + dayWords(day);
    }
    if (away === 0) {
        return "by the end of today";
    }
    if (away === 1) {
        return "by tomorrow";
    }
    const [y, m, d] = day.split("-").map(Number);
    if (away < 7) {
        return "by " + DAYS[new Date(Date.UTC(y, m - 1, d)).getUTCDay()];
    }
    return "by " + d + " " + MONTHS[m - 1];
}

/* "Do it by Friday." or "It was for Friday 6 March." */
export function dueSentence(dueAt, today) {
    const words = dueWords(dueAt, today);
    return words.startsWith("was") ? "It " + words + "." : "Do it " + words + ".";
}

/* Fixed words ----------------------------------------------------------------------------------- */

export const versionNames = {
    standard: "Standard",
    quiet: "Quiet",
    seated: "Seated",
    no_kit: "No kit"
};

export const versionNotes = {
    standard: "The usual way, with the usual things.",
    quiet: "Little noise. Good in a flat.",
    seated: "Done sitting down.",
    no_kit: "No special things needed."
};

/* Staff words for the grid. */
export const stateNames = {
    handed_in: "handed in",
    after_date: "after the date",
    could_not: "could not",
    on_paper: "on paper",
    not_yet: "not yet",
    to_check: "to check"
};

/* A child's words for its own tile. */
export const childStates = {
    not_yet: "Not sent yet",
    handed_in: "Sent",
    could_not: "You said: I could not",
    to_check: "Your teacher will look at it"
};

export const couldNotNames = {
    no_space: "There is no safe space",
    no_kit: "I do not have the things",
    no_device: "No screen was free",
    no_grown_up: "No grown-up was near",
    not_today: "Not today"
};

export const feltNames = { too_easy: "Too easy", about_right: "About right", too_hard: "Too hard" };

export const placeNames = { home: "At home", school: "At school", elsewhere: "Somewhere else" };

export const countedNames = { self: "I did", helper: "A helper" };

/* Errors ----------------------------------------------------------------------------------------- */

/* By problem slug, for adults; by field code below. */
const slugs = {
    offline: "No answer came. Check the internet and try again: nothing you typed is lost.",
    "bad-input": "Something needs mending.",
    malformed: "The request could not be read. Load the page again.",
    "not-signed-in": "Your time here has ended. Sign in again.",
    "wrong-sign-in": "That did not match. Check it and try again.",
    forbidden: "This page is out of date. Load it again.",
    "not-found": "That is not here, or not yours to see.",
    conflict: "Somebody changed this first. Load the page again.",
    different: "These were sent before with other numbers. The first ones are kept.",
    "not-open": "This has not opened yet.",
    closed: "This has closed.",
    "enough-today": "That is ten for one day. Come back tomorrow.",
    confirm: "Is that right?",
    "too-large": "That is too much at once.",
    "too-many": "Too many tries. Wait a moment and try again.",
    busy: "Many people are here just now. Try again in a moment.",
    "store-full": "The school's computer has no room left. Nothing was stored. Tell the office.",
    store: "The school's computer could not read or write. Try again, then tell the office.",
    internal: "Something went wrong at the school's computer. Try again, then tell the office.",
    method: "That cannot be done here.",
    "media-type": "That cannot be taken here. Load the page again.",
    "wrong-host": "This is not the school's address for this page. Look at the card again.",
    headers: "The browser sent too much at once. Close it and open it again.",
    off: "Messages are off for this class."
};

const childSlugs = {
    offline: "The internet is not working. Your numbers are safe here.",
    "not-signed-in": "Your time was up. Put your card in again. Your numbers are safe.",
    "wrong-sign-in": "No card has those letters. Look at each letter again.",
    "not-found": "That is not here any more.",
    different: "These tries were sent before. The first ones are kept.",
    "not-open": "This challenge has not opened yet.",
    closed: "This challenge has closed. Your teacher can still add your tries.",
    "enough-today": "That is ten times today. Great work. Rest now.",
    "too-many": "Too many tries just now. Wait a little, then go on.",
    busy: "Lots of people are here. Wait a little, then try again.",
    "store-full": "The school's computer is full. Your numbers are safe here.",
    store: "The school's computer needs a rest. Your numbers are safe here.",
    internal: "Something went wrong. Your numbers are safe. Try again.",
    forbidden: "This page is too old. Open it again.",
    "bad-input": "Something needs mending. Look at the numbers again.",
    malformed: "Something went wrong. Open the page again.",
    confirm: "Is that right?",
    conflict: "This has changed. Open the page again.",
    "too-large": "That is too much at once."
};

const codes = {
    required: "Fill this in.",
    unknown: "This is not one of the choices.",
    type: "This is not the right kind of value.",
    not_a_choice: "Choose one of the list.",
    not_a_day: "That is not a day.",
    too_many: "Those are too many.",
    too_few: "Those are too few.",
    not_an_id: "This is not known here.",
    not_a_uuid: "This is not known here.",
    not_a_time: "That is not a time.",
    not_true_or_false: "Choose yes or no.",
    not_text: "There are signs that cannot be used.",
    not_found: "This is not here any more.",
    archived: "This is not used any more.",
    not_allowed: "That is not allowed here.",
    in_future: "That day has not come yet.",
    too_old: "That day is too long ago.",
    only_hurt: "That is only for something that hurt.",
    too_deep: "That could not be read.",
    too_many_values: "Those are too many.",
    one_way_only: "Use one card at a time.",
    confirm: "Is that right?",
    confirm_distance: "Is that distance right?",
    not_of_this_kind: "This does not fit the activity.",
    check_letter: "One letter is wrong. Look at the card again.",
    letter: "That letter is not on any card.",
    length: "Letters are missing, or there are too many.",
    too_long: "That is too long.",
    too_short: "That is too short.",
    impossible: "That total cannot be made.",
    out_of_range: "That cannot be.",
    wrong_points: "No zone gives those points.",
    too_many_throws: "Those are more throws than a try has.",
    disagree: "The total is not the sum of the throws.",
    nothing: "This try is empty.",
    tries_used: "The number of throws does not fit.",
    distance: "A distance is from 0.5 to 30 m.",
    duplicate: "That is here already.",
    not_one_of: "Choose one of the list.",
    date: "That is not a day.",
    wrong_order: "These are in the wrong order.",
    off: "Messages are off for this class."
};

/* One sentence for a failure (ApiError), for "child" or an adult. */
export function errorWords(error, who) {
    const slug = String(error.slug).replace(/_/g, "-");
    if (who === "child") {
        return childSlugs[slug] || "That did not work. Ask a grown-up to look.";
    }
    if (slugs[slug]) {
        return slugs[slug];
    }
    return error.title ? error.title + "." : "That did not work.";
}

/* One sentence for a field's code; `nearest` totals are named. */
export function codeWords(item) {
    if (item.nearest && item.nearest.length) {
        return "That cannot be made. " + nearestWords(item.nearest);
    }
    return codes[item.code] || "This needs mending.";
}

/* [15, 17] -> "15 or 17 can." */
export function nearestWords(nearest) {
    return nearest.join(" or ") + " can.";
}

/* "a", "a and b", "a, b and c" */
export function listWords(items) {
    if (items.length < 2) {
        return items.join("");
    }
    return items.slice(0, -1).join(", ") + " and " + items[items.length - 1];
}

export function plural(n, one, many) {
    return n + " " + (n === 1 ? one : many);
}

/* Own best --------------------------------------------------------------------------------------- */

/* What changed, in words for the child: from a hand-in's own_best. */
export function ownBestWords(own, unit) {
    if (!own || !own.status) {
        return null;
    }
    const now = own.value === null || own.value === undefined ? "" : longValue(own.value, unit);
    const before =
        own.before === null || own.before === undefined ? "" : longValue(own.before, unit);
    const far = own.distance_mm ? " from " + distance(own.distance_mm) : "";
    switch (own.status) {
        case "first":
            return "Your first score here is " + now + far + ".";
        case "new_best":
            return (
                "A new best for you: " +
                now +
                far +
                "." +
                (before ? " Before, it was " + before + "." : "")
            );
        case "new_best_farther":
            return "As good, and from further away! " + now + far + " is your best.";
        case "first_at_distance":
            return "Your first score" + far + " is " + now + ".";
        case "equal_best":
            return "You matched your best: " + now + far + ".";
        default:
            return before ? "Your best is still " + before + "." : "Your best stays as it was.";
    }
}

export function nextWords(next, unit) {
    switch (next && next.kind) {
        case "score":
            return "Next time, try for " + longValue(next.value, unit) + ".";
        case "closer":
            return "Next time, step closer: " + distance(next.distance_mm) + ".";
        case "same":
            return "Next time, stay at " + distance(next.distance_mm) + ".";
        case "further":
            return "Next time, step back to " + distance(next.distance_mm) + ".";
        case "again":
            return "Next time, see if you can do it again.";
        default:
            return null;
    }
}
