/* SPDX-License-Identifier: MIT
 * People over the year, in a real browser and by the keyboard alone: who shares a class, a child who joins,
 * moves and leaves. The school is the invented demo school. */

import test from "node:test";
import assert from "node:assert/strict";
import { startDemo } from "../lib/server.mjs";
import { launch, visitor, look, tabTo, SIZES } from "../lib/browser.mjs";
import { Client, signedIn } from "../lib/client.mjs";
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
        await page.locator("#shares .banner", { hasText: `${helper.name}: help Beech till Fri` }).waitFor();
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
        await page.locator("#shares .banner", { hasText: `${helper.name}: read Beech, no last day.` }).waitFor();
        assert.deepEqual([(await held()).right, (await held()).until], ["read", null]);

        await press(page, /^Give somebody Beech/);
        await press(page, /^Give the right/);
        await page.getByText("Choose somebody.").waitFor();
        await look(v, `shares, nobody chosen, ${size}`);
        await press(page, new RegExp("^Take away: " + helper.name));
        await page.locator("#shares .banner", { hasText: `${helper.name} no longer has Beech.` }).waitFor();
        assert.equal(await held(), undefined);
        assert.deepEqual(v.trouble, []);
    });

    test(`a child joins, moves, leaves and is back, ${size}`, async (t) => {
        const { school, account, lead, v, page } = await office(t, box);
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
        const [card] = must(await lead.post(`/api/v1/pupils/${pupil.id}/cards`, { holder: "pupil" }), 201).cards;
        const status = async () => (await new Client(school.url).post("/api/v1/session", { card: card.code })).status;
        await press(page, /^Has left the school$/);
        await page.getByRole("heading", { name: "Has Zephyrine left the school?" }).waitFor();
        await look(v, `leaving asked, ${size}`);
        const told = await page.locator("#main").textContent();
        await press(page, /^No, nothing changes$/);
        assert.equal(await page.getByRole("heading", { name: "Has Zephyrine left the school?" }).count(), 0);
        assert.equal(await status(), 200, "asking ends nothing");
        await press(page, /^Has left the school$/);
        await press(page, /^Yes, Zephyrine has left$/);
        await page.getByText("Zephyrine is marked as a leaver.").waitFor();
        assert.equal(await status(), 401);
        await page.getByRole("cell", { name: "no longer works", exact: true }).waitFor(); /* the list of cards says so too */
        const { leavers } = must(await lead.get("/api/v1/purge-plan"), 200);
        const goes = leavers.find((l) => l.pupil.id === pupil.id).goes_on;
        const words = (ms) => "Until " + new Intl.DateTimeFormat("en-GB", { day: "numeric", month: "short", year: "numeric", timeZone: "UTC" }).format(ms) + ":";
        const days = [Date.parse(goes), Date.parse(goes) - 86400000].map(words); /* the second: midnight came between */
        assert.ok(days.some((d) => told.includes(d)), `the purge's own day, ${days[0]}, stands in: ${told}`);
        await page.getByText("Year 3 · has left the school").waitFor();
        await page.getByText(/is deleted on .* at the earliest, once a plan on the School page has listed it for 14 days\./).waitFor();
        await press(page, /^Is back again$/);
        await page.getByText("Zephyrine is back in Cedar.").waitFor();
        await look(v, `back again, ${size}`);
        assert.deepEqual(v.trouble, []);
    });

    test(`classes move up, ${size}`, async (t) => {
        const { account, lead, v, page } = await office(t, box);
        const children = async (name) => {
            const klass = must(await lead.get("/api/v1/classes"), 200).classes.find((c) => c.name === name);
            return must(await lead.get(`/api/v1/classes/${klass.id}/pupils`), 200).pupils.filter((p) => !p.left);
        };
        const years = (list) => list.reduce((all, p) => ({ ...all, [p.year_group]: (all[p.year_group] || 0) + 1 }), {});
        const was = {};
        for (const name of ["Acorn", "Beech", "Cedar", "Damson"]) {
            was[name] = years(await children(name));
        }
        await signIn(page, account, "/staff/school", "School");
        await press(page, /^The school year/);
        await page.locator(".year-class").first().waitFor();
        await look(v, `the school year, proposed, ${size}`);
        assert.equal(await page.locator(".year-class").count(), 4);
        assert.match(await page.locator(".year-counts").textContent(), new RegExp(`${was.Damson[6]} children leave`));
        const choice = (label) => page.getByLabel(label).evaluate((s) => s.selectedOptions[0].textContent);
        assert.equal(await choice("Year 1 of Acorn"), "stays in the class");
        assert.equal(await choice("Year 2 of Acorn"), "goes to Beech");
        assert.equal(await choice("Year 6 of Damson"), "leaves the school");

        /* something that cannot be: an archive with children in it */
        await tabTo(page, /^Put Cedar into the archive/, 200);
        await page.keyboard.press("Space");
        await page.getByText(/Cedar is to go to the archive, but \d+ children would be in it/).waitFor();
        await look(v, `the school year, a problem, ${size}`);
        await page.keyboard.press("Space");
        await page.getByText("Before it can be done:").waitFor({ state: "detached" });
        await page.getByLabel("Name afterwards").first().waitFor();
        await tabTo(page, /^Name afterwards/, 200);
        await press(page, /^Move up now/);
        await page.getByText("Say first that a backup of today has been made.").waitFor();
        assert.deepEqual(years(await children("Cedar")), was.Cedar, "nothing is stored before");
        await tabTo(page, /^A backup of today has been made/, 200);
        await page.keyboard.press("Space");
        await press(page, /^Move up now/);
        await page.getByText("What is next").waitFor();
        await page.locator("#purge li").first().waitFor();
        assert.equal(await page.locator("#purge li a").count(), was.Damson[6], "those who left are told with the day they go");
        await look(v, `the school year, done, ${size}`);
        assert.equal(await page.evaluate(() => document.activeElement.id), "title");
        assert.deepEqual(years(await children("Acorn")), { 2: was.Acorn[1] });
        assert.deepEqual(years(await children("Beech")), { 3: was.Acorn[2] });
        assert.deepEqual(years(await children("Cedar")), { 4: was.Beech[3] });
        assert.deepEqual(years(await children("Damson")), { 5: was.Cedar[4], 6: was.Damson[5] });

        await page.reload();
        await page.getByText("The classes moved up last on").waitFor();
        await tabTo(page, /^A backup of today has been made/, 200);
        await page.keyboard.press("Space");
        await press(page, /^Move up now/);
        await page.getByText("If this is another school year, say so.").waitFor();
        await look(v, `the school year, a second time, ${size}`);
        assert.deepEqual(years(await children("Acorn")), { 2: was.Acorn[1] });
        assert.deepEqual(v.trouble, []);
    });
}

test("a plan that is no longer what it was is shown anew and not done", async (t) => {
    const { account, lead, v, page } = await office(t, SIZES.large);
    await signIn(page, account, "/staff/year", "The school year");
    await page.locator(".year-class").first().waitFor();
    const beech = must(await lead.get("/api/v1/classes"), 200).classes.find((c) => c.name === "Beech");
    must(await lead.post(`/api/v1/classes/${beech.id}/pupils`, { display_name: "Zephyrine", year_group: 3 }), 201);
    await tabTo(page, /^A backup of today has been made/, 200);
    await page.keyboard.press("Space");
    await press(page, /^Move up now/);
    await page.getByText("Something has changed since the plan was shown.").waitFor();
    assert.equal(must(await lead.get(`/api/v1/classes/${beech.id}/pupils`), 200).pupils.find((p) => p.display_name === "Zephyrine").year_group, 3);
    await press(page, /^Move up now/);
    await page.getByText("What is next").waitFor();
    assert.deepEqual(v.trouble, []);
});

test("who is not the office moves nobody up", async (t) => {
    const [school, browser] = [await startDemo(), await launch()];
    t.after(() => Promise.all([school.stop(), browser.close()]));
    const teacher = school.demo.staff.find((s) => !s.rights.length && s.classes.some((c) => c.right === "teach"));
    const v = await visitor(browser, school.url, SIZES.small);
    await signIn(v.page, teacher, "/staff/year", "The school year");
    await v.page.getByText("Moving classes up is for the office.").waitFor();
    await look(v, "the school year, not the office");
    assert.deepEqual(v.trouble, []);
});

test("safeguarding sees what is deleted when, without names", async (t) => {
    const { school, lead, v, page } = await office(t, SIZES.small);
    const guard = school.demo.staff.find((s) => s.rights.length === 1 && s.rights[0] === "safeguarding");
    const cedar = must(await lead.get("/api/v1/classes"), 200).classes.find((c) => c.name === "Cedar");
    const [gone] = must(await lead.get(`/api/v1/classes/${cedar.id}/pupils`), 200).pupils;
    must(await lead.put(`/api/v1/pupils/${gone.id}`, { left: true }), 200);
    await signIn(page, guard, "/staff/school", "School");
    await press(page, /^What is deleted, and when/);
    await page.locator("#purge li", { hasText: "1 child" }).waitFor();
    await page.getByRole("rowheader", { name: "Children's messages" }).waitFor();
    assert.ok(!(await page.locator("main").textContent()).includes(gone.display_name));
    await look(v, "what is deleted, for safeguarding");
    assert.deepEqual(v.trouble, []);
});
