/* SPDX-License-Identifier: MIT
 * The family's page: opened by card, one child at a time, nothing of anyone else, no clock times, and
 * one side of A4 when printed. The school is the invented demo school. */

import test from "node:test";
import assert from "node:assert/strict";
import { startDemo } from "../lib/server.mjs";
import { launch, visitor, look, SIZES } from "../lib/browser.mjs";

function pages(pdf) {
    return (pdf.toString("latin1").match(/\/Type\s*\/Page[^s]/g) || []).length;
}

for (const [size, box] of Object.entries(SIZES)) {
    test(`a family reads its page, ${size}`, async (t) => {
        const [school, browser] = [await startDemo(), await launch()];
        t.after(() => Promise.all([school.stop(), browser.close()]));
        const v = await visitor(browser, school.url, box);
        const { page } = v;
        await page.goto("/c");
        await page.locator("#main input").first().waitFor();
        await look(v, `family card ${size}`);
        for (const carer of school.demo.carers.slice(0, 3)) {
            await page.goto("/c");
            await page.locator("#main input").first().fill(carer.code);
            await page.getByRole("button", { name: "Open the page" }).click();
            await page.locator("h1", { hasText: carer.pupil }).waitFor();
            await look(v, `family page ${carer.pupil} ${size}`);
            const text = await page.locator("#main").textContent();
            assert.doesNotMatch(text, /\b\d{1,2}:\d\d\b/, "a clock time");
            assert.doesNotMatch(text, /fairly sure|leaning|point to/i, "a suggestion");
            const own = new Set(school.demo.carers.map((c) => c.pupil));
            for (const other of school.demo.pupils.filter((p) => !own.has(p.display_name) && p.display_name !== carer.pupil)) {
                assert.ok(!new RegExp(`(^|[^\\p{L}])${other.display_name}([^\\p{L}]|$)`, "u").test(text), `${other.display_name} stands on ${carer.pupil}'s page`);
            }
            const pdf = await page.pdf({ preferCSSPageSize: true, format: "A4" });
            assert.equal(pages(pdf), 1, `${carer.pupil}'s page prints on ${pages(pdf)} sides`);
            await page.getByRole("button", { name: "Finish" }).click();
            await page.locator("h1", { hasText: "Finished" }).waitFor();
            await look(v, `family finished ${size}`);
        }
        assert.deepEqual(v.trouble, []);
    });
}
