/* SPDX-License-Identifier: MIT
 * Marks that were tapped and not yet sent when the session ended: kept in this tab alone, until the
 * same person has signed in again on it. Ids and values only, no name of a child; closing the tab
 * ends it. Another person never sends them.
 *
 * What is kept: {who, where, marks: [{key, value, on?}]}; where is the page they belong to. */

const PLACE = "thrice-marks";
const PAGE = /^\/staff\/[a-z]+(\?[A-Za-z0-9=&_-]*)?$/;

function here() {
    return window.location.pathname + window.location.search;
}

export function keepMarks(who, changes) {
    const marks = changes.map((c) => ({ key: c.key, value: c.value, on: c.on }));
    try {
        window.sessionStorage.setItem(PLACE, JSON.stringify({ who, where: here(), marks }));
    } catch (error) {
        return;         /* no storage in this browser: the marks go with the page, as before */
    }
}

/* What is kept in this tab, or null. */
export function keptMarks() {
    try {
        const kept = JSON.parse(window.sessionStorage.getItem(PLACE));
        return kept && typeof kept.who === "string" && PAGE.test(kept.where) && Array.isArray(kept.marks) && kept.marks.length ? kept : null;
    } catch (error) {
        return null;
    }
}

/* The marks of this page, for `who` alone; they are kept no longer. Empty for anybody else. */
export function takeMarks(who) {
    const kept = keptMarks();
    if (!kept || kept.who !== who || kept.where !== here()) {
        return [];
    }
    window.sessionStorage.removeItem(PLACE);
    return kept.marks;
}

/* "2 marks" */
export function keptWords(n) {
    return n === 1 ? "1 mark" : n + " marks";
}
