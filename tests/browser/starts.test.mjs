/* SPDX-License-Identifier: MIT
 * Choosing another first version for a child, by keyboard, and what the child then sees first. Names are
 * invented. */

import test from "node:test";
import assert from "node:assert/strict";
import { startSchool } from "../lib/server.mjs";
import { launch, visitor, look, SIZES, tabTo } from "../lib/browser.mjs";
import { signedIn } from "../lib/client.mjs";
import { comeIn, title } from "../lib/child.mjs";
import { makeActivity, makeCards, makeClass, setChallenge } from "../lib/world.mjs";

for (const [size, box] of Object.entries(SIZES)) {
    test(`another first version, ${size}`, async (t) => {
        const [school, browser] = [await startSchool(), await launch()];
        t.after(() => Promise.all([school.stop(), browser.close()]));
        const first = await signedIn(school.url, school.account);
        await first.get("/api/v1/session");
        const klass = await makeClass({ first }, "3 Alder", ["Ondi", "Perrin"]);
        const cards = await makeCards({ first }, klass.id, "pupil");
        const activity = await makeActivity(first, "zones", { versions: [{ kind: "standard", how: "Stand and slide.", band_lines: [7, 12] }, { kind: "seated", how: "Sit and slide.", own_target: 7 }] });
        const challenge = await setChallenge(first, activity, [klass.id]);
        const v = await visitor(browser, school.url, box);
        const { page } = v;
        await page.goto("/staff?next=" + encodeURIComponent(`/staff/challenge?id=${challenge.id}&class=${klass.id}`));
        await page.getByLabel("Your name").fill(school.account.name);
        await page.getByLabel("Passphrase").fill(school.account.passphrase);
        await page.getByRole("button", { name: "Sign in" }).click();
        await page.getByRole("link", { name: "another first version for some" }).click();
        await tabTo(page, /^Perrin/);
        await page.keyboard.press("ArrowDown");
        await page.getByText("Saved", { exact: true }).waitFor();
        await look(v, `starts ${size}`);
        await page.reload();
        await page.getByLabel("Perrin").waitFor();
        assert.equal(await page.getByLabel("Perrin").inputValue(), "seated");
        assert.equal(await page.getByLabel("Ondi").inputValue(), "standard");

        const child = await visitor(browser, school.url, SIZES.small);
        await child.page.goto("/");
        await comeIn(child.page, cards.find((c) => c.pupil.display_name === "Perrin").code);
        await title(child.page, "Today");
        await child.page.locator("#main .tile").first().click();
        await title(child.page, "How will you do it?");
        const names = await child.page.locator("#main .tile .tile-name").allTextContents();
        assert.match(names[0], /[Ss]eated|[Ss]it/);
        assert.equal(names.length, 2);
        assert.deepEqual([...v.trouble, ...child.trouble], []);
    });
}
