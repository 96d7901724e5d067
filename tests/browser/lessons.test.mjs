/* SPDX-License-Identifier: MIT
 * The observation grid and the statements in a real browser: by keyboard alone at both sizes, with
 * the connection gone and back, and on paper. Names are invented. */

import test from "node:test";
import assert from "node:assert/strict";
import { startDemo } from "../lib/server.mjs";
import { launch, visitor, look, sides, SIZES, tabTo } from "../lib/browser.mjs";
import { signedIn } from "../lib/client.mjs";
import { must } from "../lib/world.mjs";

async function open(t, box) {
    const [school, browser] = [await startDemo(), await launch()];
    t.after(() => Promise.all([school.stop(), browser.close()]));
    const account = school.demo.staff[0];
    const api = await signedIn(school.url, { name: account.name, passphrase: account.passphrase });
    await api.get("/api/v1/session");
    const v = await visitor(browser, school.url, box);
    await v.page.goto("/staff");
    await v.page.getByLabel("Your name").fill(account.name);
    await v.page.getByLabel("Passphrase").fill(account.passphrase);
    await v.page.getByRole("button", { name: "Sign in" }).click();
    await v.page.getByRole("heading", { name: "Classes" }).waitFor();
    const { classes } = must(await api.get("/api/v1/home"), 200);
    const klass = classes.find((c) => c.kind === "class");
    const { challenges } = must(await api.get(`/api/v1/challenges?state=all&class=${klass.id}`), 200);
    const unit = challenges[challenges.length - 1].unit.id;
    const grid = `/api/v1/units/${unit}/seen?class=${klass.id}`;
    const page_ = async () => must(await api.get(grid), 200);
    const data = await page_();
    const cues = data.cues.filter((c) => c.activity === data.cues[0].activity);
    const free = data.rows.findIndex((r, i) => i < data.rows.length - 1 && [r, data.rows[i + 1]].every((row) => cues.every((c) => !(c.id in row.seen))));
    return { ...v, v, school, api, klass, unit, data, cues, row: data.rows[free], below: data.rows[free + 1], load: page_, path: `/staff/seen?unit=${unit}&class=${klass.id}&activity=0` };
}

/* Of the activity on the page. */
function seenOf(data, row, cues) {
    const { seen } = data.rows.find((r) => r.pupil.id === row.pupil.id);
    return Object.fromEntries(cues.filter((c) => c.id in seen).map((c) => [c.id, seen[c.id]]));
}
const saved = (page) => page.locator(".saved-line").getByText("Everything is saved.").waitFor();
const focused = (page) => page.evaluate(() => document.activeElement.getAttribute("aria-label"));

async function settle(page) {
    await page.getByText("Saving …").waitFor();
    await saved(page);
}

test("the grid by keyboard alone, large", async (t) => {
    const w = await open(t, SIZES.large);
    const { page } = w;
    await page.goto(w.path);
    await page.locator(".marks .mark").first().waitFor();
    assert.equal(await page.locator(".marks button[tabindex='0']").count(), 1, "one tab stop");
    await look(w.v, "seen large");
    const name = w.row.pupil.display_name;
    await tabTo(page, new RegExp(`^${w.data.rows[0].pupil.display_name}, `));
    for (let i = 0; i < w.data.rows.indexOf(w.row); i += 1) {
        await page.keyboard.press("ArrowDown");
    }
    assert.equal(await focused(page), `${name}, ${w.cues[0].text}: not looked for`);

    await page.keyboard.press("Enter");
    assert.equal(await focused(page), `${name}, ${w.cues[0].text}: seen`);
    await settle(page);
    assert.deepEqual(seenOf(await w.load(), w.row, w.cues), { [w.cues[0].id]: true });

    await page.keyboard.press("Space");
    assert.match(await focused(page), /looked for, not seen$/);
    await page.keyboard.press("ArrowRight");
    assert.equal(await focused(page), `${name}, ${w.cues[1].text}: not looked for`);
    await page.keyboard.press("Space");
    await page.keyboard.press("ArrowDown");
    assert.equal(await focused(page), `${w.below.pupil.display_name}, ${w.cues[1].text}: not looked for`);
    await page.keyboard.press("ArrowUp");
    await page.keyboard.press("Home");
    assert.match(await focused(page), new RegExp(`^${name}, ${w.cues[0].text}`));
    await saved(page);
    assert.deepEqual(seenOf(await w.load(), w.row, w.cues), { [w.cues[0].id]: false, [w.cues[1].id]: true });

    await page.keyboard.press("Enter");       /* round to nothing: taken back */
    assert.match(await focused(page), /not looked for$/);
    await settle(page);
    assert.deepEqual(seenOf(await w.load(), w.row, w.cues), { [w.cues[1].id]: true });
    await page.keyboard.press("End");
    assert.match(await focused(page), /Taking part/);

    await t.test("the whole column, and undo", async () => {
        const before = await w.load();
        await page.getByRole("button", { name: `The rest seen: ${w.cues[0].text}` }).click();
        const after = async () => (await w.load()).rows.map((r) => r.seen[w.cues[0].id]);
        await settle(page);
        const was = before.rows.map((r) => r.seen[w.cues[0].id]);
        assert.deepEqual(await after(), was.map((s) => (s === undefined ? true : s)), "what was said before stays");
        await look(w.v, "seen whole column large");
        await page.getByRole("button", { name: "Undo" }).click();
        await settle(page);
        assert.deepEqual(await after(), was);
    });
    assert.deepEqual(w.trouble, []);
});

test("one child or one point at a time, by keyboard alone, small", async (t) => {
    const w = await open(t, SIZES.small);
    const { page } = w;
    await page.goto(w.path);
    await page.locator(".marks-list .mark").first().waitFor();
    assert.ok(!(await page.locator("table.marks").isVisible()), "no table to scroll sideways on a narrow screen");
    await look(w.v, "seen small");
    await page.getByRole("combobox", { name: "Child" }).focus();
    await page.keyboard.type(w.row.pupil.display_name);
    await page.getByRole("button", { name: `${w.row.pupil.display_name}, ${w.cues[0].text}: not looked for` }).waitFor();
    await tabTo(page, new RegExp(`^${w.row.pupil.display_name}, ${w.cues[0].text}`));
    await page.keyboard.press("Space");
    await page.keyboard.press("ArrowDown");
    await page.keyboard.press("Space");
    await page.keyboard.press("Space");
    await settle(page);
    assert.deepEqual(seenOf(await w.load(), w.row, w.cues), { [w.cues[0].id]: true, [w.cues[1].id]: false });
    await page.getByRole("radio", { name: "One point" }).focus();
    await page.keyboard.press("Space");
    await page.getByRole("button", { name: `${w.row.pupil.display_name}, ${w.cues[0].text}: seen` }).waitFor();
    await look(w.v, "seen one point small");
    const height = await page.locator(".marks-list .mark").first().evaluate((e) => e.getBoundingClientRect().height);
    assert.ok(height >= 44, `a target of ${height} px (WCAG 2.2, 2.5.5: 44)`);
    await page.getByRole("button", { name: "The next one" }).click();
    await page.getByRole("button", { name: `${w.row.pupil.display_name}, ${w.cues[1].text}: looked for, not seen` }).waitFor();
    assert.deepEqual(w.trouble, []);
});

test("with the connection gone a mark says so, and is sent when it is back", async (t) => {
    const w = await open(t, SIZES.large);
    const { page } = w;
    await page.goto(w.path);
    const cell = page.locator(".marks").getByRole("button", { name: new RegExp(`^${w.row.pupil.display_name}, ${w.cues[0].text}`) });
    await cell.waitFor();
    await page.route("**/api/v1/units/**", (route) => route.abort());
    await cell.click();
    await page.getByText(/1 mark is not saved yet/).waitFor();
    assert.match(await cell.getAttribute("aria-label"), /seen, not saved yet$/);
    assert.match(await cell.textContent(), /not saved/);
    assert.deepEqual(seenOf(await w.load(), w.row, w.cues), {});
    await page.unroute("**/api/v1/units/**");
    await page.getByRole("button", { name: "Try now" }).click();
    await saved(page);
    assert.deepEqual(seenOf(await w.load(), w.row, w.cues), { [w.cues[0].id]: true });
    assert.doesNotMatch(await cell.getAttribute("aria-label"), /not saved/);

    await t.test("what is refused goes back to what is stored, in words", async () => {
        await page.route("**/api/v1/units/**", (route) => route.fulfill({ status: 404, contentType: "application/problem+json", body: JSON.stringify({ type: "/problems/not-found", title: "Not here", status: 404 }) }));
        await cell.click();
        await page.getByText("That is not here, or not yours to see.").waitFor();
        assert.match(await cell.getAttribute("aria-label"), /: seen$/);
        await page.unroute("**/api/v1/units/**");
    });
});

test("when the session ends, marks are kept in the tab and sent once the same person is back", async (t) => {
    const w = await open(t, SIZES.large);
    const { page } = w;
    const account = (i) => w.school.demo.staff[i];
    const come = async (who) => {
        await page.getByLabel("Your name").fill(who.name);
        await page.getByLabel("Passphrase").fill(who.passphrase);
        await page.getByRole("button", { name: "Sign in" }).click();
    };
    await page.goto(w.path);
    const cell = page.locator(".marks").getByRole("button", { name: new RegExp(`^${w.row.pupil.display_name}, ${w.cues[0].text}`) });
    await cell.waitFor();
    await w.v.context.clearCookies();
    await cell.click();
    await page.getByText(`The session of ${account(0).name} ended. 1 mark not saved yet`, { exact: false }).waitFor();
    await look(w.v, "signed out with a mark kept");
    assert.doesNotMatch(await page.evaluate(() => JSON.stringify(sessionStorage)), new RegExp(w.row.pupil.display_name), "no child's name is kept");

    await t.test("another person does not send it, and reads whose it is", async () => {
        await page.goto("/staff");
        await come(account(1));
        await page.getByText(`1 mark of ${account(0).name} not saved yet.`, { exact: false }).waitFor();
        await look(w.v, "a mark of another person");
        await page.goto(w.path);
        await page.locator("h1").waitFor();
        await page.waitForLoadState("networkidle");
        await page.waitForTimeout(800);
        assert.deepEqual(seenOf(await w.load(), w.row, w.cues), {});
        await page.getByRole("button", { name: "Sign out" }).click();
    });

    await t.test("the same person does, and it says so", async () => {
        await page.getByText("ended. 1 mark not saved yet", { exact: false }).waitFor();
        await come(account(0));
        await page.getByRole("link", { name: "1 mark not saved yet" }).click();
        await page.getByText("1 mark from before you were signed out was kept in this tab and is being saved now.").waitFor();
        await saved(page);
        for (let i = 0; i < 40 && !Object.keys(seenOf(await w.load(), w.row, w.cues)).length; i += 1) {
            await page.waitForTimeout(100);
        }
        assert.deepEqual(seenOf(await w.load(), w.row, w.cues), { [w.cues[0].id]: true });
        assert.equal(await page.evaluate(() => sessionStorage.length), 0);
    });
    assert.deepEqual(w.trouble, []);
});

test("on paper: one side of A4 for a class, filled or empty, with the cautions", async (t) => {
    const w = await open(t, SIZES.large);
    const { page } = w;
    await page.goto(w.path);
    await page.locator(".marks .mark").first().waitFor();
    for (const empty of [false, true]) {
        await page.evaluate((on) => document.body.classList.toggle("print-empty", on), empty);
        const pdf = await page.pdf({ preferCSSPageSize: true });
        assert.equal(sides(pdf), 1, `${w.data.rows.length} children on one side`);
    }
    await page.emulateMedia({ media: "print" });
    assert.ok(await page.getByText("Not looked for is not the same as not seen.").isVisible());
    assert.ok(await page.getByText(/stop if something hurts/).isVisible());
    assert.ok(!(await page.locator(".marks .mark-yes").first().isVisible()), "an empty sheet shows no mark");
    await page.evaluate(() => document.body.classList.remove("print-empty"));
    assert.ok(await page.locator(".marks .mark-yes").first().isVisible());
});

for (const [size, box] of Object.entries(SIZES)) {
    test(`statements, ${size}`, async (t) => {
        const w = await open(t, box);
        const { page } = w;
        const path = `/api/v1/statements?class=${w.klass.id}`;
        await page.goto(`/staff/class?id=${w.klass.id}`);
        await page.getByText("More", { exact: true }).click();
        await page.getByRole("link", { name: "Statements" }).click();
        await page.getByText("Tick only what a qualified person saw in the water, under the school's own swimming and water-safety rules.").waitFor();
        await look(w.v, `statements ${size}`);
        const data = must(await w.api.get(path), 200);
        const row = data.rows.find((r) => !Object.keys(r.ticks).length);
        const [swim] = data.statements;
        if (size === "small") {
            await page.getByRole("combobox", { name: "Child" }).selectOption(row.pupil.id);
        }
        const cell = page.locator(size === "small" ? ".marks-list" : ".marks").getByRole("button", { name: `${row.pupil.display_name}, ${swim.text}` });
        await page.getByLabel("Seen on").fill("2026-03-02");
        await cell.focus();
        await page.keyboard.press("Enter");
        await page.keyboard.press("Enter");
        await settle(page);
        const tick = async () => must(await w.api.get(path), 200).rows.find((r) => r.pupil.id === row.pupil.id).ticks[swim.id];
        assert.deepEqual([(await tick()).met, (await tick()).on], [false, "2026-03-02"]);
        assert.match(await cell.getAttribute("aria-label"), /: not yet, 2 Mar 2026, /);
        await page.keyboard.press("Enter");
        await settle(page);
        assert.equal(await tick(), undefined);

        await page.getByText("The school's list").click();
        await page.getByLabel("What a teacher can see a child do").fill("Keeps a steady beat");
        await page.locator("#new-area").selectOption("dance");
        await page.getByRole("button", { name: "Add a statement" }).click();
        await page.getByText("Added.").waitFor();
        await look(w.v, `statements list ${size}`);
        await page.getByRole("button", { name: "Put away: Keeps a steady beat" }).click();
        await page.getByRole("button", { name: "Bring back: Keeps a steady beat" }).waitFor();
        assert.deepEqual(w.trouble, []);
    });
}
