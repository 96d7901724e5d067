/* SPDX-License-Identifier: MIT
 * Takes the README's pictures from the demo school: `make pictures`. */

import { writeFileSync } from "node:fs";
import { startDemo } from "./lib/server.mjs";
import { launch, visitor, SIZES } from "./lib/browser.mjs";
import { signedIn } from "./lib/client.mjs";
import { must } from "./lib/world.mjs";

const out = new URL("../deploy/pictures/", import.meta.url);
const [school, browser] = [await startDemo(), await launch()];
try {
    const staff = school.demo.staff[0];
    const teacher = await visitor(browser, school.url, SIZES.large);
    await teacher.page.goto("/staff");
    await teacher.page.getByLabel("Your name").fill(staff.name);
    await teacher.page.getByLabel("Passphrase").fill(staff.passphrase);
    await teacher.page.getByRole("button", { name: "Sign in" }).click();
    await teacher.page.getByRole("heading", { name: "Classes" }).waitFor();
    await teacher.page.goto(`/staff/class?id=${staff.classes[0].id}`);
    await teacher.page.locator(".table .state").first().waitFor();
    writeFileSync(new URL("grid.png", out), await teacher.page.screenshot());

    const child = await visitor(browser, school.url, SIZES.small, { deviceScaleFactor: 2 });
    for (const pupil of school.demo.pupils) {
        const api = await signedIn(school.url, { card: pupil.code });
        const { lines } = must(await api.get("/api/v1/me/bests"), 200);
        await api.del("/api/v1/session");
        if (lines.some((l) => l.best && l.hand_ins.length >= 2)) {
            await child.page.goto("/");
            await child.page.locator("#card").pressSequentially(pupil.code);
            await child.page.getByRole("button", { name: "Go", exact: true }).click();
            await child.page.getByRole("button", { name: "Yes", exact: true }).click();
            await child.page.getByRole("button", { name: "My bests", exact: true }).first().click();
            await child.page.locator("svg.lanes").first().waitFor();
            writeFileSync(new URL("pupil.png", out), await child.page.screenshot());
            break;
        }
    }
} finally {
    await browser.close();
    await school.stop();
}
