/* SPDX-License-Identifier: MIT
 * Unit end, band lines and the next lesson in a real browser, on the demo school (invented), at both
 * sizes; by keyboard where a class is gone through by keyboard. */

import test from "node:test";
import assert from "node:assert/strict";
import { startDemo } from "../lib/server.mjs";
import { launch, visitor, look, SIZES } from "../lib/browser.mjs";
import { signedIn } from "../lib/client.mjs";
import { must } from "../lib/world.mjs";

/* Signed in once: a person has five sessions at most. */
async function stateOf(browser, school) {
    const v = await visitor(browser, school.url, SIZES.large);
    await v.page.goto("/staff");
    await v.page.getByLabel("Your name").fill(school.account.name);
    await v.page.getByLabel("Passphrase").fill(school.account.passphrase);
    await v.page.getByRole("button", { name: "Sign in" }).click();
    await v.page.getByRole("heading", { name: "Classes" }).waitFor();
    const state = await v.context.storageState();
    await v.close();
    return state;
}

/* A class and a unit of the demo with as many tries as there are. */
async function busiest(client) {
    let found = null;
    for (const c of must(await client.get("/api/v1/classes"), 200).classes) {
        const units = new Map(must(await client.get(`/api/v1/challenges?state=all&class=${c.id}`), 200).challenges.map((x) => [x.unit.id, x]));
        for (const [unit, challenge] of units) {
            const { rows } = must(await client.get(`/api/v1/units/${unit}/assess?class=${c.id}`), 200);
            const n = rows.filter((r) => r.suggestion && r.suggestion.word).length;
            if (!found || n > found.n) {
                found = { n, unit, klass: c, challenge, rows };
            }
        }
    }
    return found;
}

const [school, browser] = [await startDemo(), await launch()];
test.after(() => Promise.all([school.stop(), browser.close()]));
const client = await signedIn(school.url, school.account);
await client.get("/api/v1/session");
const at = await busiest(client);
const storageState = await stateOf(browser, school);
const query = `?unit=${at.unit}&class=${at.klass.id}`;

for (const [size, viewport] of Object.entries(SIZES)) {
    test(`unit end ${size}`, async (t) => {
        const v = await visitor(browser, school.url, viewport, { storageState });
        t.after(() => v.close());
        const { page } = v;
        await page.goto("/staff/assess" + query);
        await page.locator(".unit-end tbody tr").first().waitFor();
        assert.equal(await page.locator(".unit-end tbody tr").count(), at.rows.length);
        await look(v, `unit end ${size}`);
        assert.equal(await page.getByText("Thrice does not know the kit, the help or who is youngest in the year.").count() >= 1, true);
        if (size === "large") {
            const heights = await page.locator(".unit-end tbody tr").evaluateAll((rows) => rows.map((r) => r.getBoundingClientRect().height));
            assert.ok(heights.sort((a, b) => a - b)[Math.floor(heights.length / 2)] <= 115, `a child is ${heights} px high`);
        }
        if (size === "small") {
            const high = await page.evaluate(() => document.documentElement.scrollHeight);
            assert.ok(high < 9500, `${high} px for ${at.rows.length} children`);
            assert.equal(await page.locator(".strands").first().isVisible(), false, "strands are folded on a phone");
        }
        await page.locator(".unit-said summary").first().click();
        assert.equal(await page.locator(".strands").first().isVisible(), true);
        await page.locator(".strand-list").first().waitFor();
        await page.locator(".rules summary").click();
        await look(v, `unit end opened ${size}`);
        await page.emulateMedia({ media: "print" });
        await look(v, `unit end printed ${size}`);
        await page.emulateMedia({ media: "screen" });
    });
}

test("a class by keyboard: digits choose, Enter records and goes on, arrows move", async (t) => {
    const v = await visitor(browser, school.url, SIZES.large, { storageState });
    t.after(() => v.close());
    const { page } = v;
    await page.goto("/staff/assess" + query);
    const groups = page.getByRole("radiogroup", { name: /^Assessment of/ });
    await groups.first().waitFor();
    const names = at.rows.map((r) => r.pupil.display_name);
    const on = () => page.evaluate(() => document.activeElement.closest("[role=radiogroup]").getAttribute("aria-label"));
    await groups.first().locator("[tabindex='0']").focus();
    await page.keyboard.press("1");
    assert.equal(await groups.first().locator("[aria-checked=true]").textContent(), "1");
    let stored = must(await client.get(`/api/v1/units/${at.unit}/assess?class=${at.klass.id}`), 200).rows;
    assert.equal(JSON.stringify(stored[0].assessment), JSON.stringify(at.rows[0].assessment), "choosing alone stored something");
    await page.keyboard.press("Enter");
    await page.waitForFunction((name) => document.activeElement.closest("[role=radiogroup]") && document.activeElement.closest("[role=radiogroup]").getAttribute("aria-label") === name, `Assessment of ${names[1]}`);
    stored = must(await client.get(`/api/v1/units/${at.unit}/assess?class=${at.klass.id}`), 200).rows;
    assert.equal(stored[0].assessment.band, 1);
    assert.equal(stored[0].assessment.in_bulk, false);
    await page.keyboard.press("ArrowDown");
    assert.equal(await on(), `Assessment of ${names[2]}`);
    await page.keyboard.press("ArrowUp");
    assert.equal(await on(), `Assessment of ${names[1]}`);
    await page.keyboard.press("9");
    assert.equal(await groups.nth(1).locator("[aria-checked=true]").count(), stored[1].assessment ? 1 : 0, "a digit that is no band chooses nothing");
    /* one that differs from what the tries point to may say why */
    const i = stored.findIndex((r, k) => k > 1 && r.suggestion.band > 0);
    await groups.nth(i).locator(".band-box").nth(0).click();
    await page.getByLabel(`Why it differs, ${names[i]}`).selectOption("seen_in_lessons");
    await groups.nth(i).locator("xpath=..").getByRole("button", { name: /Decide|Change/ }).click();
    await page.waitForFunction((n) => document.querySelectorAll(".unit-end tbody tr")[n].querySelector(".unit-now"), i);
    stored = must(await client.get(`/api/v1/units/${at.unit}/assess?class=${at.klass.id}`), 200).rows;
    assert.deepEqual([stored[i].assessment.band, stored[i].assessment.reason], [0, "seen_in_lessons"]);
    await look(v, "unit end decided");
    await page.locator(".rules summary").click();
    await page.getByLabel(/The best try/).check();
    await page.getByRole("button", { name: "Use these rules" }).click();
    await page.getByText(/judged by these rules now/).waitFor();
    await page.getByText(/Judged here by the best try/).waitFor();
    must(await client.put(`/api/v1/units/${at.unit}`, { statistic: "middle" }), 200);
});

for (const [size, viewport] of Object.entries(SIZES)) {
    test(`band lines ${size}`, async (t) => {
        const v = await visitor(browser, school.url, viewport, { storageState });
        t.after(() => v.close());
        const { page } = v;
        const activities = must(await client.get("/api/v1/activities"), 200).activities;
        const done = at.rows.flatMap((r) => r.suggestion.lines).find((l) => activities.find((a) => a.id === l.activity.id).kind === "zones") || at.rows.flatMap((r) => r.suggestion.lines)[0];
        await page.goto(`/staff/lines?activity=${done.activity.id}&class=${at.klass.id}`);
        await page.locator(".spread").waitFor();
        await look(v, `band lines ${size}`);
        const first = page.locator(".stepper input").first();
        const before = await page.locator(".lines-told").textContent();
        const value = await first.inputValue();
        await page.locator(".stepper-row button").nth(1).click();
        assert.notEqual(await first.inputValue(), value);
        await page.waitForFunction((old) => document.querySelector(".lines-state").textContent === "" && document.querySelector(".lines-told").textContent !== old, before).catch(() => {});
        const activity = must(await client.get(`/api/v1/activities/${done.activity.id}`), 200).activity;
        const gap = activity.attainable.length ? Array.from({ length: 99 }, (_, i) => i + 1).find((i) => activity.attainable.indexOf(i) < 0) : null;
        if (gap) {
            await first.fill(String(gap));
            await page.getByText(`No single try makes ${gap}; `).waitFor();
            assert.equal(await first.getAttribute("aria-invalid"), "false");
            await look(v, `band lines between totals ${size}`);
        }
        await first.fill("99999");
        await page.getByText(/No more than/).first().waitFor();
        assert.equal(await first.getAttribute("aria-invalid"), "true");
        await first.fill(value);
        await page.waitForFunction(() => document.querySelector(".lines-state").textContent === "");
        await page.locator("details summary").filter({ hasText: "In figures" }).click();
        await page.getByRole("columnheader", { name: "Children" }).waitFor();
        await page.emulateMedia({ media: "print" });
        await look(v, `band lines printed ${size}`);
        await page.emulateMedia({ media: "screen" });
        if (size === "large") {
            await first.focus();
            await page.keyboard.press("ArrowDown");
            await page.getByRole("button", { name: "Save the lines" }).click();
            await page.getByText(/judged by these lines now/).waitFor();
            const now = must(await client.get(`/api/v1/activities/${done.activity.id}`), 200).activity;
            assert.notEqual(now.revision, activity.revision);
            assert.notDeepEqual(now.versions[0].band_lines, activity.versions[0].band_lines);
        }
    });
    test(`next lesson ${size}`, async (t) => {
        const v = await visitor(browser, school.url, viewport, { storageState, permissions: ["clipboard-read", "clipboard-write"] });
        t.after(() => v.close());
        const { page } = v;
        await page.goto("/staff/next" + query);
        await page.locator(".next-card").first().waitFor();
        await look(v, `next lesson ${size}`);
        for (const text of await page.locator(".next-card h3, .next-card > p:first-of-type").allTextContents()) {
            assert.ok(!/\b(low|lower|weak|worst|behind|fail)/i.test(text.split(". ")[0]), text);
        }
        await page.getByRole("button", { name: "Copy as text" }).click();
        await page.getByText("Copied as text.").waitFor();
        const text = await page.evaluate(() => navigator.clipboard.readText());
        assert.match(text, /^Next lesson: /);
        assert.match(text, /Safety/);
        await page.emulateMedia({ media: "print" });
        await look(v, `next lesson printed ${size}`);
    });
}

test("without the clipboard the text is there to copy by hand", async (t) => {
    const v = await visitor(browser, school.url, SIZES.small, { storageState });
    t.after(() => v.close());
    await v.context.addInitScript({ content: "Object.defineProperty(navigator, 'clipboard', { value: undefined });" });
    await v.page.goto("/staff/next" + query);
    await v.page.getByRole("button", { name: "Copy as text" }).click();
    assert.match(await v.page.getByLabel("The lesson as text").inputValue(), /^Next lesson: /);
    await look(v, "next lesson by hand");
});
