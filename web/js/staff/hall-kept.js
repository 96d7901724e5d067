/* SPDX-License-Identifier: MIT
 * What the hall's page keeps on the tablet. An hour: the names of one class and what is set, for the
 * member of staff who took them there, gone when the hour is over. Items: tries and marks on their way,
 * ids and numbers only, gone when the server has them. A tap counts as kept when it is on the disk. */

const BASE = "thrice-hall";
export const HOUR_MS = 3600000;

let opened = null;

function open() {
    if (!opened) {
        opened = new Promise((done, fail) => {
            const asked = window.indexedDB.open(BASE, 1);
            asked.onupgradeneeded = () => {
                asked.result.createObjectStore("hour", { keyPath: "key" });
                asked.result.createObjectStore("item", { keyPath: "id" });
            };
            asked.onsuccess = () => done(asked.result);
            asked.onerror = () => fail(asked.error);
        });
    }
    return opened;
}

async function within(store, mode, work) {
    const base = await open();
    return new Promise((done, fail) => {
        const over = base.transaction(store, mode, { durability: "strict" });
        const asked = work(over.objectStore(store));
        over.oncomplete = () => done(asked && asked.result);
        over.onabort = () => fail(over.error);
    });
}

const all = (store) => within(store, "readonly", (s) => s.getAll());

export function hourKey(staff, challenge, klass) {
    return [staff, challenge, klass].join(" ");
}

/* Begun, and not over by this device's clock; a clock put back ends it too. */
export function runs(hour) {
    return Boolean(hour) && Date.now() < hour.until && Date.now() >= hour.began - 60000;
}

/* The hours that run; the names of those that do not are wiped on the way. */
export async function hours() {
    const found = await all("hour");
    for (const hour of found.filter((h) => !runs(h))) {
        await lock(hour);
    }
    return found.filter(runs);
}

export function keepHour(hour) {
    return within("hour", "readwrite", (s) => s.put(hour));
}

/* Wipes the names. Tries begun are ready to go as they stand. */
export async function lock(hour) {
    for (const item of await items(hour.staff)) {
        if (item.hour === hour.key && item.type === "tries" && !item.ready) {
            await keepItem({ ...item, ready: true });
        }
    }
    await within("hour", "readwrite", (s) => s.delete(hour.key));
}

/* Every hour on this tablet, whoever's: somebody has signed out. */
export async function lockAll() {
    if (!window.indexedDB) {
        return;
    }
    for (const hour of await all("hour")) {
        await lock(hour);
    }
}

/* {id, type: "tries" | "mark", staff, hour, pupil, at, ...} of one member of staff, in the order made;
 * of everybody without. */
export async function items(staff) {
    return (await all("item")).filter((i) => !staff || i.staff === staff).sort((a, b) => a.at - b.at);
}

export function keepItem(item) {
    return within("item", "readwrite", (s) => s.put(item));
}

export function dropItem(id) {
    return within("item", "readwrite", (s) => s.delete(id));
}

/* Can this browser keep anything? */
export function mayKeep() {
    return Boolean(window.indexedDB);
}
