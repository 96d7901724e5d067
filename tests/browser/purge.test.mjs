/* SPDX-License-Identifier: MIT
 * The office and the purge, in a real browser and by the keyboard: what waits, the date confirmed with one button,
 * a plan of more than twice the last accepted. The server's clock is moved, so that no machine vouches for it. */

import test from "node:test";
import assert from "node:assert/strict";
import { execFileSync } from "node:child_process";
import { join } from "node:path";
import { clockMoved, startDemo } from "../lib/server.mjs";
import { launch, visitor, look, tabTo, SIZES } from "../lib/browser.mjs";

const MOVED_S = 1800;

/* A school with a plan that waits, on the page of School, for one account. */
async function scene(t, size, right) {
    const [school, browser] = [await startDemo({ more: clockMoved(MOVED_S) }), await launch()];
    t.after(() => Promise.all([school.stop(), browser.close()]));
    execFileSync("sqlite3", ["-cmd", ".timeout 5000", join(school.data, "school.db"),
        `INSERT INTO purge_plan VALUES (20000, 5, NULL, 0), (20001, 60, 5, 1);
        INSERT INTO purge_listed SELECT 'leaver', id, 0, 20000 FROM pupil LIMIT 1;
        INSERT INTO purge_listed SELECT 'hand_in', seq, 0, 20001 FROM hand_in LIMIT 55;`]);
    const account = school.demo.staff.find((s) => s.rights.length === 1 && s.rights[0] === right);
    const v = await visitor(browser, school.url, size);
    await v.page.goto("/staff?next=" + encodeURIComponent("/staff/school"));
    await v.page.getByLabel("Your name").waitFor();
    await tabTo(v.page, /Your name/);
    await v.page.keyboard.type(account.name);
    await tabTo(v.page, /Passphrase/);
    await v.page.keyboard.type(account.passphrase);
    await v.page.keyboard.press("Enter");
    await v.page.locator("#purge h2").waitFor();
    return { v, page: v.page };
}

async function press(page, words) {
    await tabTo(page, words, 400);
    await page.keyboard.press("Enter");
}

for (const [size, box] of [["360x640", SIZES.small], ["1280x800", SIZES.large]]) {
    test(`the office confirms the date and lets a plan go on, ${size}`, async (t) => {
        const { v, page } = await scene(t, box, "office");
        await look(v, `School, a clock nobody vouches for, ${size}`);
        const text = () => page.locator("#purge").textContent();
        const above = page.getByRole("link", { name: "What is deleted waits for an answer from the office" });
        assert.ok(await above.isVisible(), "the top of a long page says so");
        assert.match(await text(), /The server cannot tell by itself whether its clock is right\./);
        assert.match(await text(), /lists 60 entries, more than twice the 5 of the plan before it/);
        assert.match(await text(), /\(so far 1\)/, "this sign-in is the first day of use");
        assert.match(await text(), /Last purgenone yetLast backupnone noted/);
        for (const kind of [/drafts of reports/, /copies of everything that an upgrade of the server makes/]) {
            assert.match(await text(), kind, "all that goes by itself is named");
        }
        const today = new Intl.DateTimeFormat("en-GB", { weekday: "long", day: "numeric", month: "long", year: "numeric", timeZone: "Europe/London" })
            .format(new Date(Date.now() + MOVED_S * 1000));
        await press(page, new RegExp("^Yes, today is " + today.replace(/,? /g, ",? ") + "$"));
        await page.getByText("The date is confirmed.").waitFor();
        assert.doesNotMatch(await text(), /whether its clock is right/);
        assert.equal(await page.evaluate(() => document.activeElement.textContent), "What is deleted, and when");
        await look(v, `School, the date confirmed, ${size}`);
        await press(page, /^Go on with this plan$/);
        await page.getByText("The plan goes on.").waitFor();
        assert.ok(!(await above.isVisible()), "answered");
        assert.doesNotMatch(await text(), /more than twice/);
        await look(v, `School, the plan goes on, ${size}`);
        assert.deepEqual(v.trouble, []);
    });
}

test("safeguarding is told what waits, and has no button for it", async (t) => {
    const { v, page } = await scene(t, SIZES.small, "safeguarding");
    assert.equal(await page.locator("#purge button").count(), 0);
    assert.equal(await page.locator("#purge").getByText("This is for the office to answer.").count(), 2);
    await look(v, "School, what waits, for safeguarding");
    assert.deepEqual(v.trouble, []);
});
