/* SPDX-License-Identifier: MIT
 * The teacher's journey in a real browser, from an empty school to an assessment that is shared; then
 * every staff page of the demo school at both sizes. Names are invented. */

import test from "node:test";
import assert from "node:assert/strict";
import { startSchool, startDemo } from "../lib/server.mjs";
import { launch, visitor, look, SIZES, tabTo } from "../lib/browser.mjs";
import { signedIn, uuid7 } from "../lib/client.mjs";
import { must } from "../lib/world.mjs";

async function signIn(page, account) {
    await page.goto("/staff");
    await page.getByLabel("Your name").fill(account.name);
    await page.getByLabel("Passphrase").fill(account.passphrase);
    await page.getByRole("button", { name: "Sign in" }).click();
    await page.getByRole("heading", { name: "Classes" }).waitFor();
}

test("an empty school leads to the first tries", async (t) => {
    const [school, browser] = [await startSchool(), await launch()];
    t.after(() => Promise.all([school.stop(), browser.close()]));
    const v = await visitor(browser, school.url, SIZES.small);
    const page = v.page;
    await page.goto("/staff");
    await page.getByLabel("Your name").waitFor();
    await look(v, "sign in");
    await page.getByLabel("Your name").fill(school.account.name);
    await page.getByLabel("Passphrase").fill("not the passphrase at all");
    await page.getByRole("button", { name: "Sign in" }).click();
    await page.getByText("do not go together").waitFor();
    await signIn(page, school.account);
    await page.getByText("Four steps to the first tries").waitFor();
    await look(v, "home of an empty school");

    await page.getByLabel("Name of the class or group").fill("3 Alder");
    await page.getByRole("button", { name: "Add" }).click();
    await page.getByLabel("Paste the list here").fill("Name,Date of birth,Year group\nOndi,2018-01-02,3\nPerrin,2018-03-04,3\n,2018-01-01,3\nPerrin,2018-05-06,3\n");
    await page.getByRole("button", { name: "Look at it first" }).click();
    await page.getByText("Dropped, never stored").waitFor();
    await page.getByText("Date of birth").waitFor();
    await page.getByText(/Line 5 is there already/).waitFor();
    await look(v, "class list preview with a refused row");
    await page.getByLabel("Paste the list here").fill("Name,Date of birth,Year group\nOndi,2018-01-02,3\nPerrin,2018-03-04,3\n");
    await page.getByRole("button", { name: "Look at it first" }).click();
    await page.getByRole("button", { name: "Store 2 pupils" }).click();
    await page.getByText("2 pupils were added").waitFor();
    await look(v, "class list stored");

    await page.getByRole("link", { name: "Next: cards" }).click();
    await page.getByRole("button", { name: "Make cards" }).click();
    await page.locator(".slip .code").first().waitFor();
    const codes = await page.locator(".slip .code").allTextContents();
    assert.equal(codes.length, 2);
    await look(v, "card sheet");

    await page.goto("/staff/activities");
    await page.getByRole("link", { name: "Set it" }).first().waitFor();
    assert.ok(await page.locator("article").count() >= 6, "six starter activities");
    await look(v, "activities");
    await page.getByRole("link", { name: "Set it" }).first().click();
    await page.getByRole("button", { name: "Set it" }).click();
    await page.getByText("Its number is").waitFor();
    await look(v, "challenge set");
    await page.getByRole("link", { name: "Who's done it" }).click();
    await page.getByRole("link", { name: "Ondi" }).waitFor();
    assert.equal(await page.locator(".state-not_yet").count(), 2);
    await look(v, "grid with nothing in");

    await t.test("a hand-in appears on the grid by itself", async () => {
        const child = await signedIn(school.url, { card: codes[0] });
        const [challenge] = must(await child.get("/api/v1/me/challenges"), 200).challenges;
        const { activity } = must(await child.get(`/api/v1/me/challenges/${challenge.id}`), 200);
        const value = activity.attainable.length ? activity.attainable[Math.floor(activity.attainable.length / 2)] : activity.kind === "measure" ? activity.resolution * 50 : 12;
        must(await child.post("/api/v1/hand-ins", { id: uuid7(), challenge: challenge.id, attempts: [{ value }, { value }, { value }].slice(0, activity.attempts)
            .map((a) => activity.distances_mm.length ? { ...a, distance_mm: activity.distances_mm[0] } : a) }), 201);
        await page.locator(".state-handed_in").waitFor();
        await page.goto("/staff");
        await page.getByRole("heading", { name: "Classes" }).waitFor();
        assert.equal(await page.getByText("Four steps to the first tries").count(), 0, "all four steps have ticked themselves");
    });
    assert.deepEqual(v.trouble, []);
});

test("a teacher signs in and sets a challenge with the keyboard alone", async (t) => {
    const [school, browser] = [await startDemo(), await launch()];
    t.after(() => Promise.all([school.stop(), browser.close()]));
    const v = await visitor(browser, school.url, SIZES.large);
    const { page } = v;
    await page.goto("/staff");
    await page.getByLabel("Your name").waitFor();
    await page.keyboard.type(school.demo.staff[0].name);
    await page.keyboard.press("Tab");
    await page.keyboard.type(school.demo.staff[0].passphrase);
    await page.keyboard.press("Enter");
    await page.getByRole("heading", { name: "Classes" }).waitFor();
    await tabTo(page, /^\s*Activities/);
    await page.keyboard.press("Enter");
    await page.getByRole("link", { name: "Set it" }).first().waitFor();
    await tabTo(page, /^\s*Set it/);
    await page.keyboard.press("Enter");
    await page.getByRole("button", { name: "Set it" }).waitFor();
    await tabTo(page, new RegExp(school.demo.pupils[0].class));
    await page.keyboard.press("Space");
    await tabTo(page, /^\s*Set it/);
    await page.keyboard.press("Enter");
    await page.getByText("Its number is").waitFor();
    assert.deepEqual(v.trouble, []);
});

for (const [size, box] of Object.entries(SIZES)) {
    test(`every staff page of the demo school, ${size}`, async (t) => {
        const [school, browser] = [await startDemo(), await launch()];
        t.after(() => Promise.all([school.stop(), browser.close()]));
        const v = await visitor(browser, school.url, box);
        const { page } = v;
        await signIn(page, school.demo.staff[0]);
        await look(v, `home ${size}`);
        const api = await signedIn(school.url, { name: school.demo.staff[0].name, passphrase: school.demo.staff[0].passphrase });
        const home = must(await api.get("/api/v1/home"), 200);
        const klass = home.classes.find((c) => c.kind === "class" && c.open);
        const { challenges } = must(await api.get(`/api/v1/challenges?state=all&class=${klass.id}`), 200);
        const { pupils } = must(await api.get(`/api/v1/classes/${klass.id}/pupils`), 200);
        const grid = must(await api.get(`/api/v1/classes/${klass.id}/grid`), 200);
        const busy = grid.challenges.find((c) => c.handed_in > 3);
        const pages = [
            ["grid", `/staff/class?id=${klass.id}`, ".table .state"],
            ["grid of the year", `/staff/class?id=${klass.id}&all=1`, ".table .state"],
            ["board", `/staff/board?id=${klass.id}`, ".board-tile"],
            ["results", `/staff/challenge?id=${busy.id}&class=${klass.id}`, ".result .suggestion-word"],
            ["pupil", `/staff/pupil?id=${pupils[0].id}&class=${klass.id}`, ".lanes"],
            ["assess", `/staff/assess?unit=${challenges[0].unit.id}&class=${klass.id}`, ".unit-said"],
            ["activities", "/staff/activities", "article"],
            ["activity form", `/staff/activity?id=${challenges[0].activity.id}`, "#body .panel"],
            ["new activity", "/staff/activity", "#body .panel"],
            ["set", "/staff/set", "form"],
            ["list", `/staff/list?class=${klass.id}`, "ol.columns"],
            ["cards", `/staff/cards?class=${klass.id}`, ".choices"],
            ["messages", "/staff/messages", "article"],
            ["school", "/staff/school", "#body .panel"],
            ["account", "/staff/account", "form"],
            ["words", "/staff/words", "dl.facts"]
        ];
        for (const [name, path, there] of pages) {
            await t.test(name, async () => {
                await page.goto(path);
                await page.locator(there).first().waitFor();
                await look(v, `${name} ${size}`);
            });
        }
        await t.test("assess one child, share, and it is on the family's page", async () => {
            await page.goto(`/staff/assess?unit=${challenges[0].unit.id}&class=${klass.id}`);
            const row = page.locator("tbody tr").first();
            await row.waitFor();
            await row.getByRole("radiogroup", { name: /^Assessment of/ }).locator(".band-box").nth(1).click();
            await row.getByRole("button", { name: /Decide|Change/ }).click();
            await row.locator(".unit-now").waitFor();
            const share = page.getByRole("button", { name: /^Share/ });
            if (await share.count()) {
                await share.click();
                await page.getByText(/now on the family's page/).waitFor();
            }
        });
        await t.test("enter a hand-in from paper; an impossible total is explained", async () => {
            const zones = challenges.find((c) => c.activity.kind === "zones");
            await page.goto(`/staff/challenge?id=${zones.id}&class=${klass.id}`);
            await page.getByLabel("Pupil", { exact: true }).selectOption({ index: 1 });
            await page.getByLabel("Try 1", { exact: true }).fill("999");
            await page.getByRole("button", { name: "Store" }).click();
            await page.getByText(/That cannot be/).waitFor();
            await look(v, `entry refused ${size}`);
        });
    });
}
