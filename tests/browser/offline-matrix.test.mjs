/* SPDX-License-Identifier: MIT
 * Tries on their way while everything goes wrong: the connection cut before, during and after
 * sending; the tab closed; the server killed; the session over; the date past, the challenge closed,
 * the card cancelled; another child on the same device; two tabs. Counted at the server: none lost,
 * none twice, none under another child. All names are invented. */

import test from "node:test";
import assert from "node:assert/strict";
import { launch, visitor, look, SIZES } from "../lib/browser.mjs";
import { startBehindRelay } from "../lib/cut.mjs";
import { Client, signedIn } from "../lib/client.mjs";
import { makeClass, makeCards, makeActivity, setChallenge, must, day } from "../lib/world.mjs";
import { title, press, sees, sendAgain, comeIn, makeTries, keptText } from "../lib/child.mjs";

const NAMES = ["Ondi", "Perrin", "Quill", "Rafe", "Sunniva", "Tarn", "Una", "Vesper", "Wilf", "Xanthe", "Yorick", "Zelda", "Arlo", "Bryony", "Corin", "Dilys", "Edda", "Fenn", "Greta", "Hale", "Isolde", "Joss", "Kerra", "Linnet"];
const GAME = "Line skips";

let school, browser, first, klass, cards, activity, challenge, used = 0;
const expected = new Map(); /* pupil id -> the values that the server has to have, once each */
const sum = { scenes: 0, lost: 0, doubled: 0, wrong: 0 };

test.before(async () => {
    [school, browser] = [await startBehindRelay(), await launch()];
    first = await signedIn(school.url, school.account);
    await first.get("/api/v1/session");
    klass = await makeClass({ first }, "3 Alder", NAMES);
    cards = await makeCards({ first }, klass.id, "pupil");
    activity = await makeActivity(first, "timed_count", {});
    challenge = await setChallenge(first, activity, [klass.id]);
});
test.after(() => Promise.all([school.stop(), browser.close()]));

/* A child who has not played yet, with a number of tries of its own. */
function another() {
    const card = cards[used];
    used += 1;
    return { card, code: card.code, pupil: card.pupil.id, value: 30 + used };
}

async function device() {
    const v = await visitor(browser, school.url, SIZES.small);
    await v.page.goto("/");
    return v;
}

/* The child is at the button that sends. */
async function ready(v, child, name = GAME) {
    await comeIn(v.page, child.code);
    await makeTries(v.page, child.value, name);
}

/* The connection is back. What waits may go by itself at any moment from here on: whatever a scene
 * changes at the server it changes before, while sending alone is cut off ("before"). */
async function again(v, done) {
    school.relay.set("open");
    await sendAgain(v.page, done);
}

/* Every hand-in there is: [{pupil, value, after_date}] */
async function rows(which = challenge) {
    /* The relay has just thrown everybody out: the connection that was kept may be one of them. */
    const ask = () => first.get(`/api/v1/challenges/${which.id}/results`);
    const answer = must(await ask().catch(ask), 200);
    return answer.rows.flatMap((r) => r.hand_ins.map((h) => ({ pupil: r.pupil.id, value: h.attempts[0].value, after_date: h.after_date })));
}

/* Holds all that the server has against all that was sent so far. */
async function count(name) {
    sum.scenes += 1;
    sum.lost = sum.doubled = sum.wrong = 0;
    const found = await rows();
    for (const [pupil, values] of expected) {
        for (const value of values) {
            const n = found.filter((r) => r.pupil === pupil && r.value === value).length;
            sum.lost += n === 0 ? 1 : 0;
            sum.doubled += n > 1 ? n - 1 : 0;
        }
    }
    sum.wrong += found.filter((r) => !(expected.get(r.pupil) || []).includes(r.value)).length;
    assert.deepEqual([sum.lost, sum.doubled, sum.wrong], [0, 0, 0], `${name}: lost, doubled, under another child`);
}

function owes(child) {
    expected.set(child.pupil, (expected.get(child.pupil) || []).concat(child.value));
}

async function nothingKept(v) {
    assert.ok(!/"(send|draft)\//.test(await keptText(v.page)), "nothing waits on the device");
}

for (const mode of ["cut", "before", "during", "after"]) {
    for (const how of ["the tab stays", "the tab is closed", "the server is killed"]) {
        test(`connection: ${mode}; ${how}`, async () => {
            const [child, v] = [another(), await device()];
            await ready(v, child);
            const before = school.relay.seen;
            school.relay.set(mode);
            await press(v.page, "Send my tries");
            await sees(v.page, "1 to send");
            if (mode === "cut" && how === "the tab stays") {
                await v.page.getByRole("button", { name: "Send again", exact: true }).waitFor();
                await look({ ...v, trouble: [] }, "on the way, no connection");
            }
            if (mode === "after" || mode === "cut") {
                school.relay.set("cut");
                school.relay.set("before");
                const there = (await rows()).filter((r) => r.pupil === child.pupil).length;
                assert.equal(there, mode === "after" ? 1 : 0, "stored before the cut, or not");
                school.relay.set(mode);
            } else {
                assert.ok(school.relay.seen > before, "sending was begun");
            }
            if (how === "the server is killed") {
                await school.kill();
                await school.start();
            }
            if (how === "the tab is closed") {
                await v.page.close();
                school.relay.set("open");
                v.page = await v.context.newPage();
                await v.page.goto("/");
                await title(v.page, /^Are you/);
                await press(v.page, "Yes");
                await sees(v.page, "Sent");
            } else {
                await again(v, /^Thank you/);
            }
            await nothingKept(v);
            await v.close();
            owes(child);
            await count(`${mode}, ${how}`);
        });
    }
}

test("the session is over at the server: the card again, then it goes", async () => {
    const [child, v] = [another(), await device()];
    await ready(v, child);
    const other = new Client(school.url);
    other.cookie = (await v.context.cookies()).map((c) => `${c.name}=${c.value}`).join("; ");
    must(await other.get("/api/v1/session"), 200);
    must(await other.del("/api/v1/session"), 204);
    await press(v.page, "Send my tries");
    await title(v.page, "Your card again");
    await comeIn(v.page, child.code);
    await sees(v.page, "Sent");
    await nothingKept(v);
    await v.close();
    owes(child);
    await count("session over");
});

test("the card is cancelled: the new card of the same child sends", async () => {
    const [child, v] = [another(), await device()];
    await ready(v, child);
    school.relay.set("cut");
    await press(v.page, "Send my tries");
    await sees(v.page, "1 to send");
    school.relay.set("before");
    must(await first.del(`/api/v1/cards/${child.card.id}`), 204);
    await again(v, /^Your card again/);
    await v.page.locator("#card").pressSequentially(child.code);
    await press(v.page, "Go");
    await sees(v.page, /No card has those letters/);
    await count("card cancelled, before the new one");
    const made = must(await first.post(`/api/v1/pupils/${child.pupil}/cards`, { holder: "pupil" }), 201).cards[0];
    await comeIn(v.page, made.code);
    await sees(v.page, "Sent");
    await v.close();
    owes(child);
    await count("card cancelled");
});

test("another child on the same device sends only what is its own", async () => {
    const [child, sibling, v] = [another(), another(), await device()];
    await ready(v, child);
    school.relay.set("cut");
    await press(v.page, "Send my tries");
    await sees(v.page, "1 to send");
    await press(v.page, "Finish");
    await title(v.page, "Wait!");
    await press(v.page, "Stop now. Keep my things here.");
    school.relay.set("open");
    await ready(v, sibling);
    await press(v.page, "Send my tries");
    await title(v.page, "Thank you");
    owes(sibling);
    await count("sibling first");
    /* The sibling finishes: what waits for the first child is still there. */
    await press(v.page, "Finish");
    await press(v.page, "Yes, finish");
    await comeIn(v.page, child.code);
    await sees(v.page, "Sent");
    await nothingKept(v);
    await v.close();
    owes(child);
    await count("sibling");
});

test("No, not me: what waits for somebody else is kept", async () => {
    const [child, v] = [another(), await device()];
    await ready(v, child);
    school.relay.set("cut");
    await press(v.page, "Send my tries");
    await sees(v.page, "1 to send");
    await v.page.close();
    school.relay.set("open");
    v.page = await v.context.newPage();
    await v.page.goto("/");
    await title(v.page, /^Are you/);
    await press(v.page, "No, not me");
    await sees(v.page, /1 to send stays here/);
    await comeIn(v.page, child.code);
    await sees(v.page, "Sent");
    await v.close();
    owes(child);
    await count("not me");
});

test("two tabs send the same at once", async () => {
    const [child, v] = [another(), await device()];
    await ready(v, child);
    school.relay.set("cut");
    await press(v.page, "Send my tries");
    await sees(v.page, "1 to send");
    school.relay.set("before");
    const two = await v.context.newPage();
    await two.goto("/");
    await title(two, /^Are you/);
    await Promise.all([again(v, /^(Sent|Thank you.*)$/), press(two, "Yes")]);
    await sees(two, "Sent");
    await nothingKept(v);
    await v.close();
    owes(child);
    await count("two tabs");
});

test("answers that pass: kept and sent later", async () => {
    const [child, v] = [another(), await device()];
    await ready(v, child);
    const answers = [[503, "busy"], [429, "too-many"], [403, "forbidden"], [500, "internal"], [409, "enough-today"]];
    let now = null, given = 0;
    await v.page.route("**/api/v1/hand-ins", (route) => {
        const [status, slug] = now;
        given += 1;
        return route.fulfill({ status, contentType: "application/problem+json", headers: { "Retry-After": "1" }, body: JSON.stringify({ type: `/problems/${slug}`, title: "x", status }) });
    });
    for (now of answers) {
        const before = given;
        await press(v.page, now === answers[0] ? "Send my tries" : "Send again");
        while (given === before) {
            await v.page.waitForTimeout(50);
        }
        await v.page.getByRole("button", { name: "Send again", exact: true }).waitFor();
        await sees(v.page, "1 to send");
        assert.equal(await v.page.getByText("Forget these tries").count(), 0, now[1]);
    }
    await v.page.unroute("**/api/v1/hand-ins");
    await again(v, /^Thank you/);
    await v.close();
    owes(child);
    await count("answers that pass");
});

test("the date passes meanwhile: taken, after the date; closed meanwhile but done in time: taken", async () => {
    const second = await setChallenge(first, await makeActivity(first, "timed_count", { name: "Rope skips" }), [klass.id]);
    const [child, v] = [another(), await device()];
    await ready(v, child, "Rope skips");
    school.relay.set("cut");
    await press(v.page, "Send my tries");
    await sees(v.page, "1 to send");
    school.relay.set("before");
    must(await first.put(`/api/v1/challenges/${second.id}`, { due_on: day(-1), closes_on: day(0) }), 200);
    await again(v, /^Thank you/);
    await sees(v.page, /after the date/);
    assert.deepEqual(await rows(second), [{ pupil: child.pupil, value: child.value, after_date: true }]);
    await v.close();
});

test("closed before the day on which it was done: refused, said so, and kept", async () => {
    const third = await setChallenge(first, await makeActivity(first, "timed_count", { name: "Wall skips" }), [klass.id]);
    const [child, v] = [another(), await device()];
    await ready(v, child, "Wall skips");
    school.relay.set("cut");
    await press(v.page, "Send my tries");
    await sees(v.page, "1 to send");
    school.relay.set("before");
    must(await first.put(`/api/v1/challenges/${third.id}`, { due_on: day(-1), closes_on: day(-1) }), 200);
    await again(v, /This challenge has closed. Your teacher can still add your tries/);
    await look({ ...v, trouble: [] }, "refused and kept");
    assert.deepEqual(await rows(third), []);
    assert.match(await keptText(v.page), new RegExp(`\\\\"value\\\\":${child.value}`), "the numbers are still there");
    await press(v.page, "Forget these tries");
    await press(v.page, "Forget these tries");
    await sees(v.page, "My challenges");
    await nothingKept(v);
    await v.close();
});

test("what all that came to", () => {
    console.log(`# matrix: ${sum.scenes} scenes, ${[...expected.values()].flat().length} hand-ins, ${sum.lost} lost, ${sum.doubled} doubled, ${sum.wrong} under another child`);
    assert.ok(sum.scenes >= 18, `${sum.scenes} scenes`);
});
