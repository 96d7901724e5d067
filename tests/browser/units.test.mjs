/* SPDX-License-Identifier: MIT
 * Units and lessons by keyboard, saved as a file and brought into another school. Schools are invented. */

import test from "node:test";
import assert from "node:assert/strict";
import { readFileSync } from "node:fs";
import { startSchool } from "../lib/server.mjs";
import { launch, visitor, look, SIZES, tabTo } from "../lib/browser.mjs";
import { signedIn } from "../lib/client.mjs";
import { must } from "../lib/world.mjs";

async function open(t, browser, box) {
    const school = await startSchool();
    t.after(() => school.stop());
    const first = await signedIn(school.url, school.account);
    await first.get("/api/v1/session");
    const v = await visitor(browser, school.url, box, { acceptDownloads: true });
    await v.page.goto("/staff?next=" + encodeURIComponent("/staff/units"));
    await v.page.getByLabel("Your name").fill(school.account.name);
    await v.page.getByLabel("Passphrase").fill(school.account.passphrase);
    await v.page.getByRole("button", { name: "Sign in" }).click();
    await v.page.getByLabel("A new unit").waitFor();
    const units = async () => must(await first.get("/api/v1/units"), 200).units;
    return { first, v, page: v.page, units };
}

for (const [size, box] of Object.entries(SIZES)) {
    test(`units, ${size}`, async (t) => {
        const browser = await launch();
        t.after(() => browser.close());
        const s = await open(t, browser, box);
        const { page, v } = s;
        await look(v, `units none ${size}`);
        await tabTo(page, /A new unit/);
        await page.keyboard.type("Aim and hold");
        await page.keyboard.press("Enter");
        await page.getByRole("heading", { name: "Aim and hold" }).waitFor();
        for (const name of ["First aim", "Hold still"]) {
            await tabTo(page, /A new lesson/);
            await page.keyboard.type(name);
            await page.keyboard.press("Enter");
            await page.locator("strong", { hasText: name }).waitFor();
        }
        await page.getByLabel("Add an activity to First aim").selectOption({ label: "Slide to the mat" });
        await page.getByRole("button", { name: "Take Slide to the mat out of First aim" }).waitFor();
        await page.getByLabel("Add an activity to Hold still").selectOption({ label: "Heron stand" });
        await page.getByRole("button", { name: "Take Heron stand out of Hold still" }).waitFor();
        await page.getByRole("button", { name: "Down, First aim" }).focus();
        await page.keyboard.press("Enter");
        await page.locator("article ol > li").first().getByText("Hold still").waitFor();
        await page.getByText("Name, file, archive").click();
        await look(v, `units one ${size}`);
        assert.deepEqual((await s.units())[0].lessons.map((l) => l.name), ["Hold still", "First aim"]);
        const [download] = await Promise.all([page.waitForEvent("download"), page.getByRole("link", { name: "Save as a file" }).click()]);
        const file = await download.path();
        assert.equal(JSON.parse(readFileSync(file, "utf8")).unit.name, "Aim and hold");

        const other = await open(t, browser, box);
        await other.page.getByLabel("File", { exact: true }).setInputFiles({ name: "unit.json", mimeType: "application/json", buffer: readFileSync(file) });
        await other.page.getByRole("button", { name: "Look at it first" }).click();
        await other.page.getByText("Heron stand (you have it: yours is used)").waitFor();
        assert.equal((await other.units()).length, 0, "looked at only");
        await look(other.v, `units file ${size}`);
        await other.page.getByRole("button", { name: "Bring it in" }).click();
        await other.page.getByRole("heading", { name: "Aim and hold" }).waitFor();
        assert.deepEqual((await other.units())[0].lessons.map((l) => l.name), ["Hold still", "First aim"]);
        await other.page.getByLabel("File", { exact: true }).setInputFiles({ name: "x.json", mimeType: "application/json", buffer: Buffer.from("{\"thrice_unit\":9,\"unit\":{}}") });
        await other.page.getByRole("button", { name: "Look at it first" }).click();
        await other.page.getByText("Something here needs mending").waitFor();
        await look(other.v, `units refused ${size}`);
        await page.getByRole("button", { name: "Archive" }).click();
        await page.getByText("No unit yet.").waitFor();
        assert.deepEqual([...v.trouble, ...other.v.trouble], []);
    });
}
