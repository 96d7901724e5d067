/* SPDX-License-Identifier: MIT
 * The child's journey in a real browser: card, Today, version, Ready?, Learn, Try, Think, Send, for
 * every kind of activity, at both sizes and by keyboard alone; mistake, message, Finish; and the
 * form with script off. The school is the invented demo school. */

import test from "node:test";
import assert from "node:assert/strict";
import { startSchool } from "../lib/server.mjs";
import { launch, visitor, look, accessible, SIZES, tabTo } from "../lib/browser.mjs";
import { signedIn } from "../lib/client.mjs";
import { makeClass, makeCards, makeActivity, setChallenge, must, day } from "../lib/world.mjs";

const KINDS = ["zones", "successes", "timed_count", "measure"];

/* A school with one open challenge of every kind, so that each pad is met. */
async function schoolOfKinds() {
    const school = await startSchool();
    const first = await signedIn(school.url, school.account);
    await first.get("/api/v1/session");
    const klass = await makeClass({ first }, "3 Alder", ["Ondi", "Perrin", "Quill"]);
    const cards = await makeCards({ first }, klass.id, "pupil");
    for (const kind of KINDS) {
        await setChallenge(first, await makeActivity(first, kind, {}), [klass.id]);
    }
    must(await first.put("/api/v1/school", { terms: [{ name: "Autumn term", starts_on: day(-60), ends_on: day(60) }] }), 200);
    return { school, first, klass, cards };
}

const title = (page, words) => page.locator("h1", { hasText: words }).waitFor();
const press = (page, name) => page.getByRole("button", { name, exact: true }).first().click();

async function comeIn(page, code) {
    await page.goto("/");
    await page.locator("#card").pressSequentially(code);
    await press(page, "Go");
    await title(page, /^Are you/);
    await press(page, "Yes");
    await title(page, "Today");
}

async function enterTries(page) {
    const space = page.getByRole("button", { name: "More, or I do not know", exact: true });
    if (await space.count()) {
        await space.click();
    }
    for (let t = 0; t < 5 && await page.locator(".try-tabs").count(); t += 1) {
        if (await page.locator("[data-key^=zone-]").count()) {
            for (let k = 0; k < 20 && await page.locator(`[data-key=zone-${(k + t) % 2}]`).isEnabled(); k += 1) {
                await page.locator(`[data-key=zone-${(k + t) % 2}]`).click();
            }
        } else if (await page.locator("[data-key=hit-1]").count()) {
            for (let k = 0; k < 20 && await page.locator("[data-key=hit-1]").isEnabled(); k += 1) {
                await page.locator(`[data-key=hit-${(k + t) % 3 ? 1 : 0}]`).click();
            }
        } else {
            await page.locator("[data-key=value]").fill(String(12 + t));
        }
        await page.locator("[data-key=next]").click();
        await page.waitForTimeout(150);
        if (await page.locator("[data-key=yes]").count()) {
            await page.locator("[data-key=yes]").click();
        }
    }
}

async function oneChallenge(v, index, size) {
    const { page } = v;
    await page.locator(".tile").nth(index).click();
    await title(page, "How will you do it?");
    await look(v, `choose a version ${index} ${size}`);
    await page.locator(".tile").first().click();
    await title(page, "Ready?");
    await look(v, `ready ${index} ${size}`);
    await press(page, "I am ready");
    assert.ok(await page.locator("h1", { hasText: "Ready?" }).count(), "the safety check cannot be skipped");
    for (const tick of await page.locator(".choice").all()) {
        await tick.click();
    }
    await press(page, "I am ready");
    await title(page, "Warm up");
    await look(v, `warm up ${index} ${size}`);
    await press(page, "Skip the warm-up");
    await page.getByRole("button", { name: "Start my tries", exact: true }).waitFor();
    await look(v, `learn ${index} ${size}`);
    await press(page, "Start my tries");
    await page.locator(".try-tabs").waitFor();
    await look(v, `try ${index} ${size}`);
    await enterTries(page);
    if (await page.locator("h1", { hasText: "Think" }).count()) {
        await look(v, `think ${index} ${size}`);
        for (const question of await page.locator("fieldset").all()) {
            await question.locator(".choice").first().click();
        }
        await press(page, "Next");
    }
    await page.locator(".choice").nth(1).click();
    await look(v, `how was it ${index} ${size}`);
    await press(page, "Next");
    await page.getByRole("button", { name: "Send my tries", exact: true }).waitFor();
    await look(v, `send ${index} ${size}`);
    await press(page, "Send my tries");
    await title(page, "Thank you");
    assert.ok(await page.locator("svg.lanes .lane-ring").count() >= 1, "the best is ringed");
    await look(v, `thank you ${index} ${size}`);
}

for (const [size, box] of Object.entries(SIZES)) {
    test(`a child sends tries of every kind, ${size}`, async (t) => {
        const [{ school, first, klass, cards }, browser] = [await schoolOfKinds(), await launch()];
        t.after(() => Promise.all([school.stop(), browser.close()]));
        const v = await visitor(browser, school.url, box);
        const { page } = v;
        await page.goto("/");
        await page.locator("#card").waitFor();
        await look(v, `card ${size}`);
        await comeIn(page, cards[0].code);
        await look(v, `today ${size}`);
        assert.equal(await page.locator(".tile").count(), KINDS.length);
        for (let i = 0; i < KINDS.length; i += 1) {
            await oneChallenge(v, i, size);
            await press(page, "My challenges");
            await title(page, "Today");
        }
        const grid = must(await first.get(`/api/v1/classes/${klass.id}/grid`), 200);
        const row = grid.pupils.find((p) => p.id === cards[0].pupil.id);
        assert.deepEqual(row.cells.map((c) => c.state), KINDS.map(() => "handed_in"));
        await press(page, "My bests");
        await page.locator("svg.lanes").first().waitFor();
        await look(v, `my bests ${size}`);
        await press(page, "My challenges");
        await title(page, "Today");
        await press(page, "Tell my teacher");
        await page.getByText(/ring 999/).first().waitFor();
        await look(v, `tell my teacher ${size}`);
        assert.equal(await page.locator("textarea, input[type=text]").count(), 0, "no free text to a teacher");
        await page.goBack();
        await title(page, "Today");
        await press(page, "Finish");
        await press(page, "Yes, finish");
        await page.locator("#card").waitFor();
        assert.equal(await page.evaluate(() => fetch("/api/v1/session").then((r) => r.status)), 401);
        assert.equal(await page.evaluate(() => sessionStorage.length), 0, "nothing of the child stays in the tab");
        await page.goBack().catch(() => null);
        assert.ok(!(await page.locator("#main").textContent()).includes(cards[0].pupil.display_name), "Back shows nothing of the last child");
    });
}

test("a key from a QR code is wiped from the address before anything else", async (t) => {
    const [{ school, cards }, browser] = [await schoolOfKinds(), await launch()];
    t.after(() => Promise.all([school.stop(), browser.close()]));
    const v = await visitor(browser, school.url, SIZES.small);
    await v.page.goto("/#" + cards[1].url.split("#")[1]);
    await title(v.page, /^Are you Perrin/);
    assert.equal(new URL(v.page.url()).hash, "");
    await press(v.page, "No, not me");
    await v.page.locator("#card").waitFor();
    assert.equal(await v.page.evaluate(() => fetch("/api/v1/session").then((r) => r.status)), 401);
});

test("a card scanned while the page is starting is not forgotten", async (t) => {
    const [{ school, cards }, browser] = [await schoolOfKinds(), await launch()];
    t.after(() => Promise.all([school.stop(), browser.close()]));
    const v = await visitor(browser, school.url, SIZES.small, { serviceWorkers: "block" });
    let answer;
    const asked = new Promise((done) => {
        v.page.route("**/api/v1/session", (route) => {
            if (route.request().method() === "GET" && !answer) {
                /* what the server said before it had the card comes late */
                answer = () => route.fulfill({ status: 401, contentType: "application/problem+json", body: JSON.stringify({ type: "/problems/not-signed-in", status: 401 }) });
                done();
            } else {
                route.continue();
            }
        });
    });
    await v.page.goto("/");
    await asked;
    await v.page.evaluate((hash) => { window.location.hash = hash; }, cards[1].url.split("#")[1]);
    await title(v.page, /^Are you Perrin/);
    answer();
    await v.page.waitForTimeout(500);
    await title(v.page, /^Are you Perrin/);
    assert.equal(await v.page.locator("#card").count(), 0);
});

test("tries are kept while the network is away, and go once", async (t) => {
    const [{ school, first, klass, cards }, browser] = [await schoolOfKinds(), await launch()];
    t.after(() => Promise.all([school.stop(), browser.close()]));
    const v = await visitor(browser, school.url, SIZES.small);
    const { page, context } = v;
    await comeIn(page, cards[0].code);
    await page.locator(".tile").first().click();
    await page.locator(".tile").first().click();
    for (const tick of await page.locator(".choice").all()) {
        await tick.click();
    }
    await press(page, "I am ready");
    await press(page, "Skip the warm-up");
    await press(page, "Start my tries");
    await enterTries(page);
    while (!await page.getByRole("button", { name: "Send my tries", exact: true }).count()) {
        await page.locator(".choice").first().click();
        await press(page, "Next");
    }
    await context.setOffline(true);
    await press(page, "Send my tries");
    await page.locator("#main .banner").first().waitFor();
    await accessible(page, "no network");
    await page.getByText("1 to send").first().waitFor();
    await context.setOffline(false); /* goes by itself */
    await title(page, "Thank you");
    const grid = must(await first.get(`/api/v1/classes/${klass.id}/grid`), 200);
    assert.equal(grid.pupils.flatMap((p) => p.cells).filter((c) => c.state === "handed_in").length, 1);
});

test("a child comes in and reaches the tries with the keyboard alone", async (t) => {
    const [{ school, cards }, browser] = [await schoolOfKinds(), await launch()];
    t.after(() => Promise.all([school.stop(), browser.close()]));
    const v = await visitor(browser, school.url, SIZES.large);
    const { page } = v;
    await page.goto("/");
    await page.locator("#card").waitFor();
    await tabTo(page, /Tap the letters/);
    await page.keyboard.type(cards[2].code);
    await page.keyboard.press("Enter");
    await title(page, /^Are you/);
    await tabTo(page, /^\s*Yes$/);
    await page.keyboard.press("Enter");
    await title(page, "Today");
    await tabTo(page, /Line skips/);
    await page.keyboard.press("Enter");
    await title(page, "How will you do it?");
    await tabTo(page, /Standard/i);
    await page.keyboard.press("Enter");
    await title(page, "Ready?");
    const ticks = await page.locator(".choice input").count();
    for (let i = 0; i < ticks; i += 1) {
        await page.keyboard.press("Tab");
        while (await page.evaluate(() => document.activeElement.type !== "checkbox")) {
            await page.keyboard.press("Tab");
        }
        await page.keyboard.press("Space");
    }
    await tabTo(page, /^\s*I am ready/);
    await page.keyboard.press("Enter");
    await title(page, "Warm up");
    await tabTo(page, /^\s*Skip the warm-up/);
    await page.keyboard.press("Enter");
    await tabTo(page, /^\s*Start my tries/);
    await page.keyboard.press("Enter");
    await page.locator(".try-tabs").waitFor();
    assert.deepEqual(v.trouble, []);
});

test("/quick with script off: refused, mended, thanked", async (t) => {
    const [{ school, first, klass, cards }, browser] = [await schoolOfKinds(), await launch()];
    t.after(() => Promise.all([school.stop(), browser.close()]));
    const challenges = must(await first.get(`/api/v1/challenges?class=${klass.id}`), 200).challenges;
    const zones = challenges.find((c) => c.activity.kind === "zones");
    for (const box of Object.values(SIZES)) {
        const v = await visitor(browser, school.url, box, { javaScriptEnabled: false });
        const { page } = v;
        await page.goto("/quick");
        await page.fill("#code", cards[1].code);
        await page.fill("#challenge", String(zones.number));
        await page.fill("#attempt_1", "9");
        await page.fill("#attempt_2", "12");
        await page.fill("#attempt_3", "16");
        await page.fill("#distance_m", "3");
        await page.locator("button[type=submit], button:not([type])").first().click();
        await page.getByText(/15 or 17/).first().waitFor();
        assert.equal(await page.inputValue("#attempt_2"), "12");
        await page.fill("#attempt_3", "15");
        await page.locator("button[type=submit], button:not([type])").first().click();
        await page.waitForURL("**/quick/thanks");
        await v.close();
    }
    const v = await visitor(browser, school.url, SIZES.small);
    for (const path of ["/quick", "/quick/thanks", "/privacy", "/help"]) {
        await v.page.goto(path);
        await look(v, `page ${path}`);
    }
});
