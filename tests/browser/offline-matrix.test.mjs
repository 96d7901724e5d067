/* SPDX-License-Identifier: MIT
 * Tries on their way while everything goes wrong: the connection cut before, during and after
 * sending; the tab closed; the server killed; the session over; the date past, the challenge closed,
 * the card cancelled; another child on the same device; two tabs. Counted at the server: none lost,
 * none twice, none under another child. All names are invented. */

import test from "node:test";
import assert from "node:assert/strict";
import { look } from "../lib/browser.mjs";
import { makeHome, nothingKept } from "../lib/home.mjs";
import { Client, signedIn } from "../lib/client.mjs";
import { clockMoved } from "../lib/server.mjs";
import { makeActivity, setChallenge, must, day } from "../lib/world.mjs";
import { title, press, sees, comeIn, makeTries, keptText } from "../lib/child.mjs";

const DAY_MS = 86400000;
const REFUSED = "This challenge has closed. Your teacher can open it again.";
const NAMES = ["Ondi", "Perrin", "Quill", "Rafe", "Sunniva", "Tarn", "Una", "Vesper", "Wilf", "Xanthe", "Yorick", "Zelda", "Arlo", "Bryony", "Corin", "Dilys", "Edda", "Fenn", "Greta", "Hale", "Isolde", "Joss", "Kerra", "Linnet"];

let home;
test.before(async () => {
    home = await makeHome("3 Alder", NAMES);
});
test.after(() => home.stop());

for (const mode of ["cut", "before", "during", "after"]) {
    for (const how of ["the tab stays", "the tab is closed", "the server is killed"]) {
        test(`connection: ${mode}; ${how}`, async () => {
            const [child, v] = [home.another(), await home.device()];
            await home.ready(v, child);
            const before = home.relay.seen;
            home.relay.set(mode);
            await press(v.page, "Send my tries");
            await sees(v.page, "1 to send");
            if (mode === "cut" && how === "the tab stays") {
                await v.page.getByRole("button", { name: "Send again", exact: true }).waitFor();
                await look({ ...v, trouble: [] }, "on the way, no connection");
            }
            if (mode === "after" || mode === "cut") {
                home.relay.set("cut");
                home.relay.set("before");
                const there = (await home.rows()).filter((r) => r.pupil === child.pupil).length;
                assert.equal(there, mode === "after" ? 1 : 0, "stored before the cut, or not");
                home.relay.set(mode);
            } else {
                assert.ok(home.relay.seen > before, "sending was begun");
            }
            if (how === "the server is killed") {
                await home.school.kill();
                await home.school.start();
            }
            if (how === "the tab is closed") {
                await v.page.close();
                home.relay.set("open");
                v.page = await v.context.newPage();
                await v.page.goto("/");
                await title(v.page, /^Are you/);
                await press(v.page, "Yes");
                await sees(v.page, "Sent");
            } else {
                await home.again(v, /^Thank you/);
            }
            await nothingKept(v);
            await v.close();
            home.owes(child);
            await home.count(`${mode}, ${how}`);
        });
    }
}

test("the session is over at the server: the card again, then it goes", async () => {
    const [child, v] = [home.another(), await home.device()];
    await home.ready(v, child);
    const other = new Client(home.school.url);
    other.cookie = (await v.context.cookies()).map((c) => `${c.name}=${c.value}`).join("; ");
    must(await other.get("/api/v1/session"), 200);
    must(await other.del("/api/v1/session"), 204);
    await press(v.page, "Send my tries");
    await title(v.page, "Your card again");
    await comeIn(v.page, child.code);
    await sees(v.page, "Sent");
    await nothingKept(v);
    await v.close();
    home.owes(child);
    await home.count("session over");
});

test("the card is cancelled: the new card of the same child sends", async () => {
    const [child, v] = [home.another(), await home.device()];
    await home.ready(v, child);
    home.relay.set("cut");
    await press(v.page, "Send my tries");
    await sees(v.page, "1 to send");
    home.relay.set("before");
    must(await home.first.del(`/api/v1/cards/${child.card.id}`), 204);
    await home.again(v, /^Your card again/);
    await v.page.locator("#card").pressSequentially(child.code);
    await press(v.page, "Go");
    await sees(v.page, /^This card no longer works\. Ask school for a new one\. 1 to send stays here for its card\.$/);
    await home.count("card cancelled, before the new one");
    const made = must(await home.first.post(`/api/v1/pupils/${child.pupil}/cards`, { holder: "pupil" }), 201).cards[0];
    await comeIn(v.page, made.code);
    await sees(v.page, "Sent");
    await v.close();
    home.owes(child);
    await home.count("card cancelled");
});

test("another child on the same device sends only what is its own", async () => {
    const [child, sibling, v] = [home.another(), home.another(), await home.device()];
    await home.ready(v, child);
    home.relay.set("cut");
    await press(v.page, "Send my tries");
    await sees(v.page, "1 to send");
    await press(v.page, "Finish");
    await title(v.page, "Wait!");
    await press(v.page, "Stop now. Keep my things here.");
    home.relay.set("open");
    await home.ready(v, sibling);
    await press(v.page, "Send my tries");
    await title(v.page, "Thank you");
    home.owes(sibling);
    await home.count("sibling first");
    /* The sibling finishes: what waits for the first child is still there. */
    await press(v.page, "Finish");
    await press(v.page, "Yes, finish");
    await comeIn(v.page, child.code);
    await sees(v.page, "Sent");
    await nothingKept(v);
    await v.close();
    home.owes(child);
    await home.count("sibling");
});

test("No, not me: what waits for somebody else is kept", async () => {
    const [child, v] = [home.another(), await home.device()];
    await home.ready(v, child);
    home.relay.set("cut");
    await press(v.page, "Send my tries");
    await sees(v.page, "1 to send");
    await v.page.close();
    home.relay.set("open");
    v.page = await v.context.newPage();
    await v.page.goto("/");
    await title(v.page, /^Are you/);
    await press(v.page, "No, not me");
    await sees(v.page, /1 to send stays here/);
    await comeIn(v.page, child.code);
    await sees(v.page, "Sent");
    await v.close();
    home.owes(child);
    await home.count("not me");
});

for (const locks of [true, false]) {
    test(`two tabs send the same at once${locks ? "" : ", in a browser without locks"}`, async () => {
        const [child, v] = [home.another(), await home.device()];
        if (!locks) {
            await v.context.addInitScript({ content: "Object.defineProperty(Navigator.prototype, 'locks', { value: undefined });" });
            await v.page.reload();
        }
        await home.ready(v, child);
        home.relay.set("cut");
        await press(v.page, "Send my tries");
        await sees(v.page, "1 to send");
        home.relay.set("before");
        const two = await v.context.newPage();
        await two.goto("/");
        await title(two, /^Are you/);
        assert.equal(await two.evaluate(() => Boolean(navigator.locks)), locks);
        await Promise.all([home.again(v, /^(Sent|Thank you.*)$/), press(two, "Yes")]);
        await sees(two, "Sent");
        await nothingKept(v);
        await v.close();
        home.owes(child);
        await home.count(`two tabs, locks: ${locks}`);
    });
}

test("answers that pass: kept and sent later", async () => {
    const [child, v] = [home.another(), await home.device()];
    await home.ready(v, child);
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
    await home.again(v, /^Thank you/);
    await v.close();
    home.owes(child);
    await home.count("answers that pass");
});

test("the date passes meanwhile: taken, after the date; closed meanwhile but done in time: taken", async () => {
    const second = await setChallenge(home.first, await makeActivity(home.first, "timed_count", { name: "Rope skips" }), [home.klass.id], { opens_on: day(-9), due_on: day(-1), closes_on: day(1) });
    const [child, v] = [home.another(), await home.device()];
    await home.ready(v, child, "Rope skips");
    home.relay.set("cut");
    await press(v.page, "Send my tries");
    await sees(v.page, "1 to send");
    home.relay.set("before");
    must(await home.first.put(`/api/v1/challenges/${second.id}`, { closes_on: day(-1) }), 200);
    await home.again(v, /^Thank you/);
    await sees(v.page, /after the date/);
    assert.deepEqual(await home.rows(second), [{ pupil: child.pupil, value: child.value, after_date: true, done_on: day(0) }]);
    await v.close();
});

test("cancelled meanwhile but done before: taken, and the child is thanked", async () => {
    const gone = await setChallenge(home.first, await makeActivity(home.first, "timed_count", { name: "Sofa skips" }), [home.klass.id]);
    const [child, v] = [home.another(), await home.device()];
    await home.ready(v, child, "Sofa skips");
    home.relay.set("cut");
    await press(v.page, "Send my tries");
    await sees(v.page, "1 to send");
    home.relay.set("before");
    must(await home.first.put(`/api/v1/challenges/${gone.id}`, { cancelled: true }), 200);
    await home.again(v, /^(Thank you|Sent$)/);
    assert.deepEqual(await home.rows(gone), [{ pupil: child.pupil, value: child.value, after_date: false, done_on: day(0) }]);
    await look({ ...v, trouble: [] }, "cancelled, taken");
    await nothingKept(v);
    await press(v.page, "My challenges");
    await title(v.page, "Today");
    assert.equal(await v.page.locator(".tile", { hasText: "Sofa skips" }).count(), 0);
    await v.close();
});

/* The last of all: the server's clock goes on by a day. */
test("closed, or cancelled, before the day on which it was done: refused, said so, and kept", async () => {
    const make = async (name) => setChallenge(home.first, await makeActivity(home.first, "timed_count", { name }), [home.klass.id]);
    const [closed, cancelled] = [await make("Wall skips"), await make("Tree skips")];
    const [child, v] = [home.another(), await home.device()];
    await comeIn(v.page, child.code);
    await title(v.page, "Today");
    const there = (text) => [closed, cancelled].every((c) => text.includes(`detail/${child.pupil}/${c.id}`));
    while (!there(await keptText(v.page))) {
        await v.page.waitForTimeout(50);
    }
    must(await home.first.put(`/api/v1/challenges/${closed.id}`, { due_on: day(-1), closes_on: day(-1) }), 200);
    must(await home.first.put(`/api/v1/challenges/${cancelled.id}`, { cancelled: true }), 200);
    home.relay.set("cut");
    await v.page.clock.setSystemTime(Date.now() + DAY_MS);
    for (const [name, n] of [["Wall skips", 1], ["Tree skips", 2]]) {
        await makeTries(v.page, child.value, name);
        await press(v.page, "Send my tries");
        await sees(v.page, `${n} to send`);
        await press(v.page, "My challenges");
    }
    await v.page.close();
    await home.school.kill();
    await home.school.start(clockMoved(DAY_MS / 1000));
    home.relay.set("open");
    home.first = await signedIn(home.school.url, home.school.account);
    v.page = await v.context.newPage();
    await v.page.clock.setSystemTime(Date.now() + DAY_MS);
    await v.page.goto("/");
    await comeIn(v.page, child.code);
    await v.page.locator(".panel-sun").nth(1).waitFor();
    await look({ ...v, trouble: [] }, "refused and kept");
    for (const name of ["Wall skips", "Tree skips"]) {
        const box = v.page.locator(".panel-sun", { hasText: name });
        await box.getByText(REFUSED).waitFor();
        await box.getByText("Show this to your teacher.").waitFor();
    }
    assert.deepEqual([await home.rows(closed), await home.rows(cancelled)], [[], []]);
    assert.match(await keptText(v.page), new RegExp(`\\\\"value\\\\":${child.value}`), "the numbers are still there");
    /* nothing to change them on: they stay where they are */
    const gone = v.page.locator(".panel-sun", { hasText: "Tree skips" });
    await gone.getByRole("button", { name: "Change my tries" }).click();
    await gone.getByText("That is not here any more.").waitFor();
    assert.deepEqual((await keptText(v.page)).match(/"(send|draft)\//g), ['"send/', '"send/']);
    for (let n = 2; n > 0; n -= 1) {
        await press(v.page, "Forget these tries");
        await sees(v.page, "Then they are lost. Are you sure?");
        await press(v.page, "Forget these tries");
        await v.page.locator(".panel-sun").nth(n - 1).waitFor({ state: "detached" });
    }
    await title(v.page, "Today");
    await nothingKept(v);
    await v.close();
});

test("what all that came to", () => {
    assert.ok(home.figures("matrix") >= 20);
});
