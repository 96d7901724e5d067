/* SPDX-License-Identifier: MIT
 * Sheets: home sheets of every kind of activity and version, each on one side of A4; the blank mark sheet;
 * slips for those from whom nothing has come. Rendered to PDF by Chromium, its pages counted. */

import test from "node:test";
import assert from "node:assert/strict";
import { writeFileSync } from "node:fs";
import { startDemo } from "../lib/server.mjs";
import { launch, visitor, look, sides, SIZES } from "../lib/browser.mjs";
import { signedIn } from "../lib/client.mjs";
import { inSchoolYear, must } from "../lib/world.mjs";

async function print(page, name) {
    const pdf = await page.pdf({ format: "A4", preferCSSPageSize: true });
    if (process.env.THRICE_SHOTS) {
        writeFileSync(`${process.env.THRICE_SHOTS}/${name}.pdf`, pdf);
    }
    return sides(pdf);
}

async function open(t, size) {
    const [school, browser] = [await startDemo(inSchoolYear(70)), await launch()];
    t.after(() => Promise.all([school.stop(), browser.close()]));
    const account = school.demo.staff[0];
    const api = await signedIn(school.url, { name: account.name, passphrase: account.passphrase });
    const { classes } = must(await api.get("/api/v1/classes"), 200);
    const klass = classes.find((c) => c.kind === "class");
    const grid = must(await api.get(`/api/v1/classes/${klass.id}/grid?all=1`), 200);
    const v = await visitor(browser, school.url, size);
    await v.page.goto("/staff?next=" + encodeURIComponent(`/staff/class?id=${klass.id}`));
    await v.page.getByLabel("Your name").fill(account.name);
    await v.page.getByLabel("Passphrase").fill(account.passphrase);
    await v.page.getByRole("button", { name: "Sign in" }).click();
    await v.page.getByRole("heading", { name: klass.name }).waitFor();
    return { v, page: v.page, api, klass, grid };
}

/* How many of the try boxes a row has. */
const boxes = (page) => page.locator(".sheet-tries tbody tr:first-child .boxes .box").count();

test("every activity and version fits one side of A4, a box for each throw", async (t) => {
    const { v, page, klass, grid, api } = await open(t, SIZES.large);
    const kinds = new Set();
    for (const challenge of grid.challenges.filter((c, i, all) => all.findIndex((d) => d.name === c.name) === i)) {
        const { activity } = must(await api.get(`/api/v1/challenges/${challenge.id}`), 200);
        kinds.add(activity.kind);
        await page.goto(`/staff/sheets?id=${challenge.id}&class=${klass.id}`);
        await page.locator(".home-sheet").waitFor();
        await look(v, `sheet ${challenge.name}`);
        assert.equal(await boxes(page), activity.throws && activity.throws <= 20 ? activity.throws : 0, challenge.name);
        assert.equal(await page.locator(".sheet-tries tbody tr").count(), activity.attempts);
        assert.match(await page.locator(".sheet-number").textContent(), new RegExp(`\\b${challenge.number}\\b`));
        for (const version of activity.versions) {
            await page.getByLabel("Way of doing it").selectOption(version.id);
            assert.equal(await print(page, `sheet-${challenge.number}-${version.kind}`), 1, `${challenge.name}, ${version.kind}`);
        }
    }
    assert.ok(kinds.size >= 4, "the demo has every kind: " + Array.from(kinds).join(", "));
    await page.getByText("one sheet for each child").click();
    const pupils = grid.pupils.length;
    assert.equal(await page.locator(".home-sheet").count(), pupils);
    assert.equal(await print(page, "sheet-class"), pupils, "a side a child");
    assert.deepEqual(v.trouble, []);
});

test("the mark sheet has a row a child; slips go only to those from whom nothing came", async (t) => {
    const { v, page, klass, grid, api } = await open(t, SIZES.small);
    const at = grid.challenges.findIndex((c, i) => ["not_yet", "could_not", "handed_in"].every((s) => grid.pupils.some((p) => p.cells[i].state === s)));
    assert.ok(at >= 0, "a challenge with each state");
    await page.getByRole("link", { name: "Sheets" }).first().click();
    await page.locator(".home-sheet").waitFor();
    await look(v, "home sheet small");
    await page.goto(`/staff/sheets?id=${grid.challenges[at].id}&class=${klass.id}&kind=mark`);
    await page.locator(".mark-table").waitFor();
    await look(v, "mark sheet small");
    assert.equal(await page.locator(".mark-table tbody tr").count(), grid.pupils.length);
    const { activity } = must(await api.get(`/api/v1/challenges/${grid.challenges[at].id}`), 200);
    assert.deepEqual(await page.locator(".mark-cue").allTextContents(), activity.cues.map((c) => c.text), "a column for each teaching point");
    assert.equal(await print(page, "mark-sheet"), Math.ceil(grid.pupils.length / 32));
    await page.getByRole("radio", { name: "slips for “not yet”" }).focus();
    await page.keyboard.press("Space");
    await page.locator(".not-yet-slip").first().waitFor();
    await look(v, "slips small");
    const named = await page.locator(".not-yet-slip strong:first-child").allTextContents();
    const waiting = grid.pupils.filter((p) => p.cells[at].state === "not_yet").map((p) => p.display_name);
    assert.deepEqual(named.filter((x) => waiting.includes(x)), waiting);
    assert.equal(await page.locator(".not-yet-slip").count(), waiting.length);
    await print(page, "slips");
    assert.deepEqual(v.trouble, []);
});
