/* SPDX-License-Identifier: MIT
 * The child's way, screen by screen: pictures beside their words, the seated way, the warm-up caller,
 * at 320 px. School, names and activities are invented. */

import test from "node:test";
import assert from "node:assert/strict";
import { startSchool } from "../lib/server.mjs";
import { launch, visitor, look } from "../lib/browser.mjs";
import { signedIn } from "../lib/client.mjs";
import { makeClass, makeCards, makeActivity, setChallenge, must, day } from "../lib/world.mjs";

const PHONE = { width: 320, height: 640 };
const title = (page, words) => page.locator("h1", { hasText: words }).waitFor();
const press = (page, name) => page.getByRole("button", { name, exact: true }).first().click();

async function schoolOf(kind, changes = {}) {
    const school = await startSchool();
    const first = await signedIn(school.url, school.account);
    await first.get("/api/v1/session");
    const klass = await makeClass({ first }, "3 Alder", ["Ondi", "Perrin"]);
    const cards = await makeCards({ first }, klass.id, "pupil");
    const challenge = await setChallenge(first, await makeActivity(first, kind, changes), [klass.id]);
    must(await first.put("/api/v1/school", { terms: [{ name: "Autumn term", starts_on: day(-60), ends_on: day(60) }] }), 200);
    return { school, first, klass, cards, challenge };
}

async function toVersions(page, code) {
    await page.goto("/");
    await page.locator("#card").pressSequentially(code);
    await press(page, "Go");
    await press(page, "Yes");
    await title(page, "Today");
    await page.locator(".tile").first().click();
    await title(page, "How will you do it?");
}

async function toWarmUp(page, code, version = "Standard") {
    await toVersions(page, code);
    await page.locator(".tile", { hasText: version }).first().click();
    await title(page, "Ready?");
    for (const tick of await page.locator(".choice").all()) {
        await tick.click();
    }
    await press(page, "I am ready");
    await title(page, "Warm up");
}

async function toTry(page, code, version) {
    await toWarmUp(page, code, version);
    await press(page, "Skip the warm-up");
    await press(page, "Start my tries");
    await page.locator(".try-tabs").waitFor();
}

const poses = (page) => page.locator("[data-pose]").evaluateAll((all) => all.map((e) => e.getAttribute("data-pose")));

test("pictures stand beside their words, and a seated way shows and asks nobody to stand", async (t) => {
    const [{ school, cards }, browser] = [
        await schoolOf("zones", {
            set_up: "Put the mat down. Stand behind your line. Clear the floor.",
            cues: [{ text: "Eyes on the mat" }, { text: "Standing knee soft" }, { text: "Smooth swing" }],
            safety: ["Stand clear of the wall."]
        }),
        await launch()
    ];
    t.after(() => Promise.all([school.stop(), browser.close()]));
    const v = await visitor(browser, school.url, PHONE);
    const { page } = v;
    await toVersions(page, cards[0].code);
    assert.deepEqual(await poses(page), ["slide", "s-throw"]);
    await look(v, "way version 320");
    await page.locator(".tile", { hasText: "Seated" }).click();
    await title(page, "Ready?");
    const lines = await page.locator(".choice").count();
    assert.equal(await page.locator(".choice svg.pic").count(), lines, "each safety line has its picture");
    assert.equal(await page.locator(".choice", { hasText: "Stand clear of the wall." }).count(), 1, "a safety line is never left out");
    await look(v, "way ready 320");
    for (const tick of await page.locator(".choice").all()) {
        await tick.click();
    }
    await press(page, "I am ready");
    await title(page, "Warm up");
    await look(v, "way warm up 320");
    await page.getByText("Stay sitting.").waitFor();
    assert.ok((await poses(page)).every((p) => p.startsWith("s-")));
    await press(page, "Skip the warm-up");
    await title(page, "Mat slide");
    await look(v, "way learn seated 320");
    assert.ok((await poses(page)).every((p) => p.startsWith("s-")));
    const words = await page.locator("#main").textContent();
    assert.doesNotMatch(words, /stand/i);
    assert.match(words, /Put the mat down\.\s*Clear the floor\./);
    assert.equal(await page.locator(".look-for svg.pic").count(), 2);
    assert.equal(await page.locator("svg.pic:not([aria-hidden=true]):not([aria-label])").count(), 0, "every picture is labelled or beside its words");
});

test("the warm-up begins when asked, calls in no order anybody could know, rests, waits, ends", async (t) => {
    const [{ school, cards }, browser] = [await schoolOf("timed_count"), await launch()];
    t.after(() => Promise.all([school.stop(), browser.close()]));
    const v = await visitor(browser, school.url, PHONE);
    const { page } = v;
    await toWarmUp(page, cards[0].code);
    await page.clock.install();
    await page.clock.runFor(120000);
    await page.getByRole("button", { name: "Start the warm-up" }).waitFor();
    const shape = () => page.locator("[data-shape]").getAttribute("data-shape");
    const run = async () => {
        const calls = [];
        await press(page, "Start the warm-up");
        for (let i = 0; i < 12; i += 1) {
            const name = await shape();
            assert.deepEqual(await poses(page), [name], "shape and picture are of one call");
            assert.ok((await page.locator(".warm-word").textContent()).length > 5);
            calls.push(name);
            if (i === 4) {
                await page.keyboard.press("Enter"); /* the focus is on Pause */
                await page.clock.runFor(60000);
                assert.equal(await shape(), name, "paused");
                await page.keyboard.press("Enter");
                await look(v, "way warm up call 320");
            }
            await page.clock.runFor(6050);
        }
        await page.getByText("You are warm.").waitFor();
        return calls;
    };
    const orders = [];
    for (let k = 0; k < 3; k += 1) {
        const calls = await run();
        assert.deepEqual([3, 7, 11].map((i) => calls[i]), ["rest", "rest", "rest"]);
        const moves = calls.filter((c) => c !== "rest");
        assert.equal(moves.length, 9);
        assert.ok(moves.every((c, i) => i === 0 || c !== moves[i - 1]), "nothing twice running");
        orders.push(moves.join());
        if (k < 2) {
            await page.keyboard.press("Enter");
            await title(page, "Line skips");
            await page.goBack();
            await title(page, "Warm up");
        }
    }
    /* 7 x 6^8 orders: three alike by chance is out of the question. */
    assert.ok(new Set(orders).size > 1);
    await page.keyboard.press("Enter");
    await title(page, "Line skips");
    assert.deepEqual(v.trouble, []);
});
