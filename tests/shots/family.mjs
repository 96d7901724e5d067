/* SPDX-License-Identifier: MIT
 * The family's page in the demo school, the form without script, and the pages to read. */

import { execFileSync } from "node:child_process";
import { writeFileSync } from "node:fs";
import { Camera } from "./camera.mjs";

export async function familyShots(c, demo) {
    const { page } = c;
    await page.goto("/c");
    await page.locator("#main input").first().waitFor();
    await c.shot("family-card");
    await page.locator("#main input").first().fill("BCD FGH JKM NPRS");
    await c.press("family.open");
    await page.locator(".banner, .wrong").filter({ hasText: /\S/ }).first().waitFor();
    await c.shot("family-card-unknown");
    const [one, two] = demo.demo.carers;
    await page.locator("#main input").first().fill(one.code);
    await c.press("family.open");
    await page.locator("h1", { hasText: one.pupil }).waitFor();
    await c.shot("family-page");
    for (const fold of await page.locator("details summary").all()) {
        await fold.click();
    }
    await c.shot("family-page-unfolded");
    if (c.size.width === 360) {
        const pdf = `${c.dir}/family-page.pdf`;
        writeFileSync(pdf, await page.pdf({ preferCSSPageSize: true, format: "A4" }));
        execFileSync("pdftoppm", ["-r", "70", "-png", pdf, `${c.dir}/family-page-on-paper`]);
    }
    await c.press("family.another");
    await page.locator("#main input").first().fill(two.code);
    await c.press("family.open");
    await page.locator(".tile").first().waitFor();
    await c.shot("family-choose");
    await page.locator(".tile").nth(1).click();
    await page.locator("h2").first().waitFor();
    await c.shot("family-page-of-two");
    await c.press("screen.finish");
    await c.at("family.finished");
    await c.shot("family-finished");
}

/* With script off; `s` has an open challenge with distances. */
export async function plainShots(browser, c, s) {
    const q = new Camera(c.dir.replace(/\/[^/]*$/, ""), c.lang, c.size.width);
    q.taken = 80;
    await q.open(browser, s.school.url, { javaScriptEnabled: false });
    const plain = { shot: async (name) => q.page.screenshot({ path: `${q.dir}/${(q.taken += 1)}-${name}.png`, fullPage: true }) };
    const { page } = q;
    await page.goto("/");
    await plain.shot("no-script-first-page");
    await page.goto("/quick" + (c.lang === "en" ? "" : `?lang=${c.lang}`));
    await plain.shot("quick");
    await page.fill("#code", s.cards[1].code);
    await page.fill("#challenge", String(s.challenges.zones.number));
    await page.fill("#attempt_1", "9");
    await page.fill("#attempt_2", "19");
    await page.fill("#distance_m", "3");
    await page.locator("form button").first().click();
    await page.locator(".wrongs").waitFor();
    await plain.shot("quick-to-mend");
    await page.fill("#attempt_2", "10");
    await page.locator("form button").first().click();
    await page.waitForURL("**/quick/thanks*");
    await plain.shot("quick-thanks");
    if (c.lang === "en") {
        for (const path of ["privacy", "help"]) {
            await page.goto("/" + path);
            await plain.shot(path);
        }
    }
    await q.close();
}
