/* SPDX-License-Identifier: MIT
 * The library: every activity is complete and is taken by a real server as a teacher's own would be; the page by
 * keyboard at both sizes. With the six of a new school there are at least 24, three or more in each strand. */

import test from "node:test";
import assert from "node:assert/strict";
import { startSchool } from "../lib/server.mjs";
import { launch, visitor, look, SIZES, tabTo } from "../lib/browser.mjs";
import { signedIn } from "../lib/client.mjs";
import { must } from "../lib/world.mjs";

const STRANDS = ["target", "striking", "catching", "balance", "travelling", "skipping", "dance"];
const LONGEST = 14; /* words in a sentence; the child's own screens have 12 */

async function open(t, box) {
    const [school, browser] = [await startSchool(), await launch()];
    t.after(() => Promise.all([school.stop(), browser.close()]));
    const first = await signedIn(school.url, school.account);
    await first.get("/api/v1/session");
    const v = await visitor(browser, school.url, box);
    await v.page.goto("/staff?next=" + encodeURIComponent("/staff/library"));
    await v.page.getByLabel("Your name").fill(school.account.name);
    await v.page.getByLabel("Passphrase").fill(school.account.passphrase);
    await v.page.getByRole("button", { name: "Sign in" }).click();
    await v.page.locator("article").first().waitFor();
    return { school, first, v, page: v.page };
}

/* The modules as the server sends them. */
const libraryOf = (page) => page.evaluate(async () => {
    const here = document.querySelector("script[src*='library.js']").src;
    return (await import(here.replace("library.js", "library/all.js"))).LIBRARY;
});

const texts = (x) => (typeof x === "string" ? [x] : Array.isArray(x) ? x.flatMap(texts) : x && typeof x === "object" ? Object.entries(x).filter(([k]) => !["key", "strand", "kind", "unit", "change"].includes(k)).flatMap(([, y]) => texts(y)) : []);

test("every activity is complete, and a server takes it", async (t) => {
    const { first, page } = await open(t, SIZES.large);
    const library = await libraryOf(page);
    const own = must(await first.get("/api/v1/activities"), 200).activities;
    const all = library.concat(own);
    assert.ok(all.length >= 24, `${all.length} with the six of a new school`);
    assert.equal(new Set(library.map((a) => a.key)).size, library.length, "keys");
    assert.equal(new Set(all.map((a) => a.name)).size, all.length, "names");
    STRANDS.forEach((s) => assert.ok(all.filter((a) => a.strand === s).length >= 3, `${s}: ${all.filter((a) => a.strand === s).length}`));
    assert.deepEqual([...new Set(all.map((a) => a.kind))].sort(), ["measure", "successes", "timed_count", "zones"]);
    for (const a of library) {
        await t.test(a.name, async () => {
            assert.match(a.key, /^[a-z]+(-[a-z]+)*$/);
            assert.deepEqual(a.versions.map((v) => v.kind), ["standard", "quiet", "seated", "no_kit"]);
            assert.equal(a.versions[0].band_lines.length, 2);
            assert.ok(a.versions.every((v) => v.how.length >= 30), "each way is told");
            assert.ok(a.cues.length >= 3 && a.cues.length <= 5);
            assert.ok(a.questions.length >= 2 && a.questions.every((q) => q.choices.length === 3 && q.choices.filter((c) => c.right).length === 1 && new Set(q.choices.map((c) => c.text)).size === 3));
            assert.ok(a.safety.length >= 3 && a.safety.some((s) => /Stop if anything hurts/.test(s)));
            assert.ok(a.kit.length >= 1 && a.kit.every((k) => k.item && k.swap && k.item !== k.swap));
            assert.deepEqual(a.steps.map((s) => s.change), ["space", "task", "equipment", "people"]);
            assert.ok(a.steps.every((s) => s.easier && s.harder));
            assert.ok(a.summary && a.set_up && a.scoring);
            for (const text of texts(a)) {
                for (const sentence of text.split(/[.!?:;](?:\s|$)/)) {
                    assert.ok(sentence.trim().split(/\s+/).length <= LONGEST, `“${sentence.trim()}” is long`);
                }
                assert.ok(!/\b(hard as|fast as you can|as hard)\b.*\bthrow/i.test(text), text);
            }
            const draft = { ...a };
            delete draft.key;
            const { activity } = must(await first.post("/api/v1/activities", draft), 201);
            if (a.kind === "zones" || a.kind === "successes") {
                a.versions.flatMap((v) => v.band_lines || []).forEach((line) => assert.ok(activity.attainable.includes(line), `${line} can be made`));
            }
        });
    }
    const right = library.flatMap((a) => a.questions.map((q) => q.choices.findIndex((c) => c.right)));
    assert.ok([0, 1, 2].every((i) => right.filter((r) => r === i).length >= right.length / 6), "the right answer stands in every place");
});

for (const [size, box] of Object.entries(SIZES)) {
    test(`looked at and taken by keyboard, ${size}`, async (t) => {
        const { first, v, page } = await open(t, box);
        const before = must(await first.get("/api/v1/activities"), 200).activities.length;
        await look(v, `library ${size}`);
        await tabTo(page, /Strand/);
        for (let i = 0; i <= STRANDS.indexOf("skipping"); i += 1) {
            await page.keyboard.press("ArrowDown");
        }
        await page.getByText("2 activities.").waitFor();
        await tabTo(page, /With/);
        await page.keyboard.type("rope");
        await page.getByText("Snake rope").waitFor();
        await tabTo(page, /^Look at it whole/);
        await page.keyboard.press("Enter");
        await look(v, `library whole ${size}`);
        await tabTo(page, /^Take it into our activities/);
        await page.keyboard.press("Enter");
        await page.getByText("Taken over.").waitFor();
        assert.equal(must(await first.get("/api/v1/activities"), 200).activities.length, before + 1);
        await page.keyboard.press("Enter"); /* the focus is on Set it */
        await page.waitForURL(/\/staff\/set\?activity=/);
        await page.goto("/staff/library");
        await page.getByText("One of that name is there already.").waitFor();
        await page.getByLabel("With").fill("elephant");
        await page.getByText("None with that.").waitFor();
        assert.deepEqual(v.trouble, []);
    });
}
