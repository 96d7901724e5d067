/* SPDX-License-Identifier: MIT
 * The pupil's page without a connection. The build puts in the name of the tree and the list of its
 * files, so neither is ever out of date; served straight from a folder, the list is empty and this
 * worker leaves everything alone.
 *
 * Kept: the files under one tree name and three pages that hold nobody, all of the same tree or nothing. An
 * answer of the API is never asked for here, let alone kept. A new version waits until no page of
 * the old one is open and only then drops the old copies; until then a page that the server sends
 * gets its modules from the server, and a page from the copies gets them from the same copies. */

const TREE = "/s/-/";
const FILES = [
    /*files*/
];
const PAGES = ["/", "/privacy", "/help"];
const STEM = "thrice ";
const WAIT_MS = 3000;

async function fetched(path) {
    const answer = await fetch(path, { cache: PAGES.indexOf(path) < 0 ? "default" : "no-cache" });
    if (!answer.ok || answer.redirected) {
        throw new Error(path);
    }
    /* a page of another tree: the server has been replaced since this worker was fetched */
    if (PAGES.indexOf(path) >= 0 && (await answer.clone().text()).indexOf(TREE) < 0) {
        throw new Error(path);
    }
    return answer;
}

async function keepAll() {
    const paths = PAGES.concat(FILES.map((file) => TREE + file));
    const answers = await Promise.all(paths.map(fetched));
    const cache = await caches.open(STEM + TREE);
    await Promise.all(paths.map((path, i) => cache.put(path, answers[i])));
}

async function dropOld() {
    const names = await caches.keys();
    await Promise.all(
        names
            .filter((name) => name.startsWith(STEM) && name !== STEM + TREE)
            .map((name) => caches.delete(name))
    );
    await self.clients.claim();
}

async function keptCopy(path) {
    return (await caches.open(STEM + TREE)).match(path, { ignoreVary: true });
}

/* What the school says on its help page may have changed: the copy is the last that came of this tree. */
async function keepAnew(path, answer) {
    const again = answer.clone();
    if (answer.ok && (await answer.clone().text()).indexOf(TREE) >= 0) {
        await (await caches.open(STEM + TREE)).put(path, again);
    }
}

/* The server's page when it comes soon enough, else the copy, also where a proxy says that the server
 * is away; /quick cannot send from a copy. */
async function page(request, path) {
    const copy = (await keptCopy(path)) || (path === "/quick" ? Response.redirect("/") : null);
    const asked = fetch(request).then((answer) => {
        if (copy && path === "/help") {
            keepAnew(path, answer).catch(() => undefined);
        }
        return copy && answer.status >= 500 ? copy : answer;
    });
    if (!copy) {
        return asked;
    }
    const late = new Promise((done) => setTimeout(done, WAIT_MS, copy));
    return Promise.race([asked.catch(() => copy), path === "/quick" ? asked : late]).catch(
        () => copy
    );
}

/* Messages in another language are not fetched before somebody wants them: kept from then on. */
async function file(request, path) {
    const copy = await keptCopy(path);
    if (copy) {
        return copy;
    }
    const answer = await fetch(request);
    if (answer.ok && path.startsWith(TREE + "msg/")) {
        await (await caches.open(STEM + TREE)).put(path, answer.clone());
    }
    return answer;
}

if (FILES.length) {
    self.addEventListener("install", (event) => event.waitUntil(keepAll()));
    self.addEventListener("activate", (event) => event.waitUntil(dropOld()));
    self.addEventListener("fetch", (event) => {
        const url = new URL(event.request.url);
        if (event.request.method !== "GET" || url.origin !== self.location.origin) {
            return;
        }
        if (url.pathname.startsWith("/s/")) {
            event.respondWith(file(event.request, url.pathname));
        } else if (
            event.request.mode === "navigate" &&
            (PAGES.indexOf(url.pathname) >= 0 || url.pathname === "/quick")
        ) {
            event.respondWith(page(event.request, url.pathname));
        }
    });
}
