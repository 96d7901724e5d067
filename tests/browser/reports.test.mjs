/* SPDX-License-Identifier: MIT
 * Reports in a browser: what is offered comes from what was decided, shared and seen and never from how often a home
 * sent; kept as typed, sealed on the device until the server has it; one line a child on A4; the class; done. School
 * and names are invented. */

import test from "node:test";
import assert from "node:assert/strict";
import { readFileSync } from "node:fs";
import { parse } from "csv-parse/sync";
import { startSchool } from "../lib/server.mjs";
import { launch, visitor, look, sides, SIZES, tabTo } from "../lib/browser.mjs";
import { signedIn, uuid7 } from "../lib/client.mjs";
import { makeActivity, makeClass, makeStaff, setChallenge, must } from "../lib/world.mjs";

const NAMES = Array.from({ length: 28 }, (_, i) => (i < 4 ? ["Ailbe", "Bracken", "Corrin", "Dunstan"][i] : "Pupil" + "ABCDEFGH"[i % 8] + "abcdefgh"[Math.floor(i / 8)]));

async function scene(t, box) {
    const [school, browser] = [await startSchool(), await launch()];
    t.after(() => Promise.all([school.stop(), browser.close()]));
    const first = await signedIn(school.url, school.account);
    await first.get("/api/v1/session");
    const klass = await makeClass({ first }, "3 Alder", NAMES);
    const activity = await makeActivity(first, "zones");
    const challenge = await setChallenge(first, activity, [klass.id]);
    const unit = challenge.unit.id;
    const [ailbe, bracken, corrin] = ["Ailbe", "Bracken", "Corrin"].map((n) => klass.pupils.find((p) => p.display_name === n));
    for (const p of [ailbe, bracken]) {
        must(await first.put(`/api/v1/units/${unit}/assessments/${p.id}`, { band: 1, reason: "seen_in_lessons", shared: true }), 200);
        must(await first.post(`/api/v1/units/${unit}/seen`, { marks: [{ pupil: p.id, cue: activity.cues[0].id, seen: true }, { pupil: p.id, cue: activity.cues[2].id, seen: false }] }), 204);
    }
    must(await first.put(`/api/v1/units/${unit}/assessments/${corrin.id}`, { band: 2, reason: "seen_in_lessons" }), 200); /* not shared */
    must(await first.post(`/api/v1/units/${unit}/seen`, { pupil: corrin.id, cue: activity.cues[1].id, seen: true }), 204);
    for (let i = 0; i < 4; i += 1) { /* one home sends four times, the other never */
        must(await first.post(`/api/v1/challenges/${challenge.id}/hand-ins`, { id: uuid7(), pupil: ailbe.id, channel: "paper", confirmed: true, attempts: [{ value: 4 + i, distance_mm: 3000 }].filter((a) => activity.attainable.includes(a.value)).concat({ value: 9, distance_mm: 3000 }) }), 201);
    }
    const v = await visitor(browser, school.url, box, { permissions: ["clipboard-read", "clipboard-write"] });
    const path = `/staff/reports?unit=${unit}&class=${klass.id}`;
    await v.page.goto("/staff?next=" + encodeURIComponent(path));
    await v.page.getByLabel("Your name").fill(school.account.name);
    await v.page.getByLabel("Passphrase").fill(school.account.passphrase);
    await v.page.getByRole("button", { name: "Sign in" }).click();
    await v.page.locator("article").first().waitFor();
    const rows = async () => must(await first.get(`/api/v1/units/${unit}/reports?class=${klass.id}`), 200).rows;
    const offered = (name) => v.page.locator("article", { hasText: name }).first().locator("p").first().textContent();
    return { school, browser, first, v, page: v.page, rows, offered, unit, klass, path };
}

for (const [size, box] of Object.entries(SIZES)) {
    test(`reports, ${size}`, async (t) => {
        const s = await scene(t, box);
        const { page, v } = s;
        await look(v, `reports ${size}`);
        const [a, b] = [await s.offered("Ailbe"), await s.offered("Bracken")];
        assert.equal(a.replace(/Ailbe/g, "X"), b.replace(/Bracken/g, "X"), "how often a home sent makes no difference");
        assert.match(a, /^Offered: Ailbe’s teacher assessment in .+ is “.+”\. In lessons Ailbe showed “Eyes on the mat”\. A next step for Ailbe is “Soft knees”\.$/);
        assert.match(await s.offered("Corrin"), /^Offered: In lessons Corrin showed “Smooth swing”\.$/, "no band that was not shared");
        const hidden = must(await s.first.get(`/api/v1/units/${s.unit}/reports?class=${s.klass.id}`), 200).band_words[2];
        assert.equal(await page.locator(".not-shared").allTextContents().then((t) => t.join()), "Teacher assessment: not shared yet, so it is not offered.");
        assert.ok(!(await page.content()).includes(hidden), "what was not shared is nowhere on the page");
        assert.match(await s.offered("Dunstan"), /^Nothing has been decided or seen/);
        assert.doesNotMatch(await page.locator("#body").textContent(), /hand-in|\bsent [0-9]/);

        await tabTo(page, /Use what is offered for Ailbe/);
        await page.keyboard.press("Enter");
        await page.getByText("Saved", { exact: true }).waitFor();
        await page.keyboard.press("End");
        await page.keyboard.type(" Well done.");
        await page.waitForTimeout(700);
        await page.getByText("Saved", { exact: true }).waitFor();
        const saved = (await s.rows()).find((r) => r.display_name === "Ailbe").text;
        assert.equal(saved, a.replace("Offered: ", "") + " Well done.");
        await page.reload();
        await page.locator("article").first().waitFor();
        assert.equal(await page.getByLabel("Ailbe", { exact: true }).inputValue(), saved);
        await page.getByRole("button", { name: "Copy all" }).click();
        await page.waitForTimeout(100);
        assert.equal(await page.evaluate(() => navigator.clipboard.readText()), "Ailbe\t" + saved);

        await page.getByLabel("one line a child").check();
        await page.locator(".evening").waitFor();
        assert.equal(await page.locator(".evening tbody tr").count(), 28);
        assert.deepEqual(await page.locator(".evening tbody tr", { hasText: "Corrin" }).locator("td").allTextContents(), ["not shared yet", "Smooth swing", ""]);
        assert.ok(!(await page.content()).includes(hidden));
        await look(v, `reports evening ${size}`);
        assert.ok(sides(await page.pdf({ format: "A4" })) <= 2, "28 children on at most two sides of A4");
        await page.getByLabel("the class").check();
        await page.getByRole("heading", { name: "Teacher assessments" }).waitFor();
        const cells = await page.locator("table").first().locator("td").allTextContents();
        assert.deepEqual(cells, ["0", "2", "0", "1", "25"], "the fourth: not shared yet");
        await look(v, `reports class ${size}`);

        await page.getByLabel("report sheets").check();
        await page.locator(".report-sheet").waitFor();
        assert.equal(await page.locator(".report-text").textContent(), saved);
        await look(v, `reports sheets ${size}`);
        const sheets = await page.pdf({ format: "A4" });
        assert.equal(sides(sheets), 1, "one child, one side");
        await page.getByLabel("sentences").check();
        await page.getByRole("button", { name: "The reports are done" }).click();
        await look(v, `reports sure ${size}`);
        await page.getByRole("button", { name: "Yes, delete them" }).click();
        await page.getByText("1 draft was deleted.").waitFor();
        assert.ok((await s.rows()).every((r) => r.text === ""));
        assert.deepEqual(v.trouble, []);
    });
}

const box_of = (page, name) => page.getByLabel(name, { exact: true });
const draft = (page, name) => page.locator("article", { hasText: name }).first();
const saysOf = (page, name) => draft(page, name).locator("[aria-live]");
const textOf = async (s, name) => (await s.rows()).find((r) => r.display_name === name).text;

async function until(works, what) {
    for (let i = 0; i < 100; i += 1) {
        if (await works()) {
            return;
        }
        await new Promise((done) => setTimeout(done, 60));
    }
    throw new Error(`never: ${what}`);
}

/* Everything that a stranger finds on the device: every database and both storages, as text. */
async function onDevice(page) {
    return page.evaluate(async () => {
        const found = [JSON.stringify(Object.entries(localStorage)), JSON.stringify(Object.entries(sessionStorage))];
        let records = 0;
        for (const { name } of await indexedDB.databases()) {
            const base = await new Promise((done) => { indexedDB.open(name).onsuccess = (e) => done(e.target.result); });
            for (const store of base.objectStoreNames) {
                for (const r of await new Promise((done) => { base.transaction(store).objectStore(store).getAll().onsuccess = (e) => done(e.target.result); })) {
                    records += name === "thrice-kept" ? 1 : 0;
                    found.push(...Object.values(r).map((x) => (x instanceof ArrayBuffer || ArrayBuffer.isView(x) ? new TextDecoder("latin1").decode(x) : JSON.stringify(x))));
                }
            }
            base.close();
        }
        return { records, text: found.join("\n") };
    });
}

async function signInHere(page, name, passphrase) {
    const box = page.locator("dialog.again");
    await box.getByLabel("Your name").fill(name);
    await box.getByLabel("Passphrase").fill(passphrase);
    await box.getByRole("button", { name: "Sign in" }).click();
}

/* Ends at the server every session of the first account but that of the test's own client. */
async function endSessions(s) {
    const list = must(await s.first.get("/api/v1/me/sessions"), 200).sessions;
    for (const one of list.filter((x) => !x.this_one)) {
        must(await s.first.del(`/api/v1/me/sessions/${one.id}`), 204);
    }
}

test("lines, long texts and odd signs are kept; nothing typed is thrown away", async (t) => {
    const s = await scene(t, SIZES.large);
    const { page, v } = s;
    await box_of(page, "Ailbe").focus();
    await page.keyboard.type("Swings well.");
    await page.keyboard.press("Enter");
    await page.keyboard.press("Enter");
    await page.keyboard.type("Next: soft knees.");
    await saysOf(page, "Ailbe").getByText("Saved", { exact: true }).waitFor();
    assert.equal(await textOf(s, "Ailbe"), "Swings well.\n\nNext: soft knees.");
    const odd = "A\tb\u0001c\u202ed\u0000e\ud83d " + "x".repeat(400);
    await box_of(page, "Bracken").evaluate((e, text) => { e.value = text; e.dispatchEvent(new Event("input")); }, odd);
    await saysOf(page, "Bracken").getByText("Saved, without the characters we can't accept").waitFor();
    assert.equal(await textOf(s, "Bracken"), "A bcde " + "x".repeat(400));
    assert.equal(await box_of(page, "Bracken").inputValue(), "A bcde " + "x".repeat(400), "the box shows what is kept");

    await page.getByRole("button", { name: "Use what is offered for Ailbe" }).click();
    await saysOf(page, "Ailbe").getByText("Saved", { exact: true }).waitFor();
    await box_of(page, "Ailbe").focus();
    await page.keyboard.press("Control+End");
    await page.keyboard.type(" Mine.");
    await page.getByRole("button", { name: "Use what is offered for Ailbe" }).click();
    await until(async () => (await textOf(s, "Ailbe")).endsWith(" Mine."), "a second press throws nothing away");

    await page.getByRole("button", { name: "Copy all" }).click();
    await until(async () => (await page.evaluate(() => navigator.clipboard.readText())).startsWith("Ailbe\t\"Swings well.\n\nNext"), "a text of several lines is one cell");
    await box_of(page, "Corrin").fill("Typed just now,\nin two lines.");
    const [file] = await Promise.all([page.waitForEvent("download"), page.getByRole("link", { name: "Save as CSV" }).click()]);
    const lines = parse(readFileSync(await file.path()), { columns: true });
    assert.deepEqual(lines.filter((r) => r.pupil === "Corrin").map((r) => r.report), ["Typed just now,\nin two lines."], "the file has what was just typed");
    await page.route("**/reports/*", (r) => r.abort());
    await box_of(page, "Corrin").fill("Not there.");
    await page.getByRole("link", { name: "Save as CSV" }).click();
    await page.getByText("The file would lack what is not saved yet: look at Corrin first.").waitFor();
    await page.unroute("**/reports/*");
    await until(async () => (await textOf(s, "Corrin")) === "Not there.", "it tries again by itself");
    v.trouble.length = 0; /* of the request that the test broke off */
    await page.getByLabel("report sheets").check();
    assert.equal(await page.locator(".report-text").first().evaluate((e) => getComputedStyle(e).whiteSpace), "pre-line");
    assert.ok((await page.locator(".report-text").first().innerText()).startsWith("Swings well.\n\nNext: soft knees."), "and shown so on its sheet");
    await look(v, "reports sheets with lines");
});

for (const [size, box] of Object.entries(SIZES)) {
    test(`a session that ends loses nothing, ${size}`, async (t) => {
        const s = await scene(t, box);
        const { page, v } = s;
        await box_of(page, "Ailbe").fill("Saved before.");
        await saysOf(page, "Ailbe").getByText("Saved", { exact: true }).waitFor();
        await until(async () => (await onDevice(page)).records === 0, "what the server has is not on the device");
        await endSessions(s);
        await box_of(page, "Ailbe").fill("Typed after the end.");
        await box_of(page, "Bracken").fill("Velvet walrus.");
        await page.getByRole("heading", { name: "Sign in again" }).waitFor();
        assert.equal(await page.locator("#main").isVisible(), false, "whoever stands here now sees nothing");
        await until(async () => (await onDevice(page)).records === 2, "both are on the device");
        const kept = await onDevice(page);
        assert.doesNotMatch(kept.text, /walrus|Typed after|Bracken|Ailbe/, "and cannot be read there");
        assert.match((await s.first.get("/privacy")).text, /What staff type for a report is kept encrypted on the device/, "and families are told");
        await look(v, `reports signed out ${size}`);
        assert.equal(await page.locator("dialog.again").getByLabel("Your name").inputValue(), s.school.account.name);
        assert.equal(await page.evaluate(() => document.activeElement.name), "passphrase");
        await page.keyboard.press("Escape");
        await page.keyboard.press("Escape");
        await until(() => page.locator("dialog.again").isVisible(), "it stays");
        await signInHere(page, s.school.account.name, "not the passphrase at all");
        await page.getByText("That name and passphrase do not go together.").waitFor();
        await look(v, `reports signed out wrong ${size}`);
        await signInHere(page, s.school.account.name, s.school.account.passphrase);
        await until(async () => (await textOf(s, "Ailbe")) === "Typed after the end." && (await textOf(s, "Bracken")) === "Velvet walrus.", "saves go on");
        assert.equal(await page.locator("#main").isVisible(), true);
        await saysOf(page, "Bracken").getByText("Saved", { exact: true }).waitFor();
        await until(async () => (await onDevice(page)).records === 0, "and nothing stays on the device");
        assert.deepEqual(v.trouble, []);
    });
}

test("a code is asked for on the page where the account needs one", async (t) => {
    const s = await scene(t, SIZES.large);
    const { page } = s;
    let body = null;
    await endSessions(s);
    await box_of(page, "Ailbe").fill("Typed.");
    await page.getByRole("heading", { name: "Sign in again" }).waitFor();
    await page.route("**/api/v1/session", (r) => {
        body = r.request().postDataJSON();
        return body.one_time_code ? r.continue({ postData: JSON.stringify({ name: body.name, passphrase: body.passphrase }) })
            : r.fulfill({ status: 422, contentType: "application/problem+json", body: JSON.stringify({ type: "/problems/bad-input", title: "", status: 422, errors: [{ pointer: "/one_time_code", code: "required" }] }) });
    });
    assert.equal(await page.getByLabel("One-time code").isVisible(), false);
    await signInHere(page, s.school.account.name, s.school.account.passphrase);
    await page.getByLabel("One-time code").fill("123456");
    await page.locator("dialog.again").getByRole("button", { name: "Sign in" }).click();
    await until(async () => (await textOf(s, "Ailbe")) === "Typed.", "it goes on");
    assert.equal(body.one_time_code, "123456");
});

test("another person never sees what was typed; its writer gets it back", async (t) => {
    const s = await scene(t, SIZES.small);
    const { page, v } = s;
    const other = await makeStaff({ url: s.school.url, first: s.first }, "Osric", [], [{ class: s.klass.id, right: "teach" }]);
    await page.route("**/reports/*", (r) => r.abort());
    await box_of(page, "Bracken").fill("Velvet walrus.");
    await saysOf(page, "Bracken").getByText("Not saved yet: no answer from the server. It tries again by itself. It is kept on this device.").waitFor();
    await until(async () => (await onDevice(page)).records === 1, "kept");
    v.trouble.length = 0; /* of the requests that the test broke off */
    await look(v, "reports not saved small");
    await endSessions(s);
    await page.unroute("**/reports/*");
    await page.getByRole("heading", { name: "Sign in again" }).waitFor();
    v.trouble.length = 0;
    await signInHere(page, other.name, other.passphrase);
    await page.locator("nav", { hasText: "Osric" }).waitFor();
    await box_of(page, "Bracken").waitFor();
    assert.equal(await page.locator("dialog.again").count(), 0);
    assert.doesNotMatch(await page.content(), /walrus/);
    assert.equal(await box_of(page, "Bracken").inputValue(), "");
    assert.equal(await textOf(s, "Bracken"), "");
    await page.goto("/staff");
    await page.getByRole("heading", { name: "Classes" }).waitFor();
    assert.doesNotMatch(await page.content(), /not saved yet|walrus/);
    await page.getByRole("button", { name: "Sign out" }).click();
    await page.getByRole("heading", { name: "Sign in" }).waitFor();
    const left = await onDevice(page);
    assert.equal(left.records, 1);
    assert.doesNotMatch(left.text, /walrus/);

    await page.getByLabel("Your name").fill(s.school.account.name);
    await page.getByLabel("Passphrase").fill(s.school.account.passphrase);
    await page.getByRole("button", { name: "Sign in" }).click();
    await page.getByText("What you typed is kept on this device and not saved yet.").waitFor();
    await look(v, "home kept text small");
    await page.getByRole("link", { name: "1 text" }).click();
    await page.getByText("What you typed for Bracken had not reached the server. It was kept on this device and is back in its box.").waitFor();
    assert.equal(await box_of(page, "Bracken").inputValue(), "Velvet walrus.");
    await until(async () => (await textOf(s, "Bracken")) === "Velvet walrus.", "and goes on by itself");
    await until(async () => (await onDevice(page)).records === 0, "then it is gone from the device");
    await look(v, "reports offered back small");
});

for (const [size, box] of Object.entries(SIZES)) {
    test(`the second of two writers sees both, ${size}`, async (t) => {
        const s = await scene(t, box);
        const { page, v } = s;
        const other = await makeStaff({ url: s.school.url, first: s.first }, "Osric", [], [{ class: s.klass.id, right: "teach" }]);
        const theirs = async (name, text) => {
            const row = (await s.rows()).find((r) => r.display_name === name);
            must(await other.client.put(`/api/v1/units/${s.unit}/reports/${row.pupil}`, { text, version: row.version }), 200);
        };
        for (const name of ["Ailbe", "Bracken", "Corrin"]) {
            await theirs(name, `Osric about ${name}.`);
            await box_of(page, name).fill(`First account about ${name}.`);
            await draft(page, name).getByText(`Osric about ${name}.`).waitFor();
            assert.equal(await textOf(s, name), `Osric about ${name}.`, "nothing is written over");
            assert.equal(await box_of(page, name).inputValue(), `First account about ${name}.`, "one's own is still there");
            await draft(page, name).getByText(/^Osric wrote this meanwhile \(/).waitFor();
        }
        await look(v, `reports two ${size}`);
        await page.getByRole("button", { name: "Keep mine for Ailbe" }).click();
        await page.getByRole("button", { name: "Take theirs for Bracken" }).click();
        await tabTo(page, /Put mine below theirs for Corrin/);
        await page.keyboard.press("Enter");
        await until(async () => (await textOf(s, "Ailbe")) === "First account about Ailbe.", "mine");
        await until(async () => (await textOf(s, "Corrin")) === "Osric about Corrin.\nFirst account about Corrin.", "both");
        assert.equal(await textOf(s, "Bracken"), "Osric about Bracken.");
        assert.equal(await box_of(page, "Bracken").inputValue(), "Osric about Bracken.");
        await until(async () => (await onDevice(page)).records === 0, "nothing waits");
        await theirs("Ailbe", "");
        await box_of(page, "Ailbe").fill("And more.");
        await draft(page, "Ailbe").getByText("Somebody has taken the text away meanwhile.").waitFor();
        await page.getByRole("button", { name: "Keep mine for Ailbe" }).click();
        await until(async () => (await textOf(s, "Ailbe")) === "And more.", "kept against nothing");
        assert.deepEqual(v.trouble, []);
    });
}

test("an answer that is lost is no other writer; a text of another device waits for a choice", async (t) => {
    const s = await scene(t, SIZES.large);
    const { page, v } = s;
    let lost = 0;
    await page.route("**/reports/*", async (r) => {
        if (lost) {
            return r.continue();
        }
        lost += 1;
        await r.fetch();
        return r.abort();
    });
    await box_of(page, "Ailbe").fill("One.");
    await until(() => lost === 1, "sent, and no answer");
    await box_of(page, "Ailbe").fill("One, two.");
    await until(async () => (await textOf(s, "Ailbe")) === "One, two.", "it goes on over one's own");
    assert.equal(await page.locator(".draft-two").count(), 0);

    await page.unroute("**/reports/*");
    await page.route("**/reports/*", (r) => r.abort());
    await box_of(page, "Bracken").fill("Typed here.");
    await until(async () => (await onDevice(page)).records === 1, "kept");
    page.on("dialog", (d) => d.accept());
    await page.goto("/staff");
    const row = (await s.rows()).find((r) => r.display_name === "Bracken");
    must(await s.first.put(`/api/v1/units/${s.unit}/reports/${row.pupil}`, { text: "Typed elsewhere.", version: row.version }), 200);
    await page.unroute("**/reports/*");
    await page.goto(s.path);
    await page.getByText("For Bracken another text is there by now: choose below.").waitFor();
    await draft(page, "Bracken").getByText(/^You, on another page or device wrote this meanwhile/).waitFor();
    assert.equal(await textOf(s, "Bracken"), "Typed elsewhere.");
    await page.getByRole("button", { name: "Keep mine for Bracken" }).click();
    await until(async () => (await textOf(s, "Bracken")) === "Typed here.", "chosen");
    assert.deepEqual(v.trouble.filter((x) => !/ERR_FAILED/.test(x)), []);
});

test("signing out sends what waits, and ends the other pages", async (t) => {
    const s = await scene(t, SIZES.large);
    const { page, v } = s;
    const beside = await v.context.newPage();
    await beside.goto(s.path);
    await box_of(beside, "Corrin").waitFor();
    await box_of(page, "Ailbe").fill("The very last thing.");
    await page.getByRole("button", { name: "Sign out" }).click();
    await page.getByRole("heading", { name: "Sign in" }).waitFor();
    assert.equal(await textOf(s, "Ailbe"), "The very last thing.");
    await beside.getByRole("heading", { name: "Sign in again" }).waitFor();
    assert.equal(await beside.locator("#main").isVisible(), false);
    assert.equal((await onDevice(page)).records, 0);
});

test("reports that could not be deleted are written on", async (t) => {
    const s = await scene(t, SIZES.large);
    const { page } = s;
    await page.route("**/reports/done*", (r) => r.abort());
    await page.getByRole("button", { name: "The reports are done" }).click();
    await page.getByRole("button", { name: "Yes, delete them" }).click();
    await page.locator("#problem").waitFor();
    await box_of(page, "Ailbe").fill("Not done after all.");
    await until(async () => (await textOf(s, "Ailbe")) === "Not done after all.", "it is saved as before");

    await page.unroute("**/reports/done*");
    const other = await makeStaff({ url: s.school.url, first: s.first }, "Osric", [], [{ class: s.klass.id, right: "teach" }]);
    const corrin = (await s.rows()).find((r) => r.display_name === "Corrin").pupil;
    must(await other.client.put(`/api/v1/units/${s.unit}/reports/${corrin}`, { text: "Osric about Corrin." }), 200);
    await page.getByRole("button", { name: "Yes, delete them" }).click();
    await page.getByText(/^Nothing is deleted: the text about Corrin was changed since/).waitFor();
    assert.equal(await textOf(s, "Corrin"), "Osric about Corrin.", "nobody deletes what they have not seen");
    await page.reload();
    await page.getByRole("button", { name: "The reports are done" }).click();
    await page.getByRole("button", { name: "Yes, delete them" }).click();
    await page.getByText("2 drafts were deleted.").waitFor();
});

test("where the disk is full, no text is called kept", async (t) => {
    const s = await scene(t, SIZES.large);
    const { page } = s;
    await page.evaluate(() => {
        window.IDBObjectStore.prototype.put = () => { throw new DOMException("full", "QuotaExceededError"); };
    });
    let on = 0;
    await page.route("**/reports/*", () => { on += 1; }); /* on its way, and no answer */
    await box_of(page, "Ailbe").evaluate((e) => {
        for (const text of ["T", "Ty"]) { /* two keys in one breath */
            e.value = text;
            e.dispatchEvent(new Event("input"));
        }
    });
    await until(() => on === 1, "sent");
    const asked = new Promise((done) => page.once("dialog", (d) => d.dismiss().then(() => done(d.type()))));
    page.goto("/staff").catch(() => null);
    assert.equal(await Promise.race([asked, new Promise((done) => setTimeout(() => done("left"), 5000))]), "beforeunload");
});

test("what was typed about a child who has left the class since is not locked away", async (t) => {
    const s = await scene(t, SIZES.small);
    const { page, v } = s;
    page.on("dialog", (d) => d.accept());
    await page.route("**/reports/*", (r) => r.abort());
    await box_of(page, "Bracken").fill("Velvet walrus.");
    await saysOf(page, "Bracken").getByText("It is kept on this device.").waitFor();
    const { pupil } = (await s.rows()).find((r) => r.display_name === "Bracken");
    await page.goto("/staff");
    must(await s.first.put(`/api/v1/pupils/${pupil}`, { left: true }), 200);
    await page.getByRole("link", { name: "1 text" }).click();
    await page.getByText("The child is no longer in this class, so it has no box here").waitFor();
    v.trouble.length = 0; /* of the requests that the test broke off */
    await look(v, "reports boxless small");
    await page.getByRole("button", { name: "Copy this text" }).click();
    await until(async () => (await page.evaluate(() => navigator.clipboard.readText())) === "Velvet walrus.", "copied");
    await page.getByRole("button", { name: "Delete it from this device" }).click();
    await until(async () => (await onDevice(page)).records === 0, "gone");
    assert.equal(await page.getByText("Velvet walrus.").count(), 0);
});

test("a browser without dialogs signs in on the page for it, and loses nothing", async (t) => {
    const s = await scene(t, SIZES.small);
    const { page } = s;
    await page.evaluate(() => { delete window.HTMLDialogElement.prototype.showModal; });
    await endSessions(s);
    await box_of(page, "Ailbe").fill("Typed after the end.");
    await page.getByRole("heading", { name: "Sign in" }).waitFor();
    await page.getByLabel("Your name").fill(s.school.account.name);
    await page.getByLabel("Passphrase").fill(s.school.account.passphrase);
    await page.getByRole("button", { name: "Sign in" }).click();
    await until(async () => (await textOf(s, "Ailbe")) === "Typed after the end.", "back in its box, and on its way");
});
