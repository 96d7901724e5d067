/* SPDX-License-Identifier: MIT
 * In the hall: a class of thirty with no connection for the whole hour, an answer that is lost, somebody
 * else at the tablet, the end of the hour, three pads on a telephone. School and names are invented. */

import test from "node:test";
import assert from "node:assert/strict";
import { startBehindRelay } from "../lib/cut.mjs";
import { launch, visitor, look, SIZES, tabTo } from "../lib/browser.mjs";
import { signedIn } from "../lib/client.mjs";
import { makeClass, makeActivity, makeStaff, setChallenge, must, day } from "../lib/world.mjs";

const CUES = ["Eyes on the mat", "Soft knees", "Smooth swing", "Hand stops at the mat"].map((text) => ({ text }));
const NAMES = Array.from({ length: 30 }, (_, i) => "Pupil" + "ABCDEFGHIJ"[Math.floor(i / 10)] + "abcdefghij"[i % 10]);
const TABLET = { width: 1024, height: 768 };

async function signIn(page, account, path) {
    await page.goto("/staff?next=" + encodeURIComponent(path));
    await page.getByLabel("Your name").fill(account.name);
    await page.getByLabel("Passphrase").fill(account.passphrase);
    await page.getByRole("button", { name: "Sign in" }).click();
    await page.waitForURL("**" + path);
}

async function scene(t, { names = NAMES, size = TABLET, kind = "zones", changes = { cues: CUES } } = {}) {
    const [school, browser] = [await startBehindRelay(), await launch()];
    t.after(() => Promise.all([school.stop(), browser.close()]));
    school.relay.sending = /^POST \/api\/v1\/(challenges\/\d+\/hand-ins|units\/\d+\/seen) HTTP/;
    const first = await signedIn(school.url, school.account);
    await first.get("/api/v1/session");
    const klass = await makeClass({ first }, "3 Alder", names);
    const activity = await makeActivity(first, kind, changes);
    const challenge = await setChallenge(first, activity, [klass.id]);
    const v = await visitor(browser, school.url, size);
    const rows = async () => must(await first.get(`/api/v1/challenges/${challenge.id}/results?class=${klass.id}`), 200).rows;
    const grid = async () => must(await first.get(`/api/v1/units/${challenge.unit.id}/seen?class=${klass.id}`), 200);
    return { school, browser, first, klass, activity, challenge, v, page: v.page, rows, grid, relay: school.relay, path: `/staff/hall?id=${challenge.id}&class=${klass.id}` };
}

const open = (page, name) => page.locator(".hall-names button", { hasText: name }).click();
const start = async (s) => {
    await signIn(s.page, s.school.account, s.path);
    await s.page.getByRole("button", { name: "Start the hour" }).click();
    await s.page.getByText("Ready without Wi-Fi.").waitFor();
};
const sent = (page) => page.getByText("Everything is sent.").waitFor({ timeout: 60000 });
const kept = (page) => page.evaluate(() => new Promise((done) => {
    const asked = indexedDB.open("thrice-hall");
    asked.onsuccess = () => {
        const over = asked.result.transaction(["hour", "item"]);
        const [hour, item] = ["hour", "item"].map((n) => over.objectStore(n).getAll());
        over.oncomplete = () => {
            asked.result.close();
            done({ hours: hour.result, items: item.result });
        };
    };
}));

async function tries(page, values) {
    for (const [i, value] of values.entries()) {
        await page.locator("#hall-try-" + i).fill(String(value));
    }
}
const point = (page, i) => page.locator(".hall-point").nth(i);

test("thirty children, three tries and four points each, no connection for the whole hour", async (t) => {
    const s = await scene(t);
    const { page, v } = s;
    await start(s);
    await look(v, "hall tablet list");
    s.relay.set("cut");
    const can = s.activity.attainable;
    const expected = new Map();
    for (const [i, name] of NAMES.entries()) {
        if (i === 12) { /* the page is loaded again with nobody there */
            await page.reload();
            await page.getByText("Ready without Wi-Fi.").waitFor();
        }
        await open(page, name);
        const made = [0, 1, 2].map((k) => can[(i + 3 * k) % can.length]);
        await tries(page, made);
        const said = [0, 1, 2, 3].map((k) => (i + k) % 3 !== 0);
        for (const [k, yes] of said.entries()) {
            await point(page, k).click();
            if (!yes) {
                await point(page, k).click();
            }
        }
        expected.set(name, { made, said });
    }
    v.trouble.splice(0, v.trouble.length, ...v.trouble.filter((x) => !/ERR_/.test(x))); /* the cut itself */
    await look(v, "hall tablet child");
    await open(page, NAMES[0]); /* the last child's tries are on their way too */
    await page.getByText(/kept on this tablet and not sent yet/).waitFor();
    s.relay.set("open");
    await page.getByRole("button", { name: "Try now" }).click();
    await sent(page);
    const grid = await s.grid();
    const cues = s.activity.cues.map((c) => c.id);
    for (const r of await s.rows()) {
        const { made, said } = expected.get(r.pupil.display_name);
        assert.deepEqual(r.hand_ins.map((h) => [h.channel, h.done_on, h.attempts.map((a) => a.value)]), [["staff", day(0), made]], r.pupil.display_name);
        const row = grid.rows.find((x) => x.pupil.id === r.pupil.id);
        assert.deepEqual(cues.map((c) => row.seen[c]), said, r.pupil.display_name);
    }
    assert.deepEqual((await kept(page)).items, []);
    assert.deepEqual(v.trouble.filter((x) => !/ERR_/.test(x)), []);
});

test("an answer that is lost: stored once; a change of mind while it is under way", async (t) => {
    const s = await scene(t, { names: ["Ondi", "Perrin"] });
    const { page } = s;
    await start(s);
    s.relay.set("after");
    await open(page, "Ondi");
    await tries(page, [9, 12, 15].map((v) => s.activity.attainable.find((a) => a >= v)));
    await point(page, 0).click();
    await open(page, "Perrin");
    while (s.relay.seen < 2) {
        await page.waitForTimeout(50);
    }
    await open(page, "Ondi");
    await point(page, 0).click(); /* seen becomes not seen within a moment */
    s.relay.set("open");
    await page.waitForTimeout(100);
    await page.getByRole("button", { name: "Try now" }).click().catch(() => undefined);
    await sent(page);
    const [ondi] = await s.rows();
    assert.equal(ondi.hand_ins.length, 1);
    assert.equal((await s.grid()).rows[0].seen[s.activity.cues[0].id], false);
    await page.getByText(/Tries sent: /).waitFor();
});

test("the hour ends: names gone, begun tries go as they stand, nobody else sends them", async (t) => {
    const s = await scene(t, { names: ["Ondi", "Perrin"] });
    const { page, v } = s;
    const other = await makeStaff({ first: s.first, url: s.school.url }, "Ilse", [], [{ class: s.klass.id, right: "help" }]);
    await page.clock.install();
    await start(s);
    await open(page, "Ondi");
    await page.locator("#hall-try-0").fill(String(s.activity.attainable[2]));
    await page.waitForTimeout(100);
    s.relay.set("cut");
    await point(page, 1).click();
    await page.clock.fastForward(61 * 60000);
    await page.getByText("The hour is over.").waitFor();
    await page.clock.runFor(1000);
    const left = await kept(page);
    assert.deepEqual(left.hours, []);
    assert.equal(JSON.stringify(left).includes("Ondi"), false, "no name is left");
    assert.ok(left.items.some((i) => i.type === "tries" && i.ready));
    s.relay.set("open");
    await s.v.context.clearCookies();
    v.trouble.splice(0, v.trouble.length, ...v.trouble.filter((x) => !/ERR_/.test(x)));
    await look(v, "hall over");
    await signIn(page, other, "/staff/hall");
    await page.getByText("Choose the class").waitFor();
    await page.clock.runFor(40000);
    assert.ok((await s.rows()).every((r) => !r.hand_ins.length), "not in another's session");
    await s.v.context.clearCookies();
    await page.goto("/staff");
    await signIn(page, s.school.account, "/staff");
    await page.getByRole("link", { name: /from the hall not sent yet/ }).click();
    await sent(page);
    assert.deepEqual((await s.rows())[0].hand_ins.map((h) => h.attempts.map((a) => a.value)), [[s.activity.attainable[2]]]);
});

for (const [kind, values, changes] of [["successes", null, {}], ["timed_count", [21, 24, 200], {}], ["measure", ["12.5", "13", "9"], {}]]) {
    test(`on a telephone: ${kind}`, async (t) => {
        const s = await scene(t, { names: ["Ondi", "Perrin", "Quill"], size: SIZES.small, kind, changes });
        const { page, v } = s;
        await signIn(page, s.school.account, s.path);
        await page.getByRole("button", { name: "Start the hour" }).waitFor();
        await look(v, `hall before ${kind}`);
        await tabTo(page, /Start the hour/);
        await page.keyboard.press("Enter");
        await page.locator(".hall-names button").first().waitFor();
        await look(v, `hall names ${kind}`);
        await tabTo(page, /^Perrin/);
        await page.keyboard.press("Enter");
        await page.getByRole("heading", { name: "Perrin" }).waitFor();
        if (values) {
            for (const [i, value] of values.entries()) {
                await page.locator("#hall-try-" + i).fill(String(value));
                const yes = page.locator(".hall-try").nth(i).getByRole("button", { name: "Yes, it is right" });
                if (await yes.count()) {
                    await look(v, `hall surprising ${kind}`);
                    await yes.click();
                }
            }
        } else {
            for (let i = 0; i < s.activity.attempts; i += 1) {
                for (let k = 0; k < s.activity.throws; k += 1) {
                    await page.getByRole("button", { name: new RegExp(`^Try ${i + 1}, ${k % 2 ? "–" : "✓"}`) }).click();
                }
            }
        }
        await look(v, `hall child ${kind}`);
        await page.getByRole("button", { name: "These tries are all" }).click();
        await page.getByText(/^Tries sent: /).waitFor();
        await sent(page);
        const perrin = (await s.rows()).find((r) => r.pupil.display_name === "Perrin");
        assert.equal(perrin.hand_ins.length, 1);
        assert.equal(perrin.hand_ins[0].attempts.length, s.activity.attempts);
        await page.getByRole("button", { name: "Finish the hour" }).click();
        await page.getByText("You have finished the hour.").waitFor();
        assert.deepEqual(await kept(page), { hours: [], items: [] });
        assert.deepEqual(v.trouble, []);
    });
}
