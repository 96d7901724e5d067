/* SPDX-License-Identifier: MIT
 * Every staff page at 200 per cent of a window of 1280 x 800 (WCAG 2.2, 1.4.4: what zoom leaves is 640 x 400), its help
 * open: axe-core, nothing sideways, nothing in the console. A page without an address here fails. The school is
 * the invented demo school. */

import test from "node:test";
import assert from "node:assert/strict";
import { readdirSync } from "node:fs";
import { startDemo } from "../lib/server.mjs";
import { launch, visitor, look } from "../lib/browser.mjs";
import { signedIn } from "../lib/client.mjs";
import { must } from "../lib/world.mjs";

test("every staff page at 200 per cent", async (t) => {
    const [school, browser] = [await startDemo(), await launch()];
    t.after(() => Promise.all([school.stop(), browser.close()]));
    const account = { name: school.demo.staff[0].name, passphrase: school.demo.staff[0].passphrase };
    const api = await signedIn(school.url, account);
    const klass = must(await api.get("/api/v1/home"), 200).classes.find((c) => c.kind === "class" && c.open);
    const [challenge] = must(await api.get(`/api/v1/challenges?state=all&class=${klass.id}`), 200).challenges;
    const [pupil] = must(await api.get(`/api/v1/classes/${klass.id}/pupils`), 200).pupils;
    const of = `class=${klass.id}`;
    const [set, unit] = [`?id=${challenge.id}&${of}`, `?unit=${challenge.unit.id}&${of}`];
    const pages = { index: "", account: "account", activities: "activities", activity: `activity?id=${challenge.activity.id}`, assess: "assess" + unit, board: `board?id=${klass.id}`, cards: `cards?${of}`,
        catchup: "catchup" + set, challenge: "challenge" + set, changes: "changes", check: "check", class: `class?id=${klass.id}`, counts: "counts", hall: "hall" + set, library: "library", lines: `lines?activity=${challenge.activity.id}&${of}`,
        list: `list?${of}`, messages: "messages", next: "next" + unit, paper: "paper" + set, pupil: `pupil?id=${pupil.id}&${of}`, reports: "reports" + unit, school: "school", second: "second" + unit, seen: "seen" + unit,
        set: "set", sheets: "sheets" + set, starts: "starts" + set, statements: `statements?${of}`, term: "term", units: "units", words: "words", year: "year" };
    const v = await visitor(browser, school.url, { width: 640, height: 400 });
    const { page } = v;
    await page.goto("/staff");
    await page.getByLabel("Your name").fill(account.name);
    await page.getByLabel("Passphrase").fill(account.passphrase);
    await page.getByRole("button", { name: "Sign in" }).click();
    await page.getByRole("heading", { name: "Classes" }).waitFor();
    for (const file of readdirSync("web/staff").filter((f) => f.endsWith(".html"))) {
        const name = file.replace(".html", "");
        await t.test(name, async () => {
            assert.ok(name in pages, "it has an address here");
            await page.goto("/staff" + (pages[name] ? "/" + pages[name] : ""));
            await page.waitForFunction(() => !document.body.textContent.includes("This page needs a browser with JavaScript modules"));
            if (name !== "words") { /* it only explains */
                await page.getByText("What this page is for").click();
            }
            await page.waitForTimeout(150);
            await look(v, `zoom ${name}`);
        });
    }
});
