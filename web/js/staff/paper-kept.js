/* SPDX-License-Identifier: MIT
 * What was typed from sheets and is not stored yet, from the first key on, so that a lid closed half-way
 * or a battery that dies loses nothing. Ids and what was typed only, no name of a child; for the member
 * of staff who typed it alone; gone when the row is stored, and after seven days. */

const STEM = "thrice-paper ";
const DAYS_MS = 7 * 86400000;

function read(name) {
    try {
        const kept = JSON.parse(window.localStorage.getItem(name));
        return kept && typeof kept.rows === "object" && Date.now() - kept.at < DAYS_MS ? kept : null;
    } catch (error) {
        return null;
    }
}

function dropOld() {
    try {
        Object.keys(window.localStorage).filter((name) => name.startsWith(STEM) && !read(name)).forEach((name) => window.localStorage.removeItem(name));
    } catch (error) {
        return;         /* no storage in this browser: what is typed lasts as long as the page */
    }
}

/* {get(pupil): {id, typed, ...} or null, put(pupil, row), drop(pupil)} of one challenge and class. */
export function keptRows(who, challenge, klass) {
    const name = STEM + [who, challenge, klass].join(" ");
    dropOld();
    const kept = read(name) || { at: 0, rows: {} };
    const write = () => {
        kept.at = Date.now();
        try {
            if (Object.keys(kept.rows).length) {
                window.localStorage.setItem(name, JSON.stringify(kept));
            } else {
                window.localStorage.removeItem(name);
            }
        } catch (error) {
            return;     /* full or forbidden: as above */
        }
    };
    return {
        get: (pupil) => (Object.prototype.hasOwnProperty.call(kept.rows, pupil) ? kept.rows[pupil] : null),
        put: (pupil, row) => {
            kept.rows[pupil] = row;
            write();
        },
        drop: (pupil) => {
            delete kept.rows[pupil];
            write();
        }
    };
}
