/* SPDX-License-Identifier: MIT
 * A page's clock is this process's, also where tests/lib/at.sh has moved it (make check-days), and in each new document. */

import test from "node:test";
import assert from "node:assert/strict";
import { startSchool } from "../lib/server.mjs";
import { launch, visitor, SIZES } from "../lib/browser.mjs";

const NEAR_MS = 60000;      /* a page evaluates within that time on a busy machine */

test("the page's clock is ours", async (t) => {
    const [school, browser] = [await startSchool(), await launch()];
    t.after(() => Promise.all([school.stop(), browser.close()]));
    const { page, trouble } = await visitor(browser, school.url, SIZES.small);
    const same = async (days, what) => {
        const [now, made] = await page.evaluate(() => [Date.now(), new Date().getTime()]);
        for (const at of [now, made]) {
            assert.ok(Math.abs(at - Date.now() - days * 86400000) < NEAR_MS, `${what}: ${new Date(at).toISOString()}`);
        }
    };
    await page.goto("/");
    await same(0, "a page");
    await page.goto("/staff");
    await same(0, "the next page");
    await page.clock.setSystemTime(Date.now() + 3 * 86400000);
    await same(3, "a device three days ahead");
    assert.equal(await page.evaluate(() => new Date(0) instanceof Date && new Date(0).getTime()), 0);
    assert.deepEqual(trouble, []);
});
