/* SPDX-License-Identifier: MIT
 * Two persons agree, in a browser: the office gives a right, the second person is told on top of the page and
 * accepts with the keyboard, the one concerned sees what is closed, and what the command line did is shown to
 * all. The school is invented. */

import test from "node:test";
import assert from "node:assert/strict";
import { execFileSync } from "node:child_process";
import { startSchool, thrice } from "../lib/server.mjs";
import { launch, visitor, look, tabTo, SIZES } from "../lib/browser.mjs";
import { signedIn } from "../lib/client.mjs";
import { makeClass, makeStaff } from "../lib/world.mjs";

async function come(browser, url, box, who, next = "") {
    const v = await visitor(browser, url, box);
    await v.page.goto("/staff" + (next ? "?next=" + encodeURIComponent(next) : ""));
    await v.page.getByLabel("Your name").fill(who.name);
    await v.page.getByLabel("Passphrase").fill(who.passphrase);
    await v.page.getByRole("button", { name: "Sign in" }).click();
    await v.page.locator("#top nav").waitFor();
    return v;
}

for (const [size, box] of Object.entries(SIZES)) {
    test(`two persons, ${size}`, async (t) => {
        const [school, browser] = [await startSchool(), await launch()];
        t.after(() => Promise.all([school.stop(), browser.close()]));
        const w = { url: school.url, first: await signedIn(school.url, school.account) };
        await w.first.get("/api/v1/session");
        const klass = await makeClass(w, "3 Alder", ["Ondi"]);
        const guard = await makeStaff(w, "Sable", ["safeguarding"]);
        const teacher = await makeStaff(w, "Tamsin");

        const office = await come(browser, school.url, box, school.account, "/staff/school");
        await office.page.locator("#shares summary", { hasText: "3 Alder" }).click();
        await office.page.getByRole("button", { name: "Give somebody 3 Alder" }).click();
        await office.page.locator("#shares").getByLabel("Who").selectOption({ label: "Tamsin" });
        await office.page.locator("#shares").getByLabel("May").selectOption("teach");
        await office.page.locator("#shares").getByText("no last day", { exact: true }).click();
        await office.page.locator("#shares").getByRole("button", { name: "Give the right" }).click();
        await office.page.locator("#shares .banner", { hasText: "Children's messages of the class wait for a second person." }).waitFor();
        await office.page.reload();
        await office.page.locator(".staff-member summary", { hasText: "Tamsin" }).first().click();
        await look(office, `two persons school ${size}`);
        await office.page.goto("/staff/changes");
        await office.page.getByText("You asked for this: somebody else has to accept it.").waitFor();
        await look(office, `two persons asked ${size}`);

        const told = await come(browser, school.url, box, teacher);
        await told.page.locator(".banner", { hasText: "gave Tamsin teach on 3 Alder" }).waitFor();
        await look(told, `two persons told ${size}`);
        await told.page.goto("/staff/messages");
        await told.page.getByText("Messages of 3 Alder are closed to you until a second person agrees").waitFor();
        await look(told, `two persons closed ${size}`);

        const second = await come(browser, school.url, box, guard);
        await second.page.locator(".banner", { hasText: "Maren gave Tamsin teach on 3 Alder" }).waitFor();
        await look(second, `two persons banner ${size}`);
        await tabTo(second.page, /^1 change waits/);
        await second.page.keyboard.press("Enter");
        await second.page.getByRole("heading", { name: "Waiting" }).waitFor();
        await look(second, `two persons waiting ${size}`);
        await tabTo(second.page, /^Accept$/);
        await second.page.keyboard.press("Enter");
        await second.page.getByText("Accepted. Tamsin and safeguarding see it for 14 days.").waitFor();
        assert.match(await second.page.evaluate(() => document.activeElement.id), /title/);
        await second.page.getByText("Nothing waits for a second person.").waitFor();
        await second.page.getByRole("button", { name: "Ask to open those from before: Tamsin, 3 Alder" }).click();
        await second.page.getByText("Asked. A second person has seven days to accept it.").waitFor();
        await look(second, `two persons accepted ${size}`);
        await second.page.getByRole("button", { name: "Take back" }).click();
        await second.page.getByText("Taken back.").waitFor();

        await w.first.put(`/api/v1/staff/${teacher.id}`, { rights: ["safeguarding"] });
        execFileSync(thrice, ["staff", "accept", "Tamsin", "--data", school.data], { stdio: "ignore" });
        await makeStaff(w, "Hedda", [], [{ class: klass.id, right: "help" }]).then(async (helper) => {
            const all = await come(browser, school.url, box, helper);
            await all.page.locator(".banner", { hasText: "without a second person: Tamsin may read children's messages of all classes" }).waitFor();
            await look(all, `two persons machine ${size}`);
            /* a disabled account is not let in by it: the words say what was agreed to */
            await w.first.put(`/api/v1/staff/${teacher.id}`, { disabled: true });
            execFileSync(thrice, ["staff", "passphrase", "Tamsin", "--data", school.data], { stdio: "ignore" });
            await all.page.reload();
            await all.page.locator(".banner", { hasText: "without a second person: the account of Tamsin, which got a new passphrase or was let in again, was agreed to" }).waitFor();
            await all.page.goto("/staff/board?id=" + klass.id);     /* for a wall that children look at */
            await all.page.getByText("What this page is for").waitFor();
            assert.equal(await all.page.getByText("Tamsin").count(), 0);
        });
    });
}
