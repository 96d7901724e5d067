/* SPDX-License-Identifier: MIT
 * The term view: weeks and days in the school's time zone, over the ends of summer time (Europe/London:
 * 29 March and 25 October 2026 by the tz database), empty weeks, closed days; by keyboard and on paper. Names are invented. */

import test from "node:test";
import assert from "node:assert/strict";
import { startSchool } from "../lib/server.mjs";
import { launch, visitor, look, sides, SIZES, tabTo } from "../lib/browser.mjs";
import { signedIn } from "../lib/client.mjs";
import { makeActivity, makeClass, setChallenge, must } from "../lib/world.mjs";

const TERM = { name: "Autumn", starts_on: "2026-09-03", ends_on: "2026-12-18" };
const SPRING = { name: "Spring", starts_on: "2027-01-05", ends_on: "2027-03-31" };

async function open(t, box, zone) {
    const [school, browser] = [await startSchool(), await launch()];
    t.after(() => Promise.all([school.stop(), browser.close()]));
    const first = await signedIn(school.url, school.account);
    await first.get("/api/v1/session");
    must(await first.put("/api/v1/school", { terms: [TERM, SPRING], closed_days: ["2026-10-26", "2026-10-27", "2026-10-28", "2026-10-29", "2026-10-30"] }), 200);
    const classes = [await makeClass({ first }, "3 Alder", ["Ondi"]), await makeClass({ first }, "4 Birch", ["Perrin"])];
    const activity = await makeActivity(first, "zones");
    await setChallenge(first, activity, [classes[0].id], { opens_on: "2026-10-19", due_on: "2026-10-25", closes_on: "2026-11-08" });
    await setChallenge(first, activity, [classes[1].id], { opens_on: "2026-11-02", due_on: "2026-11-20", closes_on: "2026-12-18" });
    const v = await visitor(browser, school.url, box, { timezoneId: zone });
    await v.page.goto("/staff?next=" + encodeURIComponent("/staff/term"));
    await v.page.getByLabel("Your name").fill(school.account.name);
    await v.page.getByLabel("Passphrase").fill(school.account.passphrase);
    await v.page.getByRole("button", { name: "Sign in" }).click();
    await v.page.locator(".term").waitFor();
    await v.page.getByLabel("Term", { exact: true }).selectOption("2026-09-03");
    const cells = async (week) => v.page.locator("tr", { has: v.page.locator("th", { hasText: week }) }).locator("td").allTextContents();
    return { v, page: v.page, cells };
}

/* The device may stand in another zone than the school. */
for (const [size, box, zone] of [["small", SIZES.small, "Europe/London"], ["large", SIZES.large, "Pacific/Auckland"]]) {
    test(`the term, ${size}, on a device in ${zone}`, async (t) => {
        const { v, page, cells } = await open(t, box, zone);
        assert.equal(await page.locator(".term tbody tr").count(), 16, "3 September to 18 December touches sixteen weeks");
        assert.deepEqual(await cells("19 Oct"), ["▷◆ Mat slide: opens Mon, due Sun", "nothing set"], "due on the Sunday on which the clocks go back");
        assert.deepEqual(await cells("26 Oct"), ["", ""], "a closed week");
        assert.match(await page.locator("th", { hasText: "26 Oct" }).textContent(), /closed$/);
        assert.deepEqual(await cells("2 Nov"), ["■ Mat slide: closes Sun", "▷ Mat slide: opens Mon"]);
        assert.deepEqual(await cells("9 Nov"), ["nothing set", "– Mat slide: goes on"]);
        assert.deepEqual(await cells("16 Nov"), ["nothing set", "◆ Mat slide: due Fri"]);
        assert.match(await page.locator("tbody th").first().textContent(), /^Mon 31 Aug.*2 days$/, "Thursday and Friday");
        await look(v, `term ${size}`);
        await tabTo(page, /Class/);
        await page.keyboard.press("ArrowDown");
        await page.locator("thead th", { hasText: "4 Birch" }).waitFor({ state: "detached" });
        assert.equal((await cells("9 Nov")).length, 1);
        await page.getByLabel("Term", { exact: true }).selectOption("2027-01-05");
        assert.equal(await page.locator(".term tbody tr").count(), 13, "over the end of winter time too");
        assert.ok(sides(await page.pdf({ preferCSSPageSize: true })) <= 2);
        assert.deepEqual(v.trouble, []);
    });
}
