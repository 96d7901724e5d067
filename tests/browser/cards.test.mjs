/* SPDX-License-Identifier: MIT
 * Cards on paper: cut lines, picture, QR code and code; two of each; families held back. Names are invented. */

import test from "node:test";
import assert from "node:assert/strict";
import { startSchool } from "../lib/server.mjs";
import { launch, visitor, look, sides, tabTo, SIZES } from "../lib/browser.mjs";
import { Client, signedIn } from "../lib/client.mjs";
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

/* A second home's card is somebody's: it is named before it ends, and ends only when that is said. */
for (const [size, box] of Object.entries(SIZES)) {
    test(`a set made anew names second homes' cards first, ${size}`, async (t) => {
        const [school, browser] = [await startSchool(), await launch()];
        t.after(() => Promise.all([school.stop(), browser.close()]));
        const first = await signedIn(school.url, school.account);
        await first.get("/api/v1/session");
        const klass = await makeClass({ first }, "3 Alder", ["Ondi", "Perrin", "Quill"]);
        const [ondi, perrin, quill] = klass.pupils;
        const make = async (pupil, label, holder = "pupil") => must(await first.post(`/api/v1/pupils/${pupil.id}/cards`, { holder, label }), 201).cards[0].code;
        const opens = async (code) => (await new Client(school.url).post("/api/v1/session", { card: code })).status === 200;
        const old = { home: await make(ondi, "home"), other: await make(ondi, "other_home"), alone: await make(perrin, "other_home") };
        await make(quill, "card_1", "family");
        const second = await make(quill, "card_2", "family");
        const v = await visitor(browser, school.url, box);
        const { page } = v;
        const press = async (words) => {
            await tabTo(page, words);
            await page.keyboard.press("Enter");
        };
        await page.goto("/staff?next=" + encodeURIComponent("/staff/cards?class=" + klass.id));
        await page.getByLabel("Your name").fill(school.account.name);
        await page.getByLabel("Passphrase").fill(school.account.passphrase);
        await page.getByRole("button", { name: "Sign in" }).click();
        await page.getByLabel("everyone, and cancel the old ones").check();
        await press(/^Make cards$/);
        await page.getByRole("heading", { name: "1 child has more than one card" }).waitFor();
        await page.getByText("Ondi: home, other home").waitFor();
        await page.getByText("The card named first is reissued; the others go on working.").waitFor(); /* also two of one kind */
        assert.equal(await page.evaluate(() => document.activeElement.tagName), "H2", "the question has the focus");
        assert.equal(await page.locator(".slip").count(), 0, "nothing is made before it is answered");
        await look(v, `second homes asked ${size}`);
        await press(/^Make none$/);
        assert.equal(await page.getByText("more than one card", { exact: false }).filter({ hasText: "1 child" }).count(), 0);
        assert.ok(await opens(old.home));

        await press(/^Make cards$/);
        await press(/^Keep the others$/);
        await page.getByText("Kept, and still working: Ondi (other home).").waitFor();
        assert.deepEqual(await page.locator(".slip").evaluateAll((slips) => slips.map((s) => s.textContent.match(/^(\w+?)3 Alder.*My card · (home|other home|school)/).slice(1))),
            [["Ondi", "home"], ["Perrin", "other home"], ["Quill", "home"]]);
        assert.deepEqual([await opens(old.home), await opens(old.other), await opens(old.alone)], [false, true, false]);
        await look(v, `second homes kept ${size}`);

        await press(/^Make cards$/);
        await press(/^Reissue every one$/);
        await page.locator(".slip").nth(3).waitFor();
        assert.equal(await page.locator(".slip", { hasText: "My card · other home" }).count(), 2);
        assert.equal(await opens(old.other), false);
        assert.equal(await page.getByText("Kept, and still working").count(), 0);

        await page.getByLabel("their families").check();
        await press(/^Make cards$/);
        await page.getByText("Quill: card 1, card 2").waitFor();
        await look(v, `second grown-ups asked ${size}`);
        await page.getByLabel("those who have none").check();
        assert.equal(await page.getByRole("heading", { name: /more than one card/ }).count(), 0, "another choice takes the question back");
        assert.ok(await opens(second));
        assert.deepEqual(v.trouble, []);
    });
}
