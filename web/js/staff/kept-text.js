/* SPDX-License-Identifier: MIT
 * What a member of staff has typed and the server does not have yet, kept sealed on the device: AES-GCM, under a key
 * that the server gives to this person's own sessions and that is held in memory alone. It goes with the page; what
 * stays is of use to nobody until the same person signs in here again. Outside the seal stand ids and a day, no word.
 *
 * keptText(session) -> {
 *   may           can this browser keep anything?
 *   put(place, value)   a promise: is it on the disk? Of values that come quickly after each other the last is kept
 *   drop(place)         the server has it; leaves alone what another tab has put there since
 *   all()               [{place, value}] of this person
 * } A place is a few words and ids; a value is whatever JSON can hold. */

const BASE = "thrice-kept";
const DAY_MS = 86400000;
const DAYS = 35;

function open() {
    return new Promise((done, fail) => {
        const asked = window.indexedDB.open(BASE, 1);
        asked.onupgradeneeded = () => asked.result.createObjectStore("text", { keyPath: "id" });
        asked.onsuccess = () => done(asked.result);
        asked.onerror = () => fail(asked.error);
    });
}

/* Runs `work(store)` in a transaction of its own; the result of the request that it returns, if any. */
function within(base, mode, work) {
    return new Promise((done, fail) => {
        const over = base.transaction("text", mode, { durability: "strict" });
        const asked = work(over.objectStore("text"));
        over.oncomplete = () => done(asked && asked.result);
        over.onabort = () => fail(over.error);
    });
}

function keyOf(session) {
    const bytes = Uint8Array.from(window.atob(session.kept_key.replace(/-/g, "+").replace(/_/g, "/")), (c) => c.charCodeAt(0));
    return window.crypto.subtle.importKey("raw", bytes, "AES-GCM", false, ["encrypt", "decrypt"]);
}

const today = () => Math.floor(Date.now() / DAY_MS);

/* The id is sealed in too: what is kept for one place cannot be passed off as another's. */
const how = (id, iv) => ({ name: "AES-GCM", iv, additionalData: new TextEncoder().encode(id) });

async function sealed(key, id, value) {
    const iv = window.crypto.getRandomValues(new Uint8Array(12)); /* 96 bits: NIST SP 800-38D, 8.2.2 */
    const bytes = await window.crypto.subtle.encrypt(how(id, iv), key, new TextEncoder().encode(JSON.stringify(value)));
    return { id, iv, bytes, day: today() };
}

async function opened(key, record) {
    try {
        const bytes = await window.crypto.subtle.decrypt(how(record.id, record.iv), key, record.bytes);
        return JSON.parse(new TextDecoder().decode(bytes));
    } catch (error) {
        return null; /* not this key's, or not whole */
    }
}

const sameIv = (a, b) => Boolean(a && b) && a.join() === b.join();

/* Nobody has come back for it in five weeks: whoever's it is, it goes. */
async function sweep(base) {
    const old = (await within(base, "readonly", (s) => s.getAll())).filter((r) => r.day < today() - DAYS);
    await within(base, "readwrite", (s) => old.forEach((r) => s.delete(r.id)));
}

const NOTHING = { may: false, put: async () => false, drop: async () => undefined, all: async () => [] };

export async function keptText(session) {
    let base;
    let key;
    try {
        key = await keyOf(session);
        base = await open();
        await sweep(base);
    } catch (error) {
        return NOTHING; /* no database in this browser, or not now */
    }
    const prefix = session.staff + " ";
    const wanted = new Map();
    const written = new Map(); /* place -> iv of what this page has put there or read there */
    let last = Promise.resolve();
    const inTurn = (work) => {
        last = last.then(work, work);
        return last;
    };

    async function write(place) {
        if (!wanted.has(place)) {
            return true; /* a later value has taken this one along */
        }
        const value = wanted.get(place);
        const record = await sealed(key, prefix + place, value);
        await within(base, "readwrite", (s) => s.put(record));
        written.set(place, record.iv);
        if (wanted.get(place) === value) {
            wanted.delete(place); /* only now: one that failed is still owed by whoever waits behind it */
        }
        return true;
    }

    async function wipe(place) {
        const mine = written.get(place);
        wanted.delete(place);
        written.delete(place);
        await within(base, "readwrite", (s) => {
            const there = s.get(prefix + place);
            there.onsuccess = () => there.result && sameIv(there.result.iv, mine) && s.delete(prefix + place);
        });
    }

    return {
        may: true,
        put(place, value) {
            wanted.set(place, value);
            return inTurn(() => write(place)).catch(() => false);
        },
        drop(place) {
            wanted.delete(place);
            return inTurn(() => wipe(place)).catch(() => undefined);
        },
        async all() {
            const found = [];
            for (const record of (await within(base, "readonly", (s) => s.getAll())).filter((r) => r.id.indexOf(prefix) === 0)) {
                const value = await opened(key, record);
                if (value !== null) {
                    written.set(record.id.slice(prefix.length), record.iv);
                    found.push({ place: record.id.slice(prefix.length), value });
                }
            }
            return found;
        }
    };
}

const PAGE = /^\/staff\/[a-z]+(\?[A-Za-z0-9=&_-]*)?$/;

/* Where what is kept can be looked at and goes on its way: [{where, n}], n places each. Values that are found by a
 * page of their own have a `where`. */
export async function keptPlaces(session) {
    const kept = await keptText(session);
    const places = new Map();
    for (const { value } of await kept.all().catch(() => [])) {
        if (value && PAGE.test(value.where)) {
            places.set(value.where, (places.get(value.where) || 0) + 1);
        }
    }
    return Array.from(places, ([where, n]) => ({ where, n }));
}
