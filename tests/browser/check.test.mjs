/* SPDX-License-Identifier: MIT
 * The list of what waits for a look: one key each, a change of mind, nothing of another's class. The
 * school is the invented demo school. */

import test from "node:test";
import assert from "node:assert/strict";
import { startDemo } from "../lib/server.mjs";
import { launch, visitor, look, SIZES } from "../lib/browser.mjs";
import { signedIn } from "../lib/client.mjs";
import { must } from "../lib/world.mjs";

async function signIn(page, account, next) {
    await page.goto("/staff" + (next ? "?next=" + encodeURIComponent(next) : ""));
    await page.getByLabel("Your name").fill(account.name);
    await page.getByLabel("Passphrase").fill(account.passphrase);
    await page.getByRole("button", { name: "Sign in" }).click();
    await page.locator("h1", { hasText: next ? "To check" : "Thistledown" }).waitFor();
}

for (const [size, box] of Object.entries(SIZES)) {
    test(`to check, ${size}`, async (t) => {
        const [school, browser] = [await startDemo(), await launch()];
        t.after(() => Promise.all([school.stop(), browser.close()]));
        const [lead] = school.demo.staff;
        const api = await signedIn(school.url, { name: lead.name, passphrase: lead.passphrase });
        const waiting = async () => must(await api.get("/api/v1/home"), 200).to_check;
        const before = await waiting();
        assert.ok(before >= 3, `the demo has ${before}`);
        const v = await visitor(browser, school.url, box);
        const { page } = v;
        await signIn(page, lead);
        await page.getByRole("link", { name: `${before} hand-ins to check` }).click();
        await page.locator(".check-row").first().waitFor();
        await look(v, `to check ${size}`);
        const rows = page.locator(".check-row");
        const listed = await rows.count();
        assert.equal(listed, before, "Home says how many the list has");
        const done = (i, words) => rows.nth(i).locator(".check-said").getByText(words).waitFor();
        assert.equal(await page.evaluate(() => document.activeElement.className), "check-row", "the first row has the focus");
        for (const [i, key, words] of [[0, "k", "Kept."], [1, "a", "Asked again."], [2, "s", "Set aside."]]) {
            await page.keyboard.press(key);
            await done(i, words);
        }
        assert.equal(await waiting(), before - 3);
        await rows.nth(2).focus();
        await page.keyboard.press("ArrowUp");
        await page.keyboard.press("ArrowUp");
        await page.keyboard.press("s"); /* another mind */
        await done(0, "Set aside.");
        await rows.nth(0).getByRole("combobox").focus();
        await page.keyboard.press("k"); /* a letter in the list of reasons is no shortcut */
        assert.equal(await rows.nth(0).locator(".check-said").textContent(), "Set aside.");
        await page.reload();
        await page.locator(".check-row").first().waitFor();
        assert.equal(await rows.count(), listed - 3);
        await look(v, `to check after ${size}`);
        assert.deepEqual(v.trouble, []);
    });
}

test("whoever teaches nothing that waits sees an empty list", async (t) => {
    const [school, browser] = [await startDemo(), await launch()];
    t.after(() => Promise.all([school.stop(), browser.close()]));
    const helper = school.demo.staff.find((s) => !s.rights.length && s.classes.every((c) => c.right !== "teach"));
    assert.ok(helper, "the demo has a helper");
    const v = await visitor(browser, school.url, SIZES.small);
    await signIn(v.page, helper, "/staff/check");
    await v.page.getByText("Nothing waits for a look.").waitFor();
    await look(v, "to check, none");
    assert.deepEqual(v.trouble, []);
});
