/* SPDX-License-Identifier: MIT
 * Tries on their way on devices that are not as they should be: a clock that is wrong, a database
 * that closes or is full, a proxy that answers for the server; another child in another tab, two
 * children with one picture in one class, a child who stops with no connection. Counted at the server
 * as in offline-matrix. All names are invented. */

import test from "node:test";
import assert from "node:assert/strict";
import { look } from "../lib/browser.mjs";
import { makeHome, nothingKept, GAME } from "../lib/home.mjs";
import { Client, signedIn } from "../lib/client.mjs";
import { makeActivity, setChallenge, must, day } from "../lib/world.mjs";
import { title, press, sees, shellKept, comeIn, comeInOffline, makeTries, keptText, sendAgain } from "../lib/child.mjs";

const DAY_MS = 86400000;
const STOP = "Stop now. Keep my things here.";
const NAMES = Array.from("BCDFGHJKLMNPRSTVWZ", (letter) => [letter + "edda", letter + "orrin"]).flat();

let home;
test.before(async () => {
    home = await makeHome("4 Larch", NAMES);
});
test.after(() => home.stop());

/* The child's challenges are on the device, the child is in, and the connection is cut. */
async function fetched(v, child) {
    await shellKept(v.page);
    await comeIn(v.page, child.code);
    await title(v.page, "Today");
    while (!(await keptText(v.page)).includes(`detail/${child.pupil}/`)) {
        await v.page.waitForTimeout(50);
    }
}

/* A new tab, the old one closed; the clock of a device is right again, or as said. */
async function newTab(v, clock = new Date()) {
    await v.page.close();
    v.page = await v.context.newPage();
    await v.page.clock.setSystemTime(clock);
    await v.page.goto("/");
}

async function sendCut(v, child, game = GAME) {
    await makeTries(v.page, child.value, game);
    home.relay.set("cut");
    await press(v.page, "Send my tries");
    await sees(v.page, "1 to send");
}

async function sendAsMine(v, child) {
    await comeIn(v.page, child.code);
    await title(v.page, "Are these your tries?");
    await press(v.page, "Yes, send them");
    await sees(v.page, "Sent");
}

async function sessionOf(v) {
    const client = new Client(home.school.url);
    client.cookie = (await v.context.cookies()).map((c) => `${c.name}=${c.value}`).join("; ");
    const ask = () => client.get("/api/v1/session");
    return async () => (await ask().catch(ask)).status;
}

test("a clock ahead: kept, said kindly, and sent under the day that it was", async () => {
    const [child, v] = [home.another(), await home.device()];
    await fetched(v, child);
    await v.page.clock.setSystemTime(Date.now() + 3 * DAY_MS);
    await sendCut(v, child);
    assert.match(await keptText(v.page), new RegExp(`done_on\\\\":\\\\"${day(3)}`));
    /* What the day is cannot be asked: the tries are kept, and nothing is called wrong with them. */
    await v.page.route("**/me/challenges", (route) => route.abort());
    await home.again(v, /^That day has not come yet/);
    await sees(v.page, "1 to send");
    assert.equal(await v.page.getByText("Forget these tries").count(), 0);
    await v.page.unroute("**/me/challenges");
    await sendAgain(v.page, /^Thank you/);
    assert.deepEqual(await home.of(child), [{ pupil: child.pupil, value: child.value, after_date: false, done_on: day(0) }]);
    await nothingKept(v);
    await v.close();
    home.owes(child);
    await home.count("clock ahead");
});

test("a clock far behind, then right again: not thrown away as too old, and sent", async () => {
    const [child, v] = [home.another(), await home.device()];
    await fetched(v, child);
    await press(v.page, "Finish");
    await press(v.page, STOP);
    home.relay.set("cut");
    await newTab(v, new Date("2015-01-01T09:00:00Z"));
    await comeInOffline(v.page, child, GAME);
    await sendCut(v, child);
    home.relay.set("open");
    await newTab(v);
    await sendAsMine(v, child);
    assert.equal((await home.of(child))[0].done_on, day(0));
    await v.close();
    home.owes(child);
    await home.count("clock behind");
});

test("a clock put back after a refusal does not hold the tries for a year", async () => {
    const [child, v] = [home.another(), await home.device()];
    await home.ready(v, child);
    await v.page.clock.setSystemTime(Date.now() + 365 * DAY_MS);
    await v.page.route("**/api/v1/hand-ins", (route) => route.fulfill({ status: 503, contentType: "application/problem+json", body: JSON.stringify({ type: "/problems/busy", status: 503 }) }));
    await press(v.page, "Send my tries");
    await sees(v.page, "1 to send");
    await v.page.unroute("**/api/v1/hand-ins");
    await newTab(v);
    await title(v.page, /^Are you/);
    await press(v.page, "Yes"); /* goes by itself: nobody presses "Send again" */
    await sees(v.page, "Sent");
    await v.close();
    home.owes(child);
    await home.count("clock put back");
});

test("something else was sent before under the same id: the first is kept, and so are these", async () => {
    const [child, v] = [home.another(), await home.device()];
    await comeIn(v.page, child.code);
    await sendCut(v, child);
    const id = /"send\/([0-9a-f-]+)"/.exec(await keptText(v.page))[1];
    home.relay.set("before");
    const client = await signedIn(home.school.url, { card: child.code });
    client.base = `http://127.0.0.1:${home.relay.to}`; /* past the relay, which cuts off sending */
    const value = child.value - 1;
    const first = { id, challenge: home.challenge.id, attempts: [{ value }, { value }, { value }] };
    must(await client.post("/api/v1/hand-ins", first, { headers: { host: `127.0.0.1:${home.relay.port}` } }), 201);
    await home.again(v, "These tries were sent before. The first ones are kept.");
    assert.match(await keptText(v.page), new RegExp(`\\\\"value\\\\":${child.value}`));
    assert.deepEqual((await home.of(child)).map((r) => r.value), [value]);
    await press(v.page, "Change my tries");
    await press(v.page, "Send my tries");
    await title(v.page, "Thank you");
    assert.deepEqual((await home.of(child)).map((r) => r.value).sort(), [value, child.value]);
    await nothingKept(v);
    await v.close();
    home.owes(child);
    home.owes({ ...child, value });
    await home.count("different");
});

test("another child comes in in another tab: what waits in the first stays the first child's", async () => {
    const [child, other, v] = [home.another(), home.another(), await home.device()];
    await comeIn(v.page, child.code);
    await sendCut(v, child);
    home.relay.set("before");
    const two = await v.context.newPage();
    await two.goto("/");
    await title(two, /^Are you/);
    await press(two, "No, not me");
    await sees(two, /1 to send stays here/);
    await comeIn(two, other.code);
    await title(two, "Today");
    await title(v.page, "Are you " + other.card.pupil.display_name); /* the first tab has asked anew */
    home.relay.set("open");
    await press(v.page, "Yes");
    await title(v.page, "Today");
    assert.equal(await v.page.getByText("to send").count(), 0);
    await makeTries(two, other.value, GAME);
    await press(two, "Send my tries");
    await title(two, "Thank you");
    home.owes(other);
    await home.count("other tab, other child");
    await press(two, "Finish");
    await press(two, "Yes, finish");
    await comeIn(two, child.code);
    await sees(two, "Sent");
    await nothingKept(v);
    await v.close();
    home.owes(child);
    await home.count("other tab");
});

test("Finish with no connection: the session ends at the server as soon as it can, and not the next child's", async () => {
    const [child, next, v] = [home.another(), home.another(), await home.device()];
    const asks = [];
    await v.context.exposeFunction("askedToKeep", () => asks.push(1));
    await v.context.addInitScript({ content: "StorageManager.prototype.persist = () => { window.askedToKeep(); return Promise.resolve(false); };" });
    await v.page.reload();
    await fetched(v, child);
    assert.equal(asks.length, 1, "asked once to keep what is here");
    const status = await sessionOf(v);
    home.relay.set("cut");
    await press(v.page, "Finish");
    await press(v.page, "Yes, finish");
    await sees(v.page, "The internet is not working. Your page is still open at school.");
    assert.ok(!/"(kid|detail|draft|send)\//.test(await keptText(v.page)), "nothing of the child on the device");
    home.relay.set("open");
    assert.equal(await status(), 200, "nobody could tell the server");
    await v.page.evaluate(() => window.dispatchEvent(new Event("online")));
    for (let i = 0; (await status()) !== 401; i += 1) {
        assert.ok(i < 100, "the session is ended by itself");
        await v.page.waitForTimeout(50);
    }
    /* Again, and the next child comes in before that: the first session is gone, the second stays. */
    await comeIn(v.page, child.code);
    await title(v.page, "Today");
    const old = await sessionOf(v);
    home.relay.set("cut");
    await press(v.page, "Finish");
    await press(v.page, "Yes, finish");
    await sees(v.page, "Your page is still open at school.");
    home.relay.set("open");
    await comeIn(v.page, next.code);
    await title(v.page, "Today");
    assert.equal(await old(), 401);
    await makeTries(v.page, next.value, GAME);
    await press(v.page, "Send my tries");
    await title(v.page, "Thank you");
    await v.close();
    home.owes(next);
    await home.count("finish with no connection");
});

test("a refused 'I could not' can be said again, or forgotten", async () => {
    const open = await setChallenge(home.first, await makeActivity(home.first, "timed_count", { name: "Hall skips" }), [home.klass.id]);
    const [child, v] = [home.another(), await home.device()];
    await comeIn(v.page, child.code);
    await v.page.locator(".tile", { hasText: "Hall skips" }).click();
    await title(v.page, "How will you do it?");
    await press(v.page, "I can't do this here");
    await v.page.getByText("There is no room").or(v.page.locator("input[type=radio]")).first().click();
    home.relay.set("cut");
    await press(v.page, "Send: I could not");
    await sees(v.page, "1 to send");
    await v.page.route("**/api/v1/hand-ins", (route) => route.fulfill({ status: 409, contentType: "application/problem+json", body: JSON.stringify({ type: "/problems/closed", title: "x", status: 409 }) }));
    await home.again(v, /This challenge has closed/);
    await look({ ...v, trouble: [] }, "a refused could not");
    assert.equal(await v.page.getByText("these tries").count(), 0, "there are no tries");
    await v.page.unroute("**/api/v1/hand-ins");
    await v.page.locator(".panel-sun").getByRole("button", { name: "I can't do this here" }).click();
    await title(v.page, "I can't do this here");
    await v.page.locator("input[type=radio]").first().click();
    await press(v.page, "Send: I could not");
    await title(v.page, "Today");
    assert.deepEqual((await home.rows(open)).map((r) => r.pupil), [child.pupil]);
    await nothingKept(v);
    await v.close();
});

/* The database under the page: `close` as a browser does with a page put to sleep, `full`. */
const DATABASE = `
    const open = IDBFactory.prototype.open, put = IDBObjectStore.prototype.put;
    IDBFactory.prototype.open = function (...args) {
        const asked = open.apply(this, args);
        asked.addEventListener("success", () => { window.theDatabase = asked.result; });
        return asked;
    };
    IDBObjectStore.prototype.put = function (...args) {
        if (window.full) {
            throw new DOMException("full", "QuotaExceededError");
        }
        return put.apply(this, args);
    };`;

test("a database that the browser closes is opened again; one that is full leaves the tries to the tab, and gets them later", async () => {
    const [child, v] = [home.another(), await home.device()];
    await v.context.addInitScript({ content: DATABASE });
    await v.page.reload();
    await comeIn(v.page, child.code);
    await title(v.page, "Today");
    await v.page.evaluate(() => window.theDatabase.close());
    await makeTries(v.page, child.value, GAME);
    assert.match(await keptText(v.page), /draft\//);
    await v.page.evaluate(() => { window.full = true; });
    home.relay.set("cut");
    await press(v.page, "Send my tries");
    await sees(v.page, "1 to send");
    await sees(v.page, "This browser forgets when you close it.");
    home.relay.set("before");
    await v.page.reload();
    await sees(v.page, "1 to send");
    assert.equal(await v.page.getByText("This browser forgets").count(), 0);
    const [names, , , tab] = JSON.parse(await keptText(v.page));
    assert.ok(names.some((name) => name.startsWith("send/")), "in the database");
    assert.deepEqual(Object.keys(tab).filter((name) => name.startsWith("thrice.")), [], "and no longer in the tab");
    home.relay.set("open");
    await newTab(v);
    await title(v.page, /^Are you/);
    await press(v.page, "Yes");
    await sees(v.page, "Sent");
    await nothingKept(v);
    await v.close();
    home.owes(child);
    await home.count("database");
});

test("with no connection nobody sees, or throws away, what was made with the card", async () => {
    const [child, v] = [home.another(), await home.device()];
    await fetched(v, child);
    await makeTries(v.page, child.value, GAME);
    await press(v.page, "Finish");
    await press(v.page, STOP);
    home.relay.set("cut");
    await newTab(v);
    /* Letters that could be a card's, and the child's picture. */
    await comeInOffline(v.page, { code: "BBB BBB BBB", picture: child.picture }, GAME);
    assert.equal(await v.page.getByText("Go on with your tries").count(), 0);
    await v.page.locator(".tile", { hasText: GAME }).first().click();
    await title(v.page, "How will you do it?");
    await press(v.page, "Finish");
    await sees(v.page, "1 challenge is not sent yet");
    assert.equal(await v.page.getByRole("button", { name: /lose|Yes, finish/ }).count(), 0);
    await look({ ...v, trouble: [] }, "finish with no internet");
    await press(v.page, STOP);
    home.relay.set("open");
    await newTab(v);
    await comeIn(v.page, child.code);
    await title(v.page, "Today");
    await makeTries(v.page, child.value, GAME);
    await press(v.page, "Send my tries");
    await title(v.page, "Thank you");
    await nothingKept(v);
    await v.close();
    home.owes(child);
    await home.count("made with the card");
});

test("two children with one picture in one class: the other is asked when the first says no", async () => {
    const one = home.cards.find((c) => home.cards.some((d) => d !== c && d.picture === c.picture));
    const two = home.cards.find((c) => c !== one && c.picture === one.picture);
    home.cards = home.cards.filter((c) => c !== one && c !== two);
    const [child, other, v] = [home.child(one), home.child(two), await home.device()];
    await fetched(v, child);
    await press(v.page, "Finish");
    await press(v.page, STOP);
    home.relay.set("cut");
    await newTab(v);
    await comeInOffline(v.page, other, GAME); /* the device takes it for the child that it knows */
    await sendCut(v, other);
    home.relay.set("open");
    await newTab(v);
    await comeIn(v.page, child.code);
    await title(v.page, "Are these your tries?");
    await press(v.page, "No, not mine");
    await title(v.page, "Today");
    await press(v.page, "Finish");
    await press(v.page, "Yes, finish");
    await home.count("one picture, before the other");
    await sendAsMine(v, other);
    await nothingKept(v);
    await v.close();
    home.owes(other);
    await home.count("one picture");
});

test("a proxy that answers for a server that is away is no connection", async () => {
    const [child, v] = [home.another(), await home.device()];
    await fetched(v, child);
    await press(v.page, "Finish");
    await press(v.page, STOP);
    home.relay.set("away");
    await newTab(v);
    await comeInOffline(v.page, child, GAME);
    await makeTries(v.page, child.value, GAME);
    await press(v.page, "Send my tries");
    await sees(v.page, "1 to send");
    home.relay.set("open");
    await newTab(v);
    await sendAsMine(v, child);
    await v.close();
    home.owes(child);
    await home.count("proxy");
});

test("what all that came to", () => {
    assert.ok(home.figures("odd devices") >= 12);
});
