/* SPDX-License-Identifier: MIT
 * Children of two classes, one phone, no signal: they come in by their cards' letters and pictures,
 * their tries wait over the date, and each child's go once under that child. And what the phone
 * keeps: no name, no letters, nothing for longer than 35 days. All names are invented. */

import test from "node:test";
import assert from "node:assert/strict";
import { launch, visitor, look, SIZES } from "../lib/browser.mjs";
import { startBehindRelay } from "../lib/cut.mjs";
import { signedIn } from "../lib/client.mjs";
import { makeClass, makeCards, makeActivity, setChallenge, must, day } from "../lib/world.mjs";
import { title, press, sees, sendAgain, shellKept, typeCard, comeIn, comeInOffline, makeTries, keptText } from "../lib/child.mjs";

const DAY_MS = 86400000;
const STOP = "Stop now. Keep my things here.";

/* Two classes with a challenge each, open for a week and due two days ago. */
async function twoClasses(t) {
    const [school, browser] = [await startBehindRelay(), await launch()];
    t.after(() => Promise.all([school.stop(), browser.close()]));
    const first = await signedIn(school.url, school.account);
    await first.get("/api/v1/session");
    const dates = { opens_on: day(-7), due_on: day(-2), closes_on: day(20) };
    const made = async (name, pupils, game) => {
        const klass = await makeClass({ first }, name, pupils);
        const cards = await makeCards({ first }, klass.id, "pupil");
        const challenge = await setChallenge(first, await makeActivity(first, "timed_count", { name: game }), [klass.id], dates);
        return { klass, cards, challenge };
    };
    const [two, five] = [await made("2 Rowan", ["Ondi", "Perrin"], "Line skips"), await made("5 Hazel", ["Sunniva", "Tarn"], "Rope skips")];
    const v = await visitor(browser, school.url, SIZES.small);
    const rows = async ({ challenge }) => must(await first.get(`/api/v1/challenges/${challenge.id}/results`), 200).rows
        .flatMap((r) => r.hand_ins.map((h) => [r.pupil.display_name, h.attempts[0].value, h.attempts.length, h.after_date, h.done_on]));
    return { school, first, two, five, v, rows };
}

/* The child's challenges come onto the phone while there is a connection; then the next child. */
async function fetchFor(v, card) {
    await comeIn(v.page, card.code);
    await title(v.page, "Today");
    while (!(await keptText(v.page)).includes(`detail/${card.pupil.id}/`)) {
        await v.page.waitForTimeout(50);
    }
    await press(v.page, "Finish");
    await press(v.page, STOP);
}

/* The challenges came onto the phone so many days ago. */
async function fetchedDaysAgo(v, days) {
    await v.page.evaluate(async (told) => {
        const db = await new Promise((done) => {
            const r = indexedDB.open("thrice");
            r.onsuccess = () => done(r.result);
        });
        const box = db.transaction("kept", "readwrite").objectStore("kept");
        box.openCursor().onsuccess = ({ target: { result: at } }) => {
            if (at && at.key.startsWith("kid/")) {
                at.update(JSON.stringify({ ...JSON.parse(at.value), day: told }));
            }
            if (at) {
                at.continue();
            }
        };
        await new Promise((done) => { box.transaction.oncomplete = done; });
        db.close();
    }, day(-days));
}

/* A new tab, the old one closed. `days`: the phone's clock, from today. */
async function newTab(v, days = 0) {
    await v.page.close();
    v.page = await v.context.newPage();
    if (days || v.moved) {
        await v.page.clock.setSystemTime(Date.now() + days * DAY_MS); /* stays with the whole context */
        v.moved = true;
    }
    await v.page.goto("/");
}

async function playOffline(v, card, game, value) {
    await comeInOffline(v.page, card, game);
    await makeTries(v.page, value, game);
    await press(v.page, "Send my tries");
    await sees(v.page, "1 to send");
}

async function sendAsMine(v, card) {
    await comeIn(v.page, card.code);
    await title(v.page, "Are these your tries?");
    v.trouble.length = 0;
    await look(v, "are these your tries");
    await press(v.page, "Yes, send them");
    await sees(v.page, "Sent");
}

test("Year 2 and Year 5, one phone, no signal, the tab closed, due Wednesday, back on Friday", async (t) => {
    const { school, two, five, v, rows } = await twoClasses(t);
    const [small, big] = [two.cards[0], five.cards[0]];
    await v.page.goto("/");
    await shellKept(v.page);
    await fetchFor(v, small);
    await fetchFor(v, big);
    await fetchedDaysAgo(v, 4); /* Monday */
    school.relay.set("cut");
    await newTab(v, -1); /* Thursday: a day after the date */
    await sees(v.page, "Your card still works here");
    await look({ ...v, trouble: [] }, "card with no internet");
    await typeCard(v.page, small.code);
    await title(v.page, "Which picture");
    await look({ ...v, trouble: [] }, "which picture");
    await v.page.goto("/");
    await playOffline(v, small, "Line skips", 31);
    await look({ ...v, trouble: [] }, "one to send, no internet");
    await press(v.page, "My challenges");
    await title(v.page, "Today");
    await look({ ...v, trouble: [] }, "today with no internet");
    const today = await v.page.locator("#main").textContent();
    assert.match(today, /These challenges are from/);
    assert.ok(!/Ondi|Rowan|My best:/.test(today), "no name, no class, no best");
    await press(v.page, "Finish");
    await look({ ...v, trouble: [] }, "finish with one to send");
    await press(v.page, STOP);
    await playOffline(v, big, "Rope skips", 52);
    assert.ok(!(await v.page.locator("body").textContent()).includes("Line skips"), "nothing of the other child");
    await newTab(v); /* Friday; nobody has sent yet */
    const kept = await keptText(v.page);
    for (const secret of [small.code, big.code].flatMap((c) => [c, c.replace(/ /g, "")]).concat(["Ondi", "Sunniva", "Rowan", "Hazel"])) {
        assert.ok(!kept.includes(secret), `the phone keeps ${secret}`);
    }
    school.relay.set("open");
    assert.deepEqual([await rows(two), await rows(five)], [[], []]);
    v.trouble.length = 0;
    await v.page.goto("/");
    await sendAsMine(v, small);
    assert.deepEqual([(await rows(two)).length, (await rows(five)).length], [1, 0]);
    await press(v.page, "Finish");
    await press(v.page, "Yes, finish");
    await sendAsMine(v, big);
    await press(v.page, "Finish");
    await press(v.page, "Yes, finish");
    await v.page.locator("#card").waitFor();
    assert.deepEqual(await rows(two), [["Ondi", 31, 3, true, day(-1)]]);
    assert.deepEqual(await rows(five), [["Sunniva", 52, 3, true, day(-1)]]);
    assert.ok(!/(kid|detail|draft|send)\//.test(await keptText(v.page)), "Finish forgets both");
    /* The cookie that knows the cards stays (privacy page): the words are about what went, and no more. */
    assert.ok((await v.page.context().cookies()).some((c) => c.name === "dv"), "the device is still let in with both cards");
    await sees(v.page, "All done. Your things are gone from this device.");
    assert.doesNotMatch(await v.page.locator("body").textContent(), /forg[eo]t/i);
});

test("a card new to the phone; letters that are nobody's; a picture that is another child's", async (t) => {
    const { school, two, five, v, rows } = await twoClasses(t);
    await v.page.goto("/");
    await shellKept(v.page);
    await fetchFor(v, two.cards[0]);
    school.relay.set("cut");
    await newTab(v);
    /* One letter wrong: the check letter says so, and nobody comes in. */
    const wrong = two.cards[1].code.replace(/.$/, (last) => (last === "B" ? "C" : "B"));
    await typeCard(v.page, wrong);
    await sees(v.page, "One letter is wrong");
    /* A classmate whose card this phone has never seen. */
    await playOffline(v, two.cards[1], "Line skips", 41);
    await press(v.page, "Finish");
    await press(v.page, STOP);
    /* Letters that could be a card's but are nobody's, with the first child's picture. */
    await playOffline(v, { code: "BBB BBB BBB", picture: two.cards[0].picture }, "Line skips", 99);
    await press(v.page, "Finish");
    await press(v.page, STOP);
    school.relay.set("open");
    /* At the server those letters are nobody's, and nothing goes. */
    await newTab(v);
    await typeCard(v.page, "BBB BBB BBB");
    await sees(v.page, /No card has those letters/);
    assert.deepEqual(await rows(two), []);
    /* A child of the other class finds nothing of theirs. */
    await comeIn(v.page, five.cards[1].code);
    await title(v.page, "Today");
    await press(v.page, "Finish");
    await press(v.page, "Yes, finish");
    assert.deepEqual([await rows(two), await rows(five)], [[], []]);
    /* The classmate's go under the classmate. */
    await sendAsMine(v, two.cards[1]);
    assert.deepEqual(await rows(two), [["Perrin", 41, 3, true, day(0)]]);
    await press(v.page, "Finish");
    await press(v.page, "Yes, finish");
    /* The first child did not make those. */
    await comeIn(v.page, two.cards[0].code);
    await title(v.page, "Are these your tries?");
    await press(v.page, "No, not mine");
    await title(v.page, "Today");
    await v.page.waitForTimeout(500);
    assert.deepEqual(await rows(two), [["Perrin", 41, 3, true, day(0)]]);
});

test("36 days later nothing of a child is on the phone; an old session asks the server nothing", async (t) => {
    const { school, two, v, rows } = await twoClasses(t);
    await v.page.goto("/");
    await shellKept(v.page);
    await fetchFor(v, two.cards[0]);
    school.relay.set("cut");
    await newTab(v);
    await playOffline(v, two.cards[0], "Line skips", 31);
    /* The connection comes back: this tab still has no card that a server has taken. */
    school.relay.set("open");
    const asked = [];
    v.page.on("request", (r) => (r.url().includes("/api/") ? asked.push(r.url()) : null));
    await v.page.evaluate(() => window.dispatchEvent(new Event("online")));
    await sees(v.page, "The internet is back");
    await press(v.page, "My challenges");
    await press(v.page, "My bests");
    await title(v.page, "No internet");
    assert.deepEqual(asked, []);
    /* A classmate's tries beside them, to be sent on the 34th day. */
    school.relay.set("cut");
    await newTab(v);
    await playOffline(v, two.cards[1], "Line skips", 41);
    await newTab(v, 34);
    await v.page.locator("#card").waitFor();
    assert.match(await keptText(v.page), /send\/.*send\//);
    school.relay.set("open");
    await sendAsMine(v, two.cards[1]);
    assert.deepEqual(await rows(two), [["Perrin", 41, 3, true, day(0)]]);
    await newTab(v, 36);
    await sees(v.page, "Some tries were here for too long. They are gone. Do them again, or tell your teacher.");
    await v.page.waitForTimeout(300);
    assert.ok(!/(kid|detail|draft|send)\//.test(await keptText(v.page)));
});

test("without a database the tab keeps the tries, and says so", async (t) => {
    const { school, two, v, rows } = await twoClasses(t);
    await v.context.addInitScript({ content: "Object.defineProperty(window, 'indexedDB', { get() { throw new Error('private'); } });" });
    await v.page.goto("/");
    await comeIn(v.page, two.cards[0].code);
    await makeTries(v.page, 31, "Line skips");
    school.relay.set("cut");
    await press(v.page, "Send my tries");
    await sees(v.page, "1 to send");
    await sees(v.page, /forgets when you close it/);
    school.relay.set("open");
    await v.page.reload();
    await sendAgain(v.page, /^(Sent|Thank you.*)$/);
    assert.deepEqual(await rows(two), [["Ondi", 31, 3, true, day(0)]]);
});
