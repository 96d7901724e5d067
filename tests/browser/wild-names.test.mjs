/* SPDX-License-Identifier: MIT
 * Children whose names are the worst of the Big List of Naughty Strings (npm, MIT): shown as they are typed
 * on every page that names a child, as text and nothing else. No real child is called so. */

import test from "node:test";
import assert from "node:assert/strict";
import { createRequire } from "node:module";
import { startSchool } from "../lib/server.mjs";
import { launch, visitor, look, SIZES } from "../lib/browser.mjs";
import { signedIn, uuid7 } from "../lib/client.mjs";
import { makeActivity, makeCards, makeStaff, setChallenge, must } from "../lib/world.mjs";

const naughty = createRequire(import.meta.url)("big-list-of-naughty-strings");
const quoted = (s) => "\"" + s.replace(/"/g, "\"\"") + "\"";

async function signIn(page, account) {
    await page.goto("/staff");
    await page.getByLabel("Your name").fill(account.name);
    await page.getByLabel("Passphrase").fill(account.passphrase);
    await page.getByRole("button", { name: "Sign in" }).click();
    await page.getByRole("heading", { name: "Classes" }).waitFor();
}

test("naughty names on every page", async (t) => {
    const [school, browser] = [await startSchool(), await launch()];
    t.after(() => Promise.all([school.stop(), browser.close()]));
    const first = await signedIn(school.url, school.account);
    await first.get("/api/v1/session");
    const klass = must(await first.post("/api/v1/classes", { name: "3 <b>Alder</b>" }), 201).class;
    const csv = "Name\r\n" + naughty.map(quoted).join("\r\n") + "\r\n";
    must(await first.request("POST", `/api/v1/classes/${klass.id}/roster?partial=1`, csv, { type: "text/csv" }), 201);
    const pupils = must(await first.get(`/api/v1/classes/${klass.id}/pupils`), 200).pupils;
    const names = pupils.map((p) => p.display_name);
    assert.ok(names.length >= 190 && names.some((n) => /<script/i.test(n)) && names.some((n) => n.includes("%")), `${names.length} names`);
    const challenge = await setChallenge(first, await makeActivity(first, "zones"), [klass.id]);
    const unit = challenge.unit.id;
    await makeStaff({ first, url: school.url }, "Wenda", [], [{ class: klass.id, right: "read" }]);
    const naughtiest = pupils.find((p) => /<script/i.test(p.display_name));
    must(await first.post(`/api/v1/challenges/${challenge.id}/hand-ins`, { id: uuid7(), pupil: naughtiest.id, channel: "paper", attempts: [{ value: 9, distance_mm: 3000 }] }), 201);
    const [card] = (await makeCards({ first }, klass.id, "pupil")).filter((c) => c.pupil.id === naughtiest.id);
    const [family] = (await makeCards({ first }, klass.id, "family")).filter((c) => c.pupil.id === naughtiest.id);

    const v = await visitor(browser, school.url, SIZES.large);
    const { page } = v;
    await signIn(page, school.account);
    const of = `class=${klass.id}`;
    const pages = [`class?id=${klass.id}`, `list?${of}`, `challenge?id=${challenge.id}`, `paper?id=${challenge.id}&${of}`, `seen?unit=${unit}&${of}`, `statements?${of}`,
        `assess?unit=${unit}&${of}`, `next?unit=${unit}&${of}`, `second?unit=${unit}&${of}`, `hall?id=${challenge.id}&${of}`];
    for (const path of pages) {
        await t.test(`/staff/${path.split("?")[0]}`, async () => {
            await page.goto("/staff/" + path);
            if (path.startsWith("hall")) {
                await page.getByRole("button", { name: "Start the hour" }).click();
            }
            await page.waitForFunction((last) => document.body.textContent.includes(last), names[names.length - 1]);
            const [texts, extra] = await page.evaluate(() => {
                const shown = new Set();
                document.querySelectorAll("body *").forEach((e) => (e.tagName === "INPUT" ? shown.add(e.value) : Array.from(e.childNodes).filter((n) => n.nodeType === 3).forEach((n) => shown.add(n.data))));
                return [Array.from(shown), document.querySelectorAll("body script, body img, body iframe, body svg[onload], [onerror], [onclick], body b, body a[href^='javascript']").length];
            });
            assert.deepEqual(names.filter((n) => !texts.some((text) => text.includes(n))), [], "shown as they are");
            assert.equal(extra, 0, "as text and nothing else");
            assert.deepEqual(v.trouble, []);
        });
    }
    await t.test("one child's page, the child's own and the family's", async () => {
        await page.goto(`/staff/pupil?id=${naughtiest.id}&${of}`);
        await page.getByRole("heading", { name: naughtiest.display_name, exact: false }).waitFor();
        await look(v, "naughty pupil");
        for (const [path, code] of [["/", card.code], ["/c", family.code]]) {
            const other = await visitor(browser, school.url, SIZES.small);
            await other.page.goto(path);
            await other.page.locator("#main form input").first().fill(code);
            await other.page.locator("#main form button[type=submit], #main form .button").first().click();
            await other.page.waitForFunction((name) => document.body.textContent.includes(name), naughtiest.display_name);
            assert.deepEqual(other.trouble, []);
            await other.close();
        }
    });
});
