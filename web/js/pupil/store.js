/* SPDX-License-Identifier: MIT
 * What this device keeps, for 35 days at most: JSON under text keys in IndexedDB, with a copy in
 * memory so that reading never waits.
 *
 *   kid/<id>                 a child's opaque id, card picture and list of challenges
 *   detail/<id>/<challenge>  a fetched challenge
 *   draft/<id>/<challenge>   tries not sent
 *   send/<uuid>              tries on their way
 *   out                      a session is still to be ended at the server
 *
 * Never a card's letters, a name or a best. Without IndexedDB the tab's own storage has to do, and
 * without that memory alone: lasts() is then false, and the child is told. */

const NAME = "thrice";
const KEPT = "kept";
const TAB = "thrice.";
const DAY_MS = 86400000;
const DAYS = 35;
const WAIT_MS = 3000;

let db = null;
let memory = {};
let writes = 0;

function answered(request) {
    return new Promise((yes, no) => {
        request.onsuccess = () => yes(request.result);
        request.onerror = () => no(request.error);
    });
}

async function connect() {
    const request = window.indexedDB.open(NAME, 1);
    request.onupgradeneeded = () => request.result.createObjectStore(KEPT);
    const late = new Promise((yes, no) => window.setTimeout(no, WAIT_MS));
    db = await Promise.race([answered(request), late]);
    db.onclose = () => {
        db = null;
    };
    db.onversionchange = () => db.close();
}

async function everything() {
    const found = {};
    await new Promise((yes, no) => {
        const request = db.transaction(KEPT).objectStore(KEPT).openCursor();
        request.onerror = () => no(request.error);
        request.onsuccess = () => {
            const at = request.result;
            if (at) {
                found[at.key] = at.value;
                at.continue();
            } else {
                yes();
            }
        };
    });
    return found;
}

function ofTab() {
    const found = {};
    try {
        for (let i = 0; i < window.sessionStorage.length; i += 1) {
            const name = window.sessionStorage.key(i);
            if (name.startsWith(TAB)) {
                found[name.slice(TAB.length)] = window.sessionStorage.getItem(name);
            }
        }
    } catch (e) {
        return memory;
    }
    return Object.assign({}, memory, found);
}

/* What other tabs have written since. */
export async function refresh() {
    if (!db) {
        memory = ofTab();
        return;
    }
    try {
        for (let before = -1; before !== writes; ) {
            before = writes;
            const found = await everything();
            memory = before === writes ? found : memory;
        }
    } catch (e) {
        db = null;
    }
}

/* Puts text (null: nothing) under a key; the promise is kept once the device has it. */
async function put(key, text) {
    writes += 1;
    if (text === null) {
        delete memory[key];
    } else {
        memory[key] = text;
    }
    if (db) {
        try {
            /* "strict": tries on their way outlive a battery that dies */
            const how = { durability: key.startsWith("send/") ? "strict" : "default" };
            const change = db.transaction(KEPT, "readwrite", how);
            const box = change.objectStore(KEPT);
            if (text === null) {
                box.delete(key);
            } else {
                box.put(text, key);
            }
            await new Promise((yes, no) => {
                change.oncomplete = yes;
                change.onabort = no;
                change.onerror = no;
            });
            return;
        } catch (e) {
            db = null; /* full, or taken away: the tab's storage from now on */
        }
    }
    try {
        if (text === null) {
            window.sessionStorage.removeItem(TAB + key);
        } else {
            window.sessionStorage.setItem(TAB + key, text);
        }
    } catch (e) {
        return;
    }
}

export function read(key) {
    try {
        return memory[key] ? JSON.parse(memory[key]) : null;
    } catch (e) {
        return null;
    }
}

/* `value` is an object; it gets the time at which it was first kept. */
export function write(key, value) {
    value.since = value.since || Date.now();
    return put(key, JSON.stringify(value));
}

export function remove(key) {
    return put(key, null);
}

export function keys(stem) {
    return Object.keys(memory)
        .filter((key) => key.startsWith(stem))
        .sort();
}

export function lasts() {
    return db !== null;
}

/* Everything of this child. */
export function forget(kid) {
    return Promise.all(
        keys("")
            .filter(
                (key) =>
                    key.split("/")[1] === kid ||
                    (key.startsWith("send/") && (read(key) || {}).pupil === kid)
            )
            .map(remove)
    );
}

/* Opens what is kept; what is too old goes. How many tries on their way went with it. */
export async function openStore() {
    try {
        await connect();
    } catch (e) {
        db = null;
    }
    await refresh();
    let lost = 0;
    for (const key of keys("")) {
        const value = read(key);
        const age = value ? Date.now() - value.since : Infinity;
        if (!(age <= DAYS * DAY_MS)) {
            lost += key.startsWith("send/") ? 1 : 0;
            remove(key);
        } else if (age < -DAY_MS) {
            value.since = Date.now(); /* the clock was put back: counted from today */
            write(key, value);
        }
    }
    return lost;
}
