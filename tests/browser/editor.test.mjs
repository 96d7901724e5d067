/* SPDX-License-Identifier: MIT
 * Making things with the form pages: an activity of each kind from blank, a copy, a wrong field that
 * is said in words, staff with rights, term dates. Names and activities are invented. */

import test from "node:test";
import assert from "node:assert/strict";
import { startSchool } from "../lib/server.mjs";
import { launch, visitor, look, SIZES } from "../lib/browser.mjs";
import { signedIn } from "../lib/client.mjs";
import { must, day } from "../lib/world.mjs";

const field = (page, name) => page.locator(`[name="${name}"]`);

async function common(page, name, kind) {
    await page.goto("/staff/activity");
    await field(page, "name").waitFor();
    await field(page, "name").fill(name);
    await field(page, "kind").selectOption(kind);
    await field(page, "summary").fill("A short go at something soft.");
    await field(page, "set_up").fill("Clear a space.");
    await field(page, "scoring").fill("Count what happens.");
    await field(page, "how_standard").fill("Do it as it is said.");
}

async function save(page, name) {
    await page.getByRole("button", { name: /^Save/ }).last().click();
    await page.waitForURL("**/staff/activity?id=*");
    await page.locator("h1", { hasText: name }).waitFor();
}

test("forms", async (t) => {
    const [school, browser] = [await startSchool(), await launch()];
    t.after(() => Promise.all([school.stop(), browser.close()]));
    const first = await signedIn(school.url, school.account);
    await first.get("/api/v1/session");
    must(await first.post("/api/v1/classes", { name: "3 Alder" }), 201);
    const v = await visitor(browser, school.url, SIZES.large);
    const { page } = v;
    await page.goto("/staff");
    await page.getByLabel("Your name").fill(school.account.name);
    await page.getByLabel("Passphrase").fill(school.account.passphrase);
    await page.getByRole("button", { name: "Sign in" }).click();
    await page.getByRole("heading", { name: "Classes" }).waitFor();

    await t.test("an activity of each kind from blank", async () => {
        await common(page, "Ring roll", "zones");
        const points = page.locator("fieldset", { hasText: "Zones, in order" });
        await points.getByRole("button", { name: "Add a line" }).click();
        await points.getByLabel("Zone").last().fill("ring");
        await points.getByLabel("Points").last().fill("4");
        await field(page, "throws").fill("4");
        await field(page, "line_standard_0").fill("8");
        await save(page, "Ring roll");
        await common(page, "Floor dabs", "timed_count");
        await field(page, "seconds").fill("20");
        await save(page, "Floor dabs");
        await common(page, "Scarf catches", "successes");
        await field(page, "throws").fill("10");
        await save(page, "Scarf catches");
        await common(page, "Still star", "measure");
        await field(page, "unit").selectOption("ms");
        await field(page, "resolution").fill("0.1");
        await field(page, "hard_low").fill("0.1");
        await field(page, "hard_high").fill("300");
        await field(page, "line_standard_0").fill("8,5");
        await save(page, "Still star");
        const { activities } = must(await first.get("/api/v1/activities"), 200);
        const star = must(await first.get(`/api/v1/activities/${activities.find((a) => a.name === "Still star").id}`), 200).activity;
        assert.deepEqual([star.kind, star.unit, star.resolution, star.hard_high, star.versions[0].band_lines], ["measure", "ms", 100, 300000, [8500]]);
        await look(v, "activity saved");
    });

    await t.test("what cannot be is said beside words, and nothing is stored", async () => {
        const before = must(await first.get("/api/v1/activities"), 200).activities.length;
        await common(page, "", "successes");
        await field(page, "throws").fill("10");
        await page.getByRole("button", { name: /^Save/ }).last().click();
        await page.locator("#problem").waitFor();
        assert.match(await page.locator("#problem").textContent(), /name/i);
        assert.equal(must(await first.get("/api/v1/activities"), 200).activities.length, before);
    });

    await t.test("a copy, changed and saved, leaves the first one as it was", async () => {
        await page.goto("/staff/activities");
        await page.locator("article", { hasText: "Ring roll" }).getByRole("link", { name: "Make a copy" }).click();
        await field(page, "name").waitFor();
        await field(page, "name").fill("Ring roll from afar");
        await save(page, "Ring roll from afar");
        const { activities } = must(await first.get("/api/v1/activities"), 200);
        assert.ok(activities.some((a) => a.name === "Ring roll") && activities.some((a) => a.name === "Ring roll from afar"));
    });

    await t.test("term dates, and a colleague with a right on a class", async () => {
        await page.goto("/staff/school");
        await field(page, "term_0").fill("Autumn term");
        await field(page, "from_0").fill(day(-20));
        await field(page, "to_0").fill(day(40));
        await page.locator("form", { has: page.getByRole("heading", { name: "Term dates" }) }).getByRole("button", { name: "Save" }).click();
        await page.getByText("Saved.").waitFor();
        assert.equal(must(await first.get("/api/v1/school"), 200).terms.length, 1);
        await page.getByText("Add someone").click();
        const adder = page.locator("details", { hasText: "Add someone" }).last();
        await adder.locator('[name="name"]').fill("Hedda");
        await adder.getByLabel("3 Alder").selectOption("help");
        await adder.getByRole("button", { name: "Add", exact: true }).click();
        const passphrase = (await page.locator(".passphrase").textContent()).trim();
        await look(v, "passphrase shown once");
        const other = await visitor(browser, school.url, SIZES.small);
        await other.page.goto("/staff");
        await other.page.getByLabel("Your name").fill("Hedda");
        await other.page.getByLabel("Passphrase").fill(passphrase);
        await other.page.getByRole("button", { name: "Sign in" }).click();
        await other.page.getByText("The office issued your passphrase").waitFor();
        await other.page.getByLabel("Passphrase now").fill(passphrase);
        await other.page.locator('[name="new"]').fill("gentle harbour kettle 7");
        await other.page.locator('[name="again"]').fill("gentle harbour kettle 7");
        await other.page.getByRole("button", { name: "Change", exact: true }).click();
        await other.page.getByRole("heading", { name: "Classes" }).waitFor();
        await other.page.getByRole("link", { name: /3 Alder/ }).click();
        await other.page.getByText(/No pupil|Nothing is set/).first().waitFor();
        assert.equal(await other.page.getByRole("link", { name: "Set a challenge" }).count(), 0);
        await look(other, "what a helper sees");
    });
});

for (const [size, box] of Object.entries(SIZES)) {
    test(`the form shows the child's screen while it is typed, ${size}`, async (t) => {
        const [school, browser] = [await startSchool(), await launch()];
        t.after(() => Promise.all([school.stop(), browser.close()]));
        const first = await signedIn(school.url, school.account);
        const { activities } = must(await first.get("/api/v1/activities"), 200);
        const v = await visitor(browser, school.url, box);
        const { page } = v;
        await page.goto("/staff?next=" + encodeURIComponent("/staff/activity?id=" + activities.find((a) => a.name === "Slide to the mat").id));
        await page.getByLabel("Your name").fill(school.account.name);
        await page.getByLabel("Passphrase").fill(school.account.passphrase);
        await page.getByRole("button", { name: "Sign in" }).click();
        const phone = page.locator(".preview-phone");
        await phone.getByText("Eyes on the middle before letting go").waitFor();
        assert.ok(await phone.locator(".board svg, .board").count() >= 1, "the set-up is drawn");
        assert.equal(await phone.evaluate((e) => getComputedStyle(e).backgroundColor), "rgb(34, 43, 49)", "the child's slate");
        await field(page, "summary").fill("Glide a sock to the mat.");
        await phone.getByText("Glide a sock to the mat.").waitFor();
        await page.getByLabel("Way of doing it that is shown").selectOption("seated");
        await phone.getByText(/^Sit tall on the floor behind your line/).waitFor();
        await field(page, "attempts").fill("x");
        await page.getByText(/^As it was last: /).waitFor();
        assert.equal(await phone.getByText("Glide a sock to the mat.").count(), 1, "the last that could be read stays");
        await field(page, "attempts").fill("3");
        await page.locator(".preview [role=status]", { hasText: /^$/ }).waitFor({ state: "attached" });
        await look(v, `editor with preview ${size}`);
        assert.deepEqual(v.trouble, []);
    });
}
