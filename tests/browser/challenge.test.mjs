/* SPDX-License-Identifier: MIT
 * A challenge's results in a real browser: every kind of the demo school at both sizes and on paper,
 * what is to check by keyboard, the school's switches. The names are the demo's, invented. */

import test from "node:test";
import assert from "node:assert/strict";
import { startDemo } from "../lib/server.mjs";
import { launch, visitor, look, sides, SIZES, tabTo } from "../lib/browser.mjs";
import { signedIn } from "../lib/client.mjs";
import { must } from "../lib/world.mjs";

/* A page of 28 children, in CSS pixels; half of that is tries of two days; on a
 * phone those are folded. */
const MOST = { large: 4600, small: 6400 }; /* with the line of help that every page has at its head */

async function signIn(page, account) {
    await page.goto("/staff");
    await page.getByLabel("Your name").fill(account.name);
    await page.getByLabel("Passphrase").fill(account.passphrase);
    await page.getByRole("button", { name: "Sign in" }).click();
    await page.getByRole("heading", { name: "Classes" }).waitFor();
}

test("results of a challenge", async (t) => {
    const [school, browser] = [await startDemo(), await launch()];
    t.after(() => Promise.all([school.stop(), browser.close()]));
    const account = { name: school.demo.staff[0].name, passphrase: school.demo.staff[0].passphrase };
    const api = await signedIn(school.url, account);
    const { classes } = must(await api.get("/api/v1/classes"), 200);
    const kinds = new Map();
    for (const k of classes) {
        for (const ch of must(await api.get(`/api/v1/classes/${k.id}/grid`), 200).challenges) {
            if (!kinds.has(ch.kind) && ch.handed_in > 5) {
                kinds.set(ch.kind, `/staff/challenge?id=${ch.id}&class=${k.id}`);
            }
        }
    }
    assert.deepEqual([...kinds.keys()].sort(), ["measure", "successes", "timed_count", "zones"]);

    for (const [size, box] of Object.entries(SIZES)) {
        const v = await visitor(browser, school.url, box);
        const { page } = v;
        await signIn(page, account);
        for (const [kind, path] of kinds) {
            await t.test(`${kind}, ${size}`, async () => {
                await page.goto(path);
                await page.locator(".results .row-more summary").first().waitFor();
                assert.equal(await page.locator(".results .lanes").first().isVisible(), size === "large", "a phone folds the lanes");
                await look(v, `challenge ${kind} ${size}`);
                assert.ok(await page.locator(".class-view").innerText(), "the class in a sentence");
                const high = await page.evaluate(() => document.documentElement.scrollHeight);
                assert.ok(high < MOST[size], `${high} px`);
                const names = await page.locator(".results tbody th").allInnerTexts();
                assert.deepEqual(names, names.slice().sort((a, b) => a.localeCompare(b)), "by name, never by a result");
                await page.locator(".row-more summary").first().click();
                await page.locator(".result:has(.row-more[open]) .lanes").first().waitFor();
                await page.locator(".class-view summary").first().click();
                await look(v, `challenge ${kind} opened ${size}`);
                if (size === "large") {
                    const pages = sides(await page.pdf({ preferCSSPageSize: true }));
                    assert.ok(pages >= 1 && pages <= 3, `${pages} sides of paper`);
                }
            });
        }
        await v.close();
    }

    await t.test("to check: jump to the child, decide, all by keyboard", async () => {
        const v = await visitor(browser, school.url, SIZES.large);
        const { page } = v;
        await signIn(page, account);
        await page.goto(kinds.get("zones"));
        const items = page.locator(".to-check li");
        await items.first().waitFor();
        const before = await items.count();
        const name = await items.first().locator("a").innerText();
        await tabTo(page, new RegExp("^" + name));
        await page.keyboard.press("Enter");
        assert.match(await page.evaluate(() => location.hash), /^#pupil-\d+$/);
        await page.goto(kinds.get("zones"));
        await items.first().waitFor();
        await tabTo(page, new RegExp("^Keep, " + name));
        await page.keyboard.press("Enter");
        await page.waitForFunction((n) => document.querySelectorAll(".to-check li").length === n, before - 1);
        await tabTo(page, new RegExp("^Why, "));
        await page.keyboard.press("Enter");
        assert.equal(await page.locator(".row-more[open]").count(), 1);
        assert.deepEqual(v.trouble, []);
        await v.close();
    });

    await t.test("switches: figures on the page only once they are on", async () => {
        const v = await visitor(browser, school.url, SIZES.small);
        const { page } = v;
        await signIn(page, account);
        await page.goto(kinds.get("successes"));
        await page.locator(".class-view summary").first().click();
        assert.equal(await page.getByText("ICC", { exact: false }).count(), 0);
        assert.equal(await page.getByText("from all tries of the unit at this activity").count(), 1);
        await page.goto("/staff/school");
        await page.getByLabel("Figures of a class").check();
        await page.getByLabel("Bands on a single challenge").check();
        await page.locator("form", { hasText: "What staff see of the assessment" }).getByRole("button", { name: "Save" }).click();
        await page.getByText("Saved.").waitFor();
        await look(v, "switches small");
        await page.goto(kinds.get("successes"));
        await page.locator(".class-view summary").first().click();
        await page.getByText("ICC of the tries together").waitFor();
        assert.equal(await page.getByText("from this challenge alone").count(), 1);
        await v.close();
    });
});
