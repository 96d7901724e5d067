/* SPDX-License-Identifier: MIT
 * 28 sheets of paper typed with the keyboard alone: some throw by throw, one impossible, one blank, one
 * sent online before; a lid closed half-way; a column pasted; undo. School and names are invented. */

import test from "node:test";
import assert from "node:assert/strict";
import { startSchool } from "../lib/server.mjs";
import { launch, visitor, look, SIZES } from "../lib/browser.mjs";
import { signedIn, uuid7 } from "../lib/client.mjs";
import { makeClass, makeCards, makeActivity, makeStaff, setChallenge, must, day } from "../lib/world.mjs";

const LETTERS = "ABCDEFGHIJKLMNOPQRSTUVWXYZ";
const NAMES = Array.from({ length: 28 }, (_, i) => "Pupil" + LETTERS[Math.floor(i / 26)] + LETTERS[i % 26]);

async function signIn(page, account, path) {
    await page.goto("/staff?next=" + encodeURIComponent(path));
    await page.getByLabel("Your name").fill(account.name);
    await page.getByLabel("Passphrase").fill(account.passphrase);
    await page.getByRole("button", { name: "Sign in" }).click();
    await page.locator(".sheet-row").first().waitFor();
}

async function scene(t, size = SIZES.large) {
    const [school, browser] = [await startSchool(), await launch()];
    t.after(() => Promise.all([school.stop(), browser.close()]));
    const first = await signedIn(school.url, school.account);
    await first.get("/api/v1/session");
    const klass = await makeClass({ first }, "3 Alder", NAMES);
    const cards = await makeCards({ first }, klass.id, "pupil");
    const challenge = await setChallenge(first, await makeActivity(first, "zones"), [klass.id]);
    const rows = async () => must(await first.get(`/api/v1/challenges/${challenge.id}/results`), 200).rows;
    const v = await visitor(browser, school.url, size);
    return { school, first, klass, cards, challenge, rows, v, page: v.page, path: `/staff/paper?id=${challenge.id}&class=${klass.id}` };
}

const focused = (page) => page.evaluate(() => document.activeElement.getAttribute("aria-label") || document.activeElement.textContent);

test("28 sheets by keyboard alone in under a minute; the lid closed half-way loses nothing", async (t) => {
    const s = await scene(t);
    const { page, v } = s;
    const child = await signedIn(s.school.url, { card: s.cards.find((c) => c.pupil.display_name === NAMES[5]).code });
    must(await child.post("/api/v1/hand-ins", { id: uuid7(), challenge: s.challenge.id, attempts: [9, 12, 15].map((value) => ({ value, distance_mm: 3000 })) }), 201);
    await signIn(page, s.school.account, s.path);
    await look(v, "a pile of sheets");
    const expected = new Map();
    const type = async (words) => {
        await page.keyboard.type(words);
        await page.keyboard.press("Enter");
    };
    const sheet = async (i, tries) => {
        assert.equal(await focused(page), `${NAMES[i]}, try 1`);
        for (const one of tries) {
            await type(one);
        }
        expected.set(NAMES[i], tries.map((one) => (one.includes(" ") ? one.split(" ").reduce((a, b) => a + Number(b), 0) : Number(one))));
    };
    const before = Date.now();
    for (let i = 0; i < 28; i += 1) {
        if (i === 3) {
            await page.keyboard.press("Enter"); /* a blank sheet */
        } else if (i === 5) {
            await sheet(i, ["5 2 0 2", "7", "9"]);
            await page.getByText("Same sheet, or a second go?").waitFor();
            await look(v, "there already");
            await page.keyboard.press("Tab");
            await page.keyboard.press("Enter"); /* the same sheet: left */
            expected.set(NAMES[i], [9, 12, 15]);
        } else if (i === 7) {
            await type("16"); /* no four throws of 5, 2 and 0 make it */
            await page.locator(".sheet-table").getByText("That cannot be. 15 or 17 can.").waitFor();
            assert.equal(await focused(page), `${NAMES[i]}, try 1`);
            await look(v, "impossible");
            await page.keyboard.press("Control+a");
            await sheet(i, ["17", "12", "4"]);
        } else if (i === 14) {
            await page.keyboard.type("5 2");
            const half = page.url();
            await page.close(); /* the lid, in the middle of a sheet */
            v.page = await v.context.newPage();
            s.page = v.page;
            return finish(half);
        } else {
            await sheet(i, i % 2 ? ["12", "9", "14"] : ["5 2 0 2", "2 2 2 2", "14"]);
        }
    }
    assert.fail("the lid was not closed");

    async function finish(url) {
        const again = v.page;
        await again.goto(url);
        await again.locator(".sheet-row").first().waitFor();
        const label = (i, n) => again.getByLabel(`${NAMES[i]}, try ${n}`, { exact: true });
        assert.equal(await label(14, 1).inputValue(), "5 2");
        const row = (i) => again.locator(".sheet-row").nth(i);
        await row(14).getByText("Typed before, not stored yet.").waitFor();
        if (!/Stored|On paper/.test(await row(13).textContent())) { /* it was on its way */
            await label(13, 3).press("Enter");
        }
        await label(14, 1).focus();
        await again.keyboard.press("End");
        await again.keyboard.type(" 0 2");
        await again.keyboard.press("Enter");
        for (const one of ["9", "12"]) {
            await again.keyboard.type(one);
            await again.keyboard.press("Enter");
        }
        expected.set(NAMES[14], [9, 9, 12]);
        for (let i = 15; i < 28; i += 1) {
            for (const one of i % 2 ? ["12", "9", "14"] : ["5 2 0 2", "2 2 2 2", "14"]) {
                await again.keyboard.type(one);
                await again.keyboard.press("Enter");
            }
            expected.set(NAMES[i], i % 2 ? [12, 9, 14] : [9, 8, 14]);
        }
        await again.getByText(/^1[456] sheets stored here\.$/).waitFor();
        const seconds = (Date.now() - before) / 1000;
        console.log(`# 28 sheets in ${seconds.toFixed(1)} s`);
        assert.ok(seconds < 60, `${seconds} s`);
        const found = new Map((await s.rows()).map((r) => [r.pupil.display_name, r.hand_ins.flatMap((h) => h.attempts.map((a) => a.value))]));
        for (const name of NAMES) {
            assert.deepEqual(found.get(name), expected.get(name) || [], name);
        }
        assert.equal(await again.evaluate(() => Object.keys(localStorage).filter((k) => k.startsWith("thrice-paper")).length), 0, "nothing typed is kept any more");
        await look(v, "all stored");
    }
});

test("a column pasted, a second go, undo, no connection, on a phone", async (t) => {
    const s = await scene(t, SIZES.small);
    const { page, v } = s;
    await signIn(page, s.school.account, s.path);
    const label = (i, n) => page.getByLabel(`${NAMES[i]}, try ${n}`, { exact: true });
    await label(0, 1).focus();
    await page.evaluate((text) => {
        const data = new DataTransfer();
        data.setData("text/plain", text);
        document.activeElement.dispatchEvent(new ClipboardEvent("paste", { clipboardData: data, bubbles: true, cancelable: true }));
    }, "5 2 0 2\t9\r\n12\t16\r\n\r\n7\t14\r\n");
    assert.equal(await label(1, 2).inputValue(), "16");
    await page.getByText(/3 typed and not stored yet/).waitFor();
    await look(v, "pasted");
    await page.getByRole("button", { name: "Store all that is typed" }).click();
    await page.getByText(/2 sheets stored here, 1 typed/).waitFor();
    assert.deepEqual((await s.rows()).slice(0, 4).map((r) => r.hand_ins.flatMap((h) => h.attempts.map((a) => a.value))), [[9, 9], [], [], [7, 14]]);

    await page.getByRole("button", { name: `Undo, ${NAMES[3]}` }).click();
    await page.getByText("Set aside. Change it and store it again").waitFor();
    await label(3, 1).fill("9");
    await label(3, 2).press("Enter");
    await label(3, 3).press("Enter");
    await page.getByText(/2 sheets stored here, 1 typed/).waitFor();
    const fourth = (await s.rows())[3].hand_ins;
    assert.deepEqual(fourth.map((h) => [h.state, h.channel, h.attempts.map((a) => a.value)]), [["set_aside", "paper", [7, 14]], ["counts", "paper", [9, 14]]]);
    assert.equal(fourth[0].marks[0].reason, "mistyped");

    let away = true;
    await v.context.route("**/hand-ins", (route) => (away ? route.abort() : route.continue()));
    await label(6, 1).fill("5 5 5 5");
    await label(6, 3).press("Enter");
    await page.getByText("Not stored yet: no answer. It is tried again.").waitFor();
    away = false;
    await page.getByText(/3 sheets stored here, 1 typed/).waitFor({ timeout: 15000 });
    assert.deepEqual((await s.rows())[6].hand_ins.map((h) => h.attempts.map((a) => a.value)), [[20]]);
});

test("a helper enters sheets without seeing scores; nobody else gets a row", async (t) => {
    const s = await scene(t);
    const child = await signedIn(s.school.url, { card: s.cards[0].code });
    must(await child.post("/api/v1/hand-ins", { id: uuid7(), challenge: s.challenge.id, attempts: [{ value: 15, distance_mm: 3000 }] }), 201);
    const helper = await makeStaff({ url: s.school.url, first: s.first }, "Hedda", [], [{ class: s.klass.id, right: "help", until: day(3) }]);
    await signIn(s.page, helper, s.path);
    const row = s.page.locator(".sheet-row").first();
    assert.match(await row.textContent(), /Sent before/);
    assert.doesNotMatch(await row.textContent(), /15/);
    await s.page.getByLabel(`${NAMES[1]}, try 1`, { exact: true }).fill("12");
    await s.page.getByLabel(`${NAMES[1]}, try 2`, { exact: true }).press("Enter");
    await s.page.getByText(/^1 sheet stored here\.$/).waitFor();
    assert.equal(await s.page.getByRole("button", { name: /^Undo/ }).count(), 0, "setting aside is the teacher's");
    await look(s.v, "a helper's pile");
    const reader = await makeStaff({ url: s.school.url, first: s.first }, "Runa", [], [{ class: s.klass.id, right: "read" }]);
    const other = await visitor(await launch(), s.school.url, SIZES.large);
    t.after(() => other.context.browser().close());
    await other.page.goto("/staff?next=" + encodeURIComponent(s.path));
    await other.page.getByLabel("Your name").fill(reader.name);
    await other.page.getByLabel("Passphrase").fill(reader.passphrase);
    await other.page.getByRole("button", { name: "Sign in" }).click();
    await other.page.getByText("Only those who teach or help").waitFor();
});

test("a sheet from before the challenge opened: the page says so, once and in words", async (t) => {
    const s = await scene(t);
    const says = "The challenge had not opened on that day.";
    await signIn(s.page, s.school.account, s.path);
    await s.page.getByLabel("Done on").fill(day(-5));
    await s.page.getByLabel(`${NAMES[0]}, try 1`, { exact: true }).fill("12");
    await s.page.getByLabel(`${NAMES[0]}, try 2`, { exact: true }).press("Enter");
    await s.page.locator(".sheet-row").first().getByText(says).waitFor();
    await s.page.evaluate(() => localStorage.clear());
    await s.page.goto(`/staff/challenge?id=${s.challenge.id}&class=${s.klass.id}`);
    await s.page.getByLabel("Pupil", { exact: true }).selectOption({ index: 1 });
    await s.page.getByLabel("Try 1", { exact: true }).fill("12");
    await s.page.getByLabel("Done on").fill(day(-5));
    await s.page.getByRole("button", { name: "Store" }).click();
    await s.page.locator("#problem").waitFor();
    assert.equal(await s.page.locator("#problem").innerText(), says);
    await look(s.v, "not open on that day");
});
