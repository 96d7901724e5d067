/* SPDX-License-Identifier: MIT
 * The head's counts in a browser, exact and for publishing. The school is the invented demo school. */

import test from "node:test";
import assert from "node:assert/strict";
import { startDemo } from "../lib/server.mjs";
import { launch, visitor, look, SIZES } from "../lib/browser.mjs";

for (const [size, box] of Object.entries(SIZES)) {
    test(`counts, ${size}`, async (t) => {
        const [school, browser] = [await startDemo(), await launch()];
        t.after(() => Promise.all([school.stop(), browser.close()]));
        const lead = school.demo.staff.find((s) => s.rights.includes("pe_lead"));
        const v = await visitor(browser, school.url, box);
        const { page } = v;
        await page.goto("/staff?next=" + encodeURIComponent("/staff/school"));
        await page.getByLabel("Your name").fill(lead.name);
        await page.getByLabel("Passphrase").fill(lead.passphrase);
        await page.getByRole("button", { name: "Sign in" }).click();
        await page.getByRole("link", { name: /^Counts by year group/ }).click();
        await page.locator("table").first().waitFor();
        await look(v, `counts ${size}`);
        assert.ok(await page.locator("table").count() >= 4, "returns and three statements");
        await page.getByLabel("for publishing").focus();
        await page.keyboard.press("Space");
        await page.getByText("Counts of 1 to 4 are hidden").waitFor();
        const texts = await page.locator("tbody td").allTextContents();
        assert.ok(texts.every((x) => x === "hidden" || x === "fewer than 10" || !/^[1-4]$/.test(x)), "no count of 1 to 4");
        await look(v, `counts to publish ${size}`);
        assert.deepEqual(v.trouble, []);
    });
}
