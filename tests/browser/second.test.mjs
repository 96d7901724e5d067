/* SPDX-License-Identifier: MIT
 * A second view in a real browser: asked for, given with the keyboard alone, agreed on; a fresh
 * start; an own target. On the demo school (invented), at both sizes. */

import test from "node:test";
import assert from "node:assert/strict";
import { startDemo } from "../lib/server.mjs";
import { launch, visitor, look, SIZES, tabTo } from "../lib/browser.mjs";
import { signedIn } from "../lib/client.mjs";
import { must } from "../lib/world.mjs";

async function signIn(page, account) {
    await page.goto("/staff");
    await page.getByLabel("Your name").fill(account.name);
    await page.getByLabel("Passphrase").fill(account.passphrase);
    await page.getByRole("button", { name: "Sign in" }).click();
    await page.getByRole("heading", { name: "Classes" }).waitFor();
}

/* The class and unit in which the demo has asked a colleague. */
async function place(api) {
    for (const klass of must(await api.get("/api/v1/home"), 200).classes) {
        const { challenges } = must(await api.get(`/api/v1/challenges?state=all&class=${klass.id}`), 200);
        for (const unit of new Set(challenges.map((c) => c.unit.id))) {
            const { views } = must(await api.get(`/api/v1/units/${unit}/second-views?class=${klass.id}`), 200);
            if (views.length) {
                return { klass: klass.id, unit, views };
            }
        }
    }
    throw new Error("the demo asks nobody");
}

for (const [size, box] of Object.entries(SIZES)) {
    test(`a second view, ${size}`, async (t) => {
        const [school, browser] = [await startDemo(), await launch()];
        t.after(() => Promise.all([school.stop(), browser.close()]));
        const [lead, teacher] = school.demo.staff;
        const api = await signedIn(school.url, { name: lead.name, passphrase: lead.passphrase });
        const at = await place(api);
        const open = at.views.find((v) => !v.given);
        const asker = `/staff/second?unit=${at.unit}&class=${at.klass}`;
        const [a, b] = [await visitor(browser, school.url, box), await visitor(browser, school.url, box)];

        await t.test("one is agreed on, one is open", async () => {
            await signIn(a.page, lead);
            await a.page.goto(asker);
            await a.page.getByRole("button", { name: "Take back" }).waitFor();
            assert.equal(at.views.filter((v) => v.agreed).length, 1);
            const [first, second] = await Promise.all([2, 3].map((n) => a.page.locator(`.pairs tbody tr:first-child td:nth-child(${n + 1})`).boundingBox()));
            assert.equal(first.y, second.y, "both views stand side by side");
            await look(a, `second view asker ${size}`);
        });

        await t.test("the colleague finds it, sees no band of others, and gives a view by keyboard", async () => {
            await signIn(b.page, teacher);
            await b.page.goto(`/staff/assess?unit=${at.unit}&class=${at.klass}`);
            await b.page.getByRole("link", { name: "given your second view" }).waitFor();
            await look(b, `assess with one kept back ${size}`);
            await b.page.goto("/staff");
            await b.page.getByRole("link", { name: "1 child waits for your second view" }).click();
            await b.page.getByRole("heading", { name: open.pupil.display_name }).waitFor();
            await look(b, `second view owed ${size}`);
            await tabTo(b.page, /^\s*Give my view/);
            await b.page.keyboard.press("Enter");
            await b.page.getByText("Choose one of the bands first.").waitFor();
            await b.page.keyboard.press("Space");
            await tabTo(b.page, /^\s*Give my view/);
            await b.page.keyboard.press("Enter");
            await b.page.getByText("Nothing is asked of you.").waitFor();
            await look(b, `second view given ${size}`);
        });

        await t.test("the asker agrees, and asks about more", async () => {
            await a.page.goto(asker);
            const row = a.page.locator("tbody tr", { hasText: open.pupil.display_name });
            await row.getByLabel(/^Agreed for/).selectOption({ index: 1 });
            await row.getByRole("button", { name: "We agreed" }).click();
            await a.page.getByText(/^Recorded for/).waitFor();
            await a.page.getByRole("button", { name: "Ask", exact: true }).click();
            await a.page.getByText("Choose a colleague first.").waitFor();
            await a.page.getByLabel("Colleague").selectOption({ label: teacher.name });
            await a.page.locator("fieldset input").nth(5).check();
            await a.page.getByRole("button", { name: "Ask", exact: true }).click();
            await a.page.getByText(/is asked about 1 child and sees it/).waitFor();
            await look(a, `second view asked ${size}`);
        });

        await t.test("a fresh start is given and taken back", async () => {
            await a.page.goto(`/staff/pupil?id=${open.pupil.id}&class=${at.klass}`);
            const today = new Date().toLocaleDateString("sv-SE", { timeZone: "Europe/London" });
            await a.page.getByLabel("From", { exact: true }).fill(today);
            await a.page.getByRole("button", { name: "Give a fresh start" }).click();
            await a.page.getByText(/Personal bests and gains now count from/).waitFor();
            await look(a, `fresh start ${size}`);
            await a.page.getByRole("button", { name: "Take it back" }).click();
            await a.page.getByText(/Taken back: all of this school year counts again/).waitFor();
        });

        await t.test("an own target is set in the form, and refused beside band lines", async () => {
            const { activities } = must(await api.get("/api/v1/activities"), 200);
            const gate = activities.find((x) => x.name === "Gate roll");
            await a.page.goto(`/staff/activity?id=${gate.id}`);
            await a.page.getByText("Versions, open to every child").click();
            const target = a.page.locator("input[name=own_seated]");
            assert.equal(await target.inputValue(), "6");
            await a.page.locator("input[name=line_seated_0]").fill("5");
            await a.page.getByRole("button", { name: "Save the activity" }).click();
            await a.page.getByText(/own target does not go with band lines/).waitFor();
            await look(a, `own target refused ${size}`);
            await a.page.locator("input[name=line_seated_0]").fill("");
            await target.fill("7");
            await a.page.getByRole("button", { name: "Save the activity" }).click();
            await a.page.getByText(/^Saved\./).waitFor();
            const saved = must(await api.get(`/api/v1/activities/${gate.id}`), 200).activity;
            assert.equal(saved.versions.find((v) => v.kind === "seated").own_target, 7);
        });
        assert.deepEqual([...a.trouble, ...b.trouble], []);
    });
}
