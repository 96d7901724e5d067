/* SPDX-License-Identifier: MIT
 * Reports in a browser: what is offered comes from what was decided and seen and never from how often a home
 * sent; kept as typed; one line a child on A4; the class; done. School and names are invented. */

import test from "node:test";
import assert from "node:assert/strict";
import { startSchool } from "../lib/server.mjs";
import { launch, visitor, look, sides, SIZES, tabTo } from "../lib/browser.mjs";
import { signedIn, uuid7 } from "../lib/client.mjs";
import { makeActivity, makeClass, setChallenge, must } from "../lib/world.mjs";

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
        must(await first.put(`/api/v1/units/${unit}/assessments/${p.id}`, { band: 1, reason: "seen_in_lessons" }), 200);
        must(await first.post(`/api/v1/units/${unit}/seen`, { marks: [{ pupil: p.id, cue: activity.cues[0].id, seen: true }, { pupil: p.id, cue: activity.cues[2].id, seen: false }] }), 204);
    }
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
    const offered = (name) => v.page.locator("article", { hasText: name }).first().locator("p").textContent();
    return { school, first, v, page: v.page, rows, offered, unit };
}

for (const [size, box] of Object.entries(SIZES)) {
    test(`reports, ${size}`, async (t) => {
        const s = await scene(t, box);
        const { page, v } = s;
        await look(v, `reports ${size}`);
        const [a, b] = [await s.offered("Ailbe"), await s.offered("Bracken")];
        assert.equal(a.replace(/Ailbe/g, "X"), b.replace(/Bracken/g, "X"), "how often a home sent makes no difference");
        assert.match(a, /^Offered: Ailbe’s teacher assessment in .+ is “.+”\. In lessons Ailbe showed “Eyes on the mat”\. A next step for Ailbe is “Soft knees”\.$/);
        assert.match(await s.offered("Corrin"), /^Offered: In lessons Corrin showed “Smooth swing”\.$/, "no band that was not decided");
        assert.match(await s.offered("Dunstan"), /^Nothing has been decided or seen/);
        assert.doesNotMatch(await page.locator("#body").textContent(), /hand-in|\bsent [0-9]/);

        await tabTo(page, /Use what is offered for Ailbe/);
        await page.keyboard.press("Enter");
        await page.getByText("Kept", { exact: true }).waitFor();
        await page.keyboard.press("End");
        await page.keyboard.type(" Well done.");
        await page.waitForTimeout(700);
        await page.getByText("Kept", { exact: true }).waitFor();
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
        await look(v, `reports evening ${size}`);
        assert.ok(sides(await page.pdf({ format: "A4" })) <= 2, "28 children on at most two sides of A4");
        await page.getByLabel("the class").check();
        await page.getByRole("heading", { name: "Teacher assessments" }).waitFor();
        const cells = await page.locator("table").first().locator("td").allTextContents();
        assert.deepEqual(cells, ["0", "2", "0", "26"]);
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
