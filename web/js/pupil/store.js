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
 * without that memory alone: lasts() is then false, and the child is told. What the tab's storage
 * holds moves to IndexedDB as soon as a page of that tab can have it.
 *
 * A browser that runs short may throw all of it away; asked to keep it, most say yes or no without a
 * word. Firefox would put up a question that a child of five cannot read, and no query tells that
 * beforehand, so Firefox alone is not asked. */

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
    db.onversionchange = () => db.close();
}

/* A browser may close the database under a page that it put to sleep: it is opened again, once. */
async function withDatabase(work) {
    try {
        return await work();
    } catch (e) {
        db.close();
        await connect();
        return work();
    }
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
        return {};
    }
    return found;
}

/* What other tabs have written since. */
export async function refresh() {
    if (!db) {
        memory = Object.assign({}, memory, ofTab());
        return;
    }
    try {
        for (let before = -1; before !== writes; ) {
            before = writes;
            const found = await withDatabase(everything);
            memory = before === writes ? found : memory;
        }
    } catch (e) {
        db = null;
    }
}

function change(key, text) {
    return new Promise((yes, no) => {
        /* "strict": tries on their way outlive a battery that dies */
        const how = { durability: key.startsWith("send/") ? "strict" : "default" };
        const all = db.transaction(KEPT, "readwrite", how);
        all.oncomplete = yes;
        all.onabort = no;
        all.onerror = no;
        const box = all.objectStore(KEPT);
        if (text === null) {
            box.delete(key);
        } else {
            box.put(text, key);
        }
    });
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
            await withDatabase(() => change(key, text));
            return;
        } catch (e) {
            db = null; /* full, or taken away: the tab's storage from now on */
        }
    }
    try {
        /* "": gone, also from a database that cannot be written now */
        window.sessionStorage.setItem(TAB + key, text || "");
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

/* The time now. A clock behind the last day that the school told is wrong: that day, then. */
function now() {
    const days = keys("kid/").map((key) => Date.parse((read(key) || {}).day) || 0);
    return Math.max(Date.now(), ...days);
}

/* `value` is an object; it gets the time at which it was first kept. */
export function write(key, value) {
    value.since = value.since || now();
    const { storage } = navigator;
    if (key.startsWith("kid/") && storage && storage.persist && !/Firefox/.test(navigator.userAgent)) {
        storage.persist().catch(() => undefined);
    }
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

/* Everything of this child, but not what was made with no connection and nobody has said is theirs. */
export function forget(kid) {
    const mine = (item) => item.pupil === kid && !item.ask;
    return Promise.all(
        keys("")
            .filter(
                (key) =>
                    key.split("/")[1] === kid ||
                    (key.startsWith("send/") && mine(read(key) || {}))
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
    const tab = db ? ofTab() : {};
    for (const key of Object.keys(tab)) {
        window.sessionStorage.removeItem(TAB + key);
        await put(key, tab[key] || null); /* back to where it was when the database will not have it */
    }
    let lost = 0;
    for (const key of keys("")) {
        const value = read(key);
        const age = value ? now() - value.since : Infinity;
        if (!(age <= DAYS * DAY_MS)) {
            lost += key.startsWith("send/") ? 1 : 0;
            remove(key);
        } else if (age < -DAY_MS) {
            value.since = now(); /* the clock was put back: counted from today */
            write(key, value);
        }
    }
    return lost;
}
