/* SPDX-License-Identifier: MIT
 * A catch-up group from those who have not sent, by keyboard. Names are invented. */

import test from "node:test";
import assert from "node:assert/strict";
import { startSchool } from "../lib/server.mjs";
import { launch, visitor, look, SIZES, tabTo } from "../lib/browser.mjs";
import { signedIn, uuid7 } from "../lib/client.mjs";
import { makeActivity, makeClass, setChallenge, must } from "../lib/world.mjs";

for (const [size, box] of Object.entries(SIZES)) {
    test(`catch up, ${size}`, async (t) => {
        const [school, browser] = [await startSchool(), await launch()];
        t.after(() => Promise.all([school.stop(), browser.close()]));
        const first = await signedIn(school.url, school.account);
        await first.get("/api/v1/session");
        const klass = await makeClass({ first }, "3 Alder", ["Ondi", "Perrin", "Quill", "Rafe"]);
        const challenge = await setChallenge(first, await makeActivity(first, "zones"), [klass.id]);
        const send = async (p, more) => must(await first.post(`/api/v1/challenges/${challenge.id}/hand-ins`, { id: uuid7(), pupil: p.id, channel: "paper", attempts: [{ value: 9, distance_mm: 3000 }], ...more }), 201);
        await send(klass.pupils[0]);
        await send(klass.pupils[1], { could_not: "no_kit", attempts: [] });
        const v = await visitor(browser, school.url, box);
        const { page } = v;
        await page.goto("/staff?next=" + encodeURIComponent("/staff/class?id=" + klass.id));
        await page.getByLabel("Your name").fill(school.account.name);
        await page.getByLabel("Passphrase").fill(school.account.passphrase);
        await page.getByRole("button", { name: "Sign in" }).click();
        await page.getByRole("link", { name: "Catch up" }).click();
        await page.getByText("3 children have not sent").waitFor();
        assert.equal(await page.locator("#body").getByText("Ondi").count(), 0);
        assert.doesNotMatch(await page.locator("#body").textContent(), /no kit\b(?! or)/, "no child's reason");
        await look(v, `catch up ${size}`);
        await tabTo(page, /Quill/);
        await page.keyboard.press("Space"); /* Quill does not come */
        await tabTo(page, /Name of the group/);
        await page.keyboard.press("Control+A");
        await page.keyboard.type("Lunch on Monday");
        await page.keyboard.press("Enter");
        await page.getByText("Lunch on Monday has 2 children.").waitFor();
        await look(v, `catch up made ${size}`);
        const { classes } = must(await first.get("/api/v1/classes"), 200);
        const group = classes.find((c) => c.name === "Lunch on Monday");
        assert.equal(group.kind, "group");
        assert.deepEqual(must(await first.get(`/api/v1/classes/${group.id}/pupils`), 200).pupils.map((p) => p.display_name), ["Perrin", "Rafe"]);
        await send(klass.pupils[1]);
        await send(klass.pupils[2]);
        await send(klass.pupils[3]);
        await page.goto(`/staff/catchup?id=${challenge.id}&class=${klass.id}`);
        await page.getByText("Everybody has sent something.").waitFor();
        await page.getByText("What this page is for").click();
        await look(v, `catch up nobody ${size}`);
        assert.deepEqual(v.trouble, []);
    });
}
