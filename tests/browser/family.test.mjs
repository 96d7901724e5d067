/* SPDX-License-Identifier: MIT
 * The family's page: opened by card, one child at a time, nothing of anyone else, no clock times, and
 * one side of A4 when printed. The school is the invented demo school. */

import test from "node:test";
import assert from "node:assert/strict";
import { startDemo, startSchool } from "../lib/server.mjs";
import { launch, visitor, look, sides, SIZES } from "../lib/browser.mjs";
import { inSchoolYear } from "../lib/world.mjs";

for (const [size, box] of Object.entries(SIZES)) {
    test(`a family reads its page, ${size}`, async (t) => {
        const [school, browser] = [await startDemo(inSchoolYear(70)), await launch()];
        t.after(() => Promise.all([school.stop(), browser.close()]));
        const v = await visitor(browser, school.url, box);
        const { page } = v;
        await page.goto("/c");
        await page.locator("#main input").first().waitFor();
        await look(v, `family card ${size}`);
        let most = 0;
        for (const carer of school.demo.carers.slice(0, 3)) {
            await page.goto("/c");
            await page.locator("#main input").first().fill(carer.code);
            await page.getByRole("button", { name: "Open the page" }).click();
            await page.locator("h1", { hasText: carer.pupil }).waitFor();
            await look(v, `family page ${carer.pupil} ${size}`);
            const text = await page.locator("#main").textContent();
            assert.doesNotMatch(text, /\b\d{1,2}:\d\d\b/, "a clock time");
            assert.doesNotMatch(text, /fairly sure|leaning|point to/i, "a suggestion");
            const own = new Set(school.demo.carers.map((c) => c.pupil));
            for (const other of school.demo.pupils.filter((p) => !own.has(p.display_name) && p.display_name !== carer.pupil)) {
                assert.ok(!new RegExp(`(^|[^\\p{L}])${other.display_name}([^\\p{L}]|$)`, "u").test(text), `${other.display_name} stands on ${carer.pupil}'s page`);
            }
            const items = () => page.locator("#main .side li").evaluateAll((all) => all.filter((li) => li.getClientRects().length).map((li) => li.textContent));
            const rowsIn = (where) => page.locator(`${where} [aria-label="What was set and sent"] tbody tr`).count();
            const onScreen = await items();
            most = Math.max(most, ...await page.locator("#main .side ul").evaluateAll((all) => all.map((ul) => ul.children.length)));
            await page.emulateMedia({ media: "print" });
            assert.deepEqual(await items(), onScreen, `${carer.pupil}: paper says all of each list`);
            const [rows, shown] = [await rowsIn(".no-print"), await rowsIn(".only-print")];
            assert.equal(await page.getByText(`The page on a screen shows ${rows - shown} more`).count() > 0, rows > shown, "what paper leaves out it says");
            await page.emulateMedia({ media: null });
            const pdf = await page.pdf({ preferCSSPageSize: true, format: "A4" });
            assert.equal(sides(pdf), 1, `${carer.pupil}'s page prints on ${sides(pdf)} sides`);
            await page.getByRole("button", { name: "Finish" }).click();
            await page.locator("h1", { hasText: "Finished" }).waitFor();
            await look(v, `family finished ${size}`);
        }
        assert.ok(most > 3, `a list of ${most}`);
        assert.deepEqual(v.trouble, []);
    });
}

/* Each line's words are put together in the page, so that they can be in any language; in English
 * they are those of the API. */
test("lines are told as the API tells them, and in Polish and Urdu", async (t) => {
    const [school, browser] = [await startDemo(inSchoolYear(70)), await launch()];
    t.after(() => Promise.all([school.stop(), browser.close()]));
    const v = await visitor(browser, school.url, SIZES.small);
    const { page } = v;
    let told;
    page.on("response", async (r) => {
        if (/\/api\/v1\/children\/\d+$/.test(r.url())) {
            told = await r.json();
        }
    });
    await page.goto("/c");
    await page.locator("#main input").first().fill(school.demo.carers[0].code);
    await page.getByRole("button", { name: "Open the page" }).click();
    await page.locator("h1", { hasText: school.demo.carers[0].pupil }).waitFor();
    const text = await page.locator("#main").textContent();
    assert.ok(told.lines.length > 0);
    for (const line of told.lines.filter((l) => l.hand_ins.length)) {
        const words = line.meaning.replace(" Numbers go up and down from try to try, and from day to day.", "");
        assert.ok(text.includes(words), words);
    }
    for (const next of told.next) {
        assert.ok(text.includes(next.words), next.words);
    }
    for (const sentence of [/birth date, address, e-mail, photo/, /copy of what is held/, /takes complaints/, /No other family can/]) {
        assert.match(text, sentence);
    }
    for (const [code, sent] of [["pl", "Wys\u0142ano"], ["ur", "\u0628\u06be\u06cc\u062c\u0627 \u06af\u06cc\u0627"]]) {
        await page.evaluate((c) => localStorage.setItem("thrice.lang", c), code);
        await page.reload();
        await page.locator("h1", { hasText: school.demo.carers[0].pupil }).waitFor();
        const there = await page.locator("#main").textContent();
        assert.ok(there.includes(sent), there.slice(0, 600));
        assert.doesNotMatch(there, /Sent \d+ times|Own best so far|Try for/);
        await look(v, `family page ${code}`);
    }
    assert.deepEqual(v.trouble, []);
});

/* A key is 26 letters for 128 bits (RFC 4648, base32): the last letter has two bits that are 0. */
test("a link that is no card's opens the page for the letters", async (t) => {
    const [school, browser] = [await startSchool(), await launch()];
    t.after(() => Promise.all([school.stop(), browser.close()]));
    for (const key of ["A".repeat(25), "A".repeat(27), "A".repeat(25) + "B"]) {
        for (const [path, letters] of [["/c", "#main input"], ["/", "#card"]]) {
            const v = await visitor(browser, school.url, SIZES.small);
            await v.page.goto(path + "#k=" + key);
            await v.page.locator(letters).first().waitFor();
            assert.equal(new URL(v.page.url()).hash, "");
            assert.doesNotMatch(await v.page.locator("#main").textContent(), /mend|work any more/);
            assert.deepEqual(v.trouble, []);
            await v.context.close();
        }
    }
});
