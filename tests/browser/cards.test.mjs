/* SPDX-License-Identifier: MIT
 * Cards on paper: cut lines, picture, QR code and code; two of each; families held back. Names are invented. */

import test from "node:test";
import assert from "node:assert/strict";
import { startSchool } from "../lib/server.mjs";
import { launch, visitor, look, sides, SIZES } from "../lib/browser.mjs";
import { signedIn } from "../lib/client.mjs";
import { makeClass, must } from "../lib/world.mjs";

test("a class's cards, one and two of each", async (t) => {
    const [school, browser] = [await startSchool(), await launch()];
    t.after(() => Promise.all([school.stop(), browser.close()]));
    const first = await signedIn(school.url, school.account);
    await first.get("/api/v1/session");
    const klass = await makeClass({ first }, "3 Alder", Array.from({ length: 28 }, (_, i) => "Pupil" + "ABCDEFG"[Math.floor(i / 4)] + "abcd"[i % 4]));
    must(await first.put(`/api/v1/pupils/${klass.pupils[3].id}`, { family_view: "off" }), 200);
    const v = await visitor(browser, school.url, SIZES.large);
    const { page } = v;
    await page.goto("/staff?next=" + encodeURIComponent("/staff/cards?class=" + klass.id));
    await page.getByLabel("Your name").fill(school.account.name);
    await page.getByLabel("Passphrase").fill(school.account.passphrase);
    await page.getByRole("button", { name: "Sign in" }).click();
    await page.getByRole("button", { name: "Make cards" }).click();
    await page.locator(".slip .code").first().waitFor();
    const codes = () => page.locator(".slip .code").allTextContents();
    const once = await codes();
    assert.equal(new Set(once).size, 28);
    const one = sides(await page.pdf({ format: "A4", printBackground: true }));
    await page.getByLabel("Print two of each").check();
    const twice = await codes();
    assert.deepEqual(twice, once.flatMap((c) => [c, c]), "the same card, one behind the other");
    const two = sides(await page.pdf({ format: "A4", printBackground: true }));
    t.diagnostic(`28 cards: ${one} sides of A4; two of each: ${two}`);
    assert.ok(two <= 2 * one && two > one, `${one} and ${two} sides`);
    await look(v, "cards two of each");
    await page.getByLabel("Print two of each").uncheck();
    assert.deepEqual(await codes(), once);

    await page.getByLabel("their families").check();
    await page.getByRole("button", { name: "Make cards" }).click();
    await page.getByText("Held back: " + klass.pupils[3].display_name).waitFor();
    assert.equal(await page.locator(".slip").count(), 27);
    await look(v, "family cards held back");
    assert.deepEqual(v.trouble, []);
});
