/* SPDX-License-Identifier: MIT
 * Pictures of every screen and state that children and families see, to be looked at one by one:
 * `make shots DIR=/tmp/shots`, or only some: `ONLY=ur-360,en-320`. Prints what is smaller than 48 px
 * or cut off. Urdu wants a font of the machine (packages fonts-noto-core or fonts-hosny-amiri). */

import { mkdirSync } from "node:fs";
import { launch } from "../lib/browser.mjs";
import { startDemo } from "../lib/server.mjs";
import { Camera } from "./camera.mjs";
import { childShots } from "./child.mjs";
import { familyShots, plainShots } from "./family.mjs";
import { startShotSchool } from "./school.mjs";

const dir = process.argv[2];
if (!dir) {
    process.stderr.write("usage: shots.mjs DIR\n");
    process.exit(2);
}
const VARIANTS = ["en-360", "en-320", "en-768", "en-1280", "pl-360", "ur-360"];
const wanted = process.env.ONLY ? process.env.ONLY.split(",") : VARIANTS;
mkdirSync(dir, { recursive: true });
const browser = await launch();

async function one(variant) {
    const [lang, width] = variant.split("-");
    const [s, demo] = [await startShotSchool(), await startDemo()];
    const child = await new Camera(dir, lang, Number(width)).open(browser, s.school.url);
    const family = new Camera(dir, lang, Number(width));
    family.taken = 90;
    await family.open(browser, demo.url);
    try {
        await childShots(child, s);
        await plainShots(browser, child, s);
        await familyShots(family, demo);
    } catch (error) {
        await child.page.screenshot({ path: `${child.dir}/zz-stuck.png`, fullPage: true });
        throw error;
    } finally {
        for (const c of [child, family]) {
            c.notes().forEach((note) => process.stdout.write(`${variant}: ${note}\n`));
            await c.close();
        }
        await Promise.all([s.school.stop(), demo.stop()]);
    }
    process.stdout.write(`${variant}: ${child.taken + family.taken - 90} pictures of the pages, ${child.dir}\n`);
}

let failed = 0;
for (const variant of wanted) {
    try {
        await one(variant);
    } catch (error) {
        failed += 1;
        process.stderr.write(`${variant}: ${error.stack}\n`);
    }
}
await browser.close();
process.exit(failed ? 1 : 0);
