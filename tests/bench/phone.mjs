/* SPDX-License-Identifier: MIT
 * What a child waits for on a slow phone: Chromium held to 400 kbit/s each way, 400 ms for every
 * request and a quarter of this machine's speed (DevTools protocol, Network.emulateNetworkConditions
 * and Emulation.setCPUThrottlingRate), nothing cached, no service worker. From the start of the
 * navigation until letters can be typed and Go pressed, against 3 s; from the tap on "Send my tries"
 * to the answer on the screen, against 2 s. Several children one after the other, medians.
 *
 * A measurement, not a test. The emulation knows no handshakes: a connection that is not there yet
 * costs a phone one round trip more, and TLS one or two. School, names and tries are invented. */

import { startSchool } from "../lib/server.mjs";
import { launch } from "../lib/browser.mjs";
import { signedIn } from "../lib/client.mjs";
import { makeClass, makeCards, makeActivity, setChallenge } from "../lib/world.mjs";
import { press, title, makeTries } from "../lib/child.mjs";

const ROUNDS = Number(process.env.ROUNDS || 5);
const LINE = { offline: false, latency: 400, downloadThroughput: 400e3 / 8, uploadThroughput: 400e3 / 8, connectionType: "cellular2g" };
const SLOWER = 4;
const GOALS_MS = { first: 3000, send: 2000 };

const median = (list) => [...list].sort((a, b) => a - b)[Math.floor(list.length / 2)];

/* Runs in the page before its own scripts: when the card can be typed, when the tap came, and when
 * the answer was on the screen; each at the next frame, when it has been painted. */
function watch() {
    const at = (window.phone = {});
    const painted = (name) => requestAnimationFrame(() => setTimeout(() => { at[name] = at[name] || performance.now(); }));
    new MutationObserver(() => {
        const heading = document.querySelector("#main h1");
        if (!at.words && heading) {
            painted("words");
        }
        if (!at.usable && document.querySelector("#card") && document.querySelector("#main form button[type=submit]")) {
            painted("usable");
        }
        if (at.tap && !at.answer && heading && heading.textContent === "Thank you") {
            painted("answer");
        }
    }).observe(document, { childList: true, subtree: true });
    addEventListener("click", (e) => {
        if (e.target.closest("button") && e.target.closest("button").textContent === "Send my tries") {
            at.tap = performance.now();
        }
    }, true);
}

/* Every byte over the wire, by what it was for; `heads` is what the heads of the answers are of it. */
async function countBytes(line) {
    const kinds = new Map(), bytes = { static: 0, api: 0, heads: 0, requests: 0 };
    await line.send("Network.enable");
    line.on("Network.requestWillBeSent", (e) => kinds.set(e.requestId, e.request.url.includes("/api/") ? "api" : "static"));
    line.on("Network.responseReceived", (e) => {
        bytes.heads += e.response.encodedDataLength;
    });
    line.on("Network.loadingFinished", (e) => {
        bytes[kinds.get(e.requestId)] += e.encodedDataLength;
        bytes.requests += 1;
    });
    return bytes;
}

async function child(browser, url, code) {
    const context = await browser.newContext({ viewport: { width: 360, height: 640 }, baseURL: url, locale: "en-GB", serviceWorkers: "block" });
    context.setDefaultTimeout(60000);
    const page = await context.newPage();
    await page.addInitScript(watch);
    const line = await context.newCDPSession(page);
    const bytes = await countBytes(line);
    await line.send("Network.setCacheDisabled", { cacheDisabled: false });
    await line.send("Network.emulateNetworkConditions", LINE);
    await line.send("Emulation.setCPUThrottlingRate", { rate: SLOWER });
    await page.goto("/", { waitUntil: "commit" });
    await page.waitForFunction(() => window.phone.usable);
    const first = { ...bytes };
    const { usable, words } = await page.evaluate(() => window.phone);
    await page.locator("#card").pressSequentially(code);
    if ((await page.locator("#card").inputValue()).replace(/\W/g, "") !== code.replace(/\W/g, "")) {
        throw new Error("the letters were not taken");
    }
    await press(page, "Go");
    await title(page, /^Are you/);
    await press(page, "Yes");
    await makeTries(page, 31, "Line skips");
    await press(page, "Send my tries");
    await page.waitForFunction(() => window.phone.answer);
    const { tap, answer } = await page.evaluate(() => window.phone);
    await context.close();
    return { words, usable, send: answer - tap, first, all: bytes };
}

const [school, browser] = [await startSchool(), await launch()];
try {
    const first = await signedIn(school.url, school.account);
    await first.get("/api/v1/session");
    const klass = await makeClass({ first }, "3 Alder", Array.from({ length: ROUNDS }, (_, i) => `Pupil${String.fromCharCode(65 + i)}`));
    const cards = await makeCards({ first }, klass.id, "pupil");
    await setChallenge(first, await makeActivity(first, "timed_count"), [klass.id]);
    const rounds = [];
    for (const card of cards) {
        rounds.push(await child(browser, school.url, card.code));
    }
    const of = (get) => rounds.map(get);
    const line = (what, list, goal) => {
        const all = list.map((ms) => (ms / 1000).toFixed(2));
        const middle = median(list) / 1000;
        process.stdout.write(`${what}: ${middle.toFixed(2)} s (${all.join(", ")})${goal ? `, goal ${goal / 1000} s: ${middle * 1000 <= goal ? "met" : "missed"}` : ""}\n`);
    };
    process.stdout.write(`400 kbit/s, 400 ms a request, a ${SLOWER}th of the speed, nothing cached, ${ROUNDS} children\n`);
    line("words of the page are there", of((r) => r.words));
    line("letters can be typed and Go pressed", of((r) => r.usable), GOALS_MS.first);
    line("from \"Send my tries\" to the answer", of((r) => r.send), GOALS_MS.send);
    const kb = (n) => (n / 1024).toFixed(1) + " KiB";
    for (const [what, get] of [["first page", (r) => r.first], ["whole journey", (r) => r.all]]) {
        process.stdout.write(`over the wire, ${what}: ${kb(median(of((r) => get(r).static)))} of pages and files, ${kb(median(of((r) => get(r).api)))} of answers, ${kb(median(of((r) => get(r).heads)))} of both are heads, ${median(of((r) => get(r).requests))} requests\n`);
    }
} finally {
    await browser.close();
    await school.stop();
}
