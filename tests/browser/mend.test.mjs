/* SPDX-License-Identifier: MIT
 * Mending what was set, in a real browser: other dates and cancelling by keyboard, set again, what the grid
 * and a child then show; and an activity that a colleague made. Names are invented; our own rules. */

import test from "node:test";
import assert from "node:assert/strict";
import { startSchool } from "../lib/server.mjs";
import { launch, visitor, look, SIZES, tabTo } from "../lib/browser.mjs";
import { signedIn, uuid7 } from "../lib/client.mjs";
import { makeWorld, setChallenge, day, must } from "../lib/world.mjs";

async function signIn(page, person) {
    await page.goto("/staff");
    await page.getByLabel("Your name").fill(person.name);
    await page.getByLabel("Passphrase").fill(person.passphrase);
    await page.getByRole("button", { name: "Sign in" }).click();
    await page.getByRole("heading", { name: "Classes" }).waitFor();
}

test("a challenge set by mistake is mended", async (t) => {
    const [school, browser] = [await startSchool(), await launch()];
    t.after(() => Promise.all([school.stop(), browser.close()]));
    const w = await makeWorld(school, school.account);
    const both = await setChallenge(w.staff.pe_lead.client, w.activity, [w.a.id, w.b.id]);
    const child = await signedIn(school.url, { card: w.codes.pupil });
    must(await child.post("/api/v1/hand-ins", { id: uuid7(), challenge: both.id, attempts: [{ value: 9, distance_mm: 3000 }] }), 201);
    const address = `/staff/challenge?id=${both.id}&class=${w.a.id}`;
    const stands = async () => must(await w.staff.teach.client.get(`/api/v1/challenges/${both.id}`), 200).challenge.classes;
    const ofA = async () => (await stands()).find((k) => k.id === w.a.id);

    for (const [size, box] of Object.entries(SIZES)) {
        await t.test(`dates, cancel, set again, by keyboard, ${size}`, async () => {
            const v = await visitor(browser, school.url, box);
            const { page } = v;
            await signIn(page, w.staff.teach);
            await page.goto(address);
            await tabTo(page, /^Change dates, or cancel/);
            await look(v, `mend challenge ${size}`);
            await page.keyboard.press("Enter");
            await page.getByRole("button", { name: "Change dates for 3 Alder" }).waitFor();
            assert.equal(await page.getByRole("button", { name: /for 4 Birch/ }).count(), 0, "a colleague's class: told, not changed");
            await tabTo(page, /^Change dates for 3 Alder/);
            await page.keyboard.press("Enter");
            const panel = page.getByRole("group", { name: "Dates for 3 Alder" });
            await panel.getByText("Somebody who was offline").waitFor();
            assert.equal(await page.evaluate(() => document.activeElement.name), "opens_on");
            await look(v, `mend dates ${size}`);
            await page.keyboard.press("Escape");
            assert.equal(await panel.count(), 0);
            assert.match(await page.evaluate(() => document.activeElement.getAttribute("aria-label")), /^Change dates/, "back where it began");

            await page.keyboard.press("Enter");
            await panel.getByLabel("Closes").fill(day(1));
            await page.keyboard.press("Enter");
            await panel.getByText("Closes has to be after Due.").waitFor();
            assert.equal(await page.evaluate(() => document.activeElement.name), "closes_on");
            await look(v, `mend dates wrong ${size}`);
            assert.equal((await ofA()).closes_at, both.closes_at, "nothing was stored");
            await panel.getByLabel("Closes").fill(day(9));
            await page.keyboard.press("Enter");
            await page.getByText("The dates of 3 Alder are changed.").waitFor();
            assert.notEqual((await ofA()).closes_at, both.closes_at);
            await page.getByRole("button", { name: "Change dates for 3 Alder" }).click();
            await panel.getByLabel("Closes").fill(day(20));
            await panel.getByRole("button", { name: "Save the dates" }).click();
            await page.getByText("The dates of 3 Alder are changed.").waitFor();

            await tabTo(page, /^Cancel the challenge for 3 Alder/);
            await page.keyboard.press("Enter");
            const ask = page.getByRole("group", { name: "Cancel “Mat slide” for 3 Alder?" });
            await ask.getByText("1 child has sent tries.").waitFor();
            await ask.getByText("It goes on for 4 Birch.").waitFor();
            await look(v, `mend cancel ${size}`);
            await tabTo(page, /^Cancel it for 3 Alder$/);
            await page.keyboard.press("Enter");
            await page.getByText("Cancelled for 3 Alder.").waitFor();
            assert.equal((await ofA()).cancelled.by, "Tamsin");
            assert.equal((await stands()).find((k) => k.id === w.b.id).cancelled, null);
            await page.locator(".banner", { hasText: "3 Alder: Cancelled by Tamsin" }).waitFor();
            await look(v, `mend cancelled ${size}`);
            await page.goto(`/staff/class?id=${w.a.id}`);
            await page.locator("th", { hasText: "cancelled" }).waitFor();
            await page.locator("td", { hasText: "cancelled, nothing sent" }).first().waitFor();
            await look(v, `mend grid ${size}`);

            await page.goto(address);
            await tabTo(page, /^Set it again/);
            await page.keyboard.press("Enter");
            await tabTo(page, /^Set it again for 3 Alder/);
            await page.keyboard.press("Enter");
            await page.getByText("Set again for 3 Alder.").waitFor();
            assert.equal((await ofA()).cancelled, null);
            assert.deepEqual(v.trouble, []);
            await v.close();
        });
    }

    await t.test("set again with new dates where its own are over", async () => {
        must(await w.staff.teach.client.put(`/api/v1/challenges/${both.id}`, { due_on: day(-1), closes_on: day(-1) }), 200);
        must(await w.staff.teach.client.put(`/api/v1/challenges/${both.id}`, { cancelled: true }), 200);
        const v = await visitor(browser, school.url, SIZES.large);
        await signIn(v.page, w.staff.teach);
        await v.page.goto(address);
        await v.page.locator("summary", { hasText: "Set it again" }).click();
        await v.page.getByRole("button", { name: "Set it again for 3 Alder" }).click();
        const panel = v.page.getByRole("group", { name: "Set it again for 3 Alder" });
        await panel.getByRole("button", { name: "Set it again" }).click();
        await panel.getByText("Closes is over already.").waitFor();
        await look(v, "mend again wrong");
        await panel.getByLabel("Due").fill(day(4));
        await panel.getByLabel("Closes").fill(day(8));
        await panel.getByRole("button", { name: "Set it again" }).click();
        await v.page.getByText("Set again for 3 Alder.").waitFor();
        await v.close();
    });

    await t.test("nothing is called deleted while another class has it", async () => {
        const asked = async (who, challenge, klass) => {
            const v = await visitor(browser, school.url, SIZES.small);
            await signIn(v.page, who);
            await v.page.goto(`/staff/challenge?id=${challenge.id}&class=${klass.id}`);
            await v.page.locator("summary", { hasText: "Change dates, or cancel" }).click();
            await v.page.getByRole("button", { name: `Cancel the challenge for ${klass.name}` }).click();
            const words = await v.page.getByRole("group", { name: /^Cancel/ }).innerText();
            await v.close();
            return words;
        };
        const shared = await setChallenge(w.staff.pe_lead.client, w.activity, [w.a.id, w.b.id]);
        assert.match(await asked(w.staff.other_teach, shared, w.b), /if nothing comes until then, it goes from the pages of 4 Birch\. You can set it again\. It goes on for 3 Alder\./);
        const alone = await setChallenge(w.staff.teach.client, w.activity, [w.a.id]);
        assert.match(await asked(w.staff.teach, alone, w.a), /if nothing comes until then, the challenge is deleted\./);
    });

    await t.test("a family is told of it where something came", async () => {
        must(await w.staff.teach.client.put(`/api/v1/challenges/${both.id}`, { cancelled: true }), 200);
        const v = await visitor(browser, school.url, SIZES.small);
        await v.page.goto("/c");
        await v.page.locator("#main input").first().fill(w.codes.carer);
        await v.page.getByRole("button", { name: "Open the page" }).click();
        await v.page.locator("h1", { hasText: w.pupil.display_name }).waitFor();
        await v.page.getByText("cancelled later; what was sent is kept").first().waitFor();
        await look(v, "mend family small");
        await v.close();
    });

    await t.test("a colleague's activity: a plain sentence, and a copy of one's own", async () => {
        for (const [size, box] of Object.entries(SIZES)) {
            const v = await visitor(browser, school.url, box);
            await signIn(v.page, w.staff.other_teach);
            const told = "Made by Tamsin. Only Tamsin and the PE lead can archive it or change its band boundaries. A copy is yours.";
            await v.page.goto("/staff/activities");
            const card = v.page.locator("article", { hasText: told });
            await card.waitFor();
            assert.equal(await card.getByRole("button", { name: "Archive" }).count(), 0);
            await look(v, `mend activities ${size}`);
            await v.page.goto(`/staff/lines?activity=${w.activity.id}`);
            await v.page.getByText(told).waitFor();
            assert.equal(await v.page.getByRole("button", { name: "Save the lines" }).count(), 0);
            await look(v, `mend lines ${size}`);
            await v.page.goto(`/staff/activity?id=${w.activity.id}`);
            await v.page.getByText(told).waitFor();
            await look(v, `mend activity ${size}`);
            await v.page.getByRole("link", { name: "Make a copy" }).click();
            await v.page.getByRole("heading", { name: "Copy of Mat slide" }).waitFor();
            await v.close();
        }
        const v = await visitor(browser, school.url, SIZES.large);
        await signIn(v.page, w.staff.teach);
        await v.page.goto("/staff/activities");
        await v.page.locator("article", { hasText: "Mat slide" }).getByRole("button", { name: "Archive" }).waitFor();
        await v.close();
    });
});
