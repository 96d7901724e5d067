/* SPDX-License-Identifier: MIT
 * People over the year, in a real browser and by the keyboard alone: who shares a class, a child who joins,
 * moves and leaves. The school is the invented demo school. */

import test from "node:test";
import assert from "node:assert/strict";
import { startDemo } from "../lib/server.mjs";
import { launch, visitor, look, tabTo, SIZES } from "../lib/browser.mjs";
import { signedIn } from "../lib/client.mjs";
import { must } from "../lib/world.mjs";

/* The office by the keyboard, on the page `path`. */
async function signIn(page, account, path, heading) {
    await page.goto("/staff?next=" + encodeURIComponent(path));
    await page.getByLabel("Your name").waitFor();
    await tabTo(page, /Your name/);
    await page.keyboard.type(account.name);
    await tabTo(page, /Passphrase/);
    await page.keyboard.type(account.passphrase);
    await page.keyboard.press("Enter");
    await page.locator("h1", { hasText: heading }).waitFor();
}

/* Chooses in the select that has the focus by typing the beginning of a choice. */
async function pick(page, words) {
    await page.keyboard.type(words);
    assert.match(await page.evaluate(() => document.activeElement.selectedOptions[0].textContent), new RegExp("^" + words));
}

async function press(page, words, key = "Enter") {
    await tabTo(page, words, 200);
    await page.keyboard.press(key);
}

async function office(t, size) {
    const [school, browser] = [await startDemo(), await launch()];
    t.after(() => Promise.all([school.stop(), browser.close()]));
    const account = school.demo.staff.find((s) => s.rights.length === 1 && s.rights[0] === "office");
    const lead = await signedIn(school.url, { name: school.demo.staff[0].name, passphrase: school.demo.staff[0].passphrase });
    const v = await visitor(browser, school.url, size);
    return { school, account, lead, v, page: v.page };
}

for (const [size, box] of Object.entries(SIZES)) {
    test(`who shares a class, ${size}`, async (t) => {
        const { school, account, lead, v, page } = await office(t, box);
        const helper = school.demo.staff.find((s) => s.classes.some((c) => c.right === "help"));
        const classes = must(await lead.get("/api/v1/classes"), 200).classes;
        const beech = classes.find((c) => c.name === "Beech");
        const held = async () => must(await lead.get("/api/v1/staff"), 200).staff.find((m) => m.name === helper.name).classes.find((c) => c.id === beech.id);
        /* over since long ago: the demo's helper had Beech once */
        const all = must(await lead.get("/api/v1/staff"), 200).staff.find((m) => m.name === helper.name);
        must(await lead.put("/api/v1/staff/" + all.id, { classes: all.classes.map((c) => ({ class: c.id, right: c.right, until: c.until })).concat({ class: beech.id, right: "help", until: "2020-07-03" }) }), 200);
        await signIn(page, account, "/staff/school", "School");
        const fold = page.locator("#shares details", { hasText: "Beech" }).first();
        await fold.waitFor();
        await press(page, /^Beech/, "Enter");
        await fold.locator(".share-over", { hasText: helper.name + " help till Fri 3 Jul: over" }).waitFor();
        await look(v, `shares, one over, ${size}`);
        await press(page, new RegExp("^Give again: " + helper.name));
        assert.match(await page.evaluate(() => document.activeElement.selectedOptions[0].textContent), new RegExp(helper.name));
        await press(page, /^Give the right|^Save the change/);
        await page.locator("#problem", { hasText: `${helper.name}: help Beech till Fri` }).waitFor();
        const week = await held();
        assert.equal(new Date(week.until + "T12:00:00Z").getUTCDay(), 5, "till Friday is a Friday");
        assert.equal(week.over, false);
        assert.ok((await page.evaluate(() => document.activeElement.textContent)).startsWith("Beech"), "the focus is on the class");
        await look(v, `shares, given till Friday, ${size}`);

        await press(page, new RegExp("^Change: " + helper.name));
        await tabTo(page, /^May/);
        await pick(page, "read");
        await tabTo(page, /till another day/);
        await page.keyboard.press("ArrowRight");
        await page.keyboard.press("Tab");
        await page.keyboard.press("Enter");
        await page.locator("#problem", { hasText: `${helper.name}: read Beech, no last day.` }).waitFor();
        assert.deepEqual([(await held()).right, (await held()).until], ["read", null]);

        await press(page, /^Give somebody Beech/);
        await press(page, /^Give the right/);
        await page.getByText("Choose somebody.").waitFor();
        await look(v, `shares, nobody chosen, ${size}`);
        await press(page, new RegExp("^Take away: " + helper.name));
        await page.locator("#problem", { hasText: `${helper.name} no longer has Beech.` }).waitFor();
        assert.equal(await held(), undefined);
        assert.deepEqual(v.trouble, []);
    });

    test(`a child joins, moves, leaves and is back, ${size}`, async (t) => {
        const { account, lead, v, page } = await office(t, box);
        const classes = must(await lead.get("/api/v1/classes"), 200).classes;
        const [beech, cedar] = ["Beech", "Cedar"].map((n) => classes.find((c) => c.name === n));
        await signIn(page, account, "/staff/list?class=" + beech.id, "Beech");
        await press(page, /^Add one pupil/, "Enter");
        await tabTo(page, /^Display name/);
        await page.keyboard.type("Zephyrine");
        await tabTo(page, /^Year group/);
        await pick(page, "Year 3");
        await press(page, /^Add$/);
        await page.getByText("Zephyrine was added").waitFor();
        await look(v, `joined, ${size}`);
        const pupil = must(await lead.get(`/api/v1/classes/${beech.id}/pupils`), 200).pupils.find((p) => p.display_name === "Zephyrine");
        await page.goto("/staff/pupil?id=" + pupil.id);
        await page.locator("h1", { hasText: "Zephyrine" }).waitFor();
        await page.getByText("Year 3 · Beech").waitFor();
        await press(page, /^Move$/);
        await page.getByText("Choose a class.").waitFor();
        await look(v, `a child's class, ${size}`);
        await tabTo(page, /^To class/);
        await pick(page, "Cedar");
        await press(page, /^Move$/);
        await page.getByText("Zephyrine is in Cedar from today.").waitFor();
        await page.getByText("Year 3 · Cedar").waitFor();
        await look(v, `moved, ${size}`);
        assert.ok(must(await lead.get(`/api/v1/classes/${cedar.id}/pupils`), 200).pupils.some((p) => p.id === pupil.id));
        await press(page, /^Has left the school$/);
        await page.getByText("Zephyrine is marked as a leaver.").waitFor();
        await page.getByText("Year 3 · has left the school").waitFor();
        await press(page, /^Is back again$/);
        await page.getByText("Zephyrine is back in Cedar.").waitFor();
        await look(v, `back again, ${size}`);
        assert.deepEqual(v.trouble, []);
    });
}
