/* SPDX-License-Identifier: MIT
 * What every page and every state of it is held to: axe-core in the colours of the page and in forced
 * colours; nothing sideways at 320 px and at 400 % zoom, and nothing that stands still over most of
 * that; nothing moving where less motion is asked for; on the child's pages targets of 48 px and a
 * contrast of 7:1; and all of them, as script has made them, valid by the Nu HTML checker, in one run
 * of it. */

import assert from "node:assert/strict";
import { execFile } from "node:child_process";
import { mkdtempSync, rmSync, writeFileSync } from "node:fs";
import { createRequire } from "node:module";
import { tmpdir } from "node:os";
import { join } from "node:path";
import { accessible, fits } from "./browser.mjs";

/* WCAG 2.2, 1.4.10 Reflow: 400 % of a window of 1280 x 1024 leaves 320 x 256. */
export const NARROW = { width: 320, height: 640 };
const ZOOMED = { width: 320, height: 256 };
const TARGET_PX = 48;

/* Runs in the page: what stands still over more than a third of the window, and what moves. */
function restless() {
    const found = [];
    for (const e of document.querySelectorAll("body *")) {
        const { position } = getComputedStyle(e);
        if ((position === "fixed" || position === "sticky") && e.getBoundingClientRect().height > window.innerHeight / 3) {
            found.push(`${e.className || e.tagName} stands over ${Math.round(e.getBoundingClientRect().height)} px`);
        }
    }
    const moves = document.getAnimations().filter((a) => a.effect && a.effect.getComputedTiming().duration > 10);
    if (matchMedia("(prefers-reduced-motion: reduce)").matches && (moves.length || getComputedStyle(document.documentElement).scrollBehavior === "smooth")) {
        found.push(`${moves.length} things move`);
    }
    return found;
}

/* Runs in the page: keys, boxes and links that are too small for a small hand. A link in a line of
 * words is as high as the line (WCAG 2.2, 2.5.8, "inline"). */
function small(px) {
    const all = "button, select, summary, input:not([type=radio]):not([type=checkbox]):not([type=hidden]), label.choice, a.button, .link > a";
    return Array.from(document.querySelectorAll(all)).map((e) => [e, e.getBoundingClientRect()])
        .filter(([, box]) => box.width > 0 && (box.width < px - 0.5 || box.height < px - 0.5))
        .map(([e, box]) => `${e.tagName.toLowerCase()} "${e.textContent.trim().slice(0, 30)}" ${box.width.toFixed(1)} x ${box.height.toFixed(1)}`);
}

/* Runs in the page, with forced colours: axe asks for -webkit-text-fill-color before color. Chromium
 * paints both forced and tells only the second so; no style here sets the first. */
function paintedColour() {
    const told = CSSStyleDeclaration.prototype.getPropertyValue;
    CSSStyleDeclaration.prototype.getPropertyValue = function (name) {
        return told.call(this, name === "-webkit-text-fill-color" && matchMedia("(forced-colors: active)").matches ? "color" : name);
    };
}

export class Gates {
    constructor() {
        this.documents = []; /* {name, html} */
        this.found = [];
    }

    document(name, html) {
        this.documents.push({ name, html });
    }

    /* `v` as visitor() gives it, its window NARROW before and after. What is wrong is collected, and
     * pass() fails with all of it. options.child: 48 px, 7:1. */
    async look(v, name, options = {}) {
        const { page } = v;
        const trouble = v.trouble.splice(0);     /* before any wait: the caller has just forgiven what a cut connection says */
        this.document(name, await page.content());
        const hold = async (check) => {
            try {
                await check();
            } catch (error) {
                /* not every Node adds what differs to a message of one's own */
                this.found.push(error.message + (Array.isArray(error.actual) ? "\n" + error.actual.join("\n") : ""));
            }
        };
        await hold(() => assert.deepEqual(trouble, [], `trouble on ${name}`));
        await hold(() => accessible(page, name, options.child));
        await hold(() => fits(page, name));
        if (options.child) {
            const tight = await page.evaluate(small, TARGET_PX);
            await hold(() => assert.deepEqual(tight, [], `targets on ${name}`));
        }
        if (process.env.THRICE_SHOTS) {
            await page.screenshot({ path: `${process.env.THRICE_SHOTS}/state-${name.replace(/[^a-z0-9]+/gi, "-")}.png`, fullPage: true });
        }
        /* dark letters and light ones by turns */
        await page.emulateMedia({ forcedColors: "active", colorScheme: this.documents.length % 2 ? "light" : "dark" });
        await page.evaluate(paintedColour);
        await hold(() => accessible(page, `${name}, forced colours`));
        await page.emulateMedia({ forcedColors: null, colorScheme: null });
        await page.setViewportSize(ZOOMED);
        await hold(() => fits(page, `${name} at 400 %`));
        const moving = await page.evaluate(restless);
        await hold(() => assert.deepEqual(moving, [], `${name} at 400 %`));
        await page.setViewportSize(NARROW);
    }

    pass() {
        const found = this.found.splice(0);
        if (found.length) {
            assert.fail(found.join("\n"));
        }
    }

    /* The complaints of the checker about all of them: ["name:line: what"]. Only errors. */
    async invalid() {
        const dir = mkdtempSync(join(tmpdir(), "thrice-html-"));
        try {
            const files = this.documents.map(({ html }, i) => {
                const file = join(dir, `${i}.html`);
                writeFileSync(file, html);
                return file;
            });
            const jar = String(createRequire(import.meta.url)("vnu-jar"));
            const out = await new Promise((done, fail) => {
                execFile("java", ["-Xss1m", "-jar", jar, "--errors-only", "--exit-zero-always", "--format", "json", "--stdout", ...files],
                    { maxBuffer: 1 << 26 }, (error, stdout, stderr) => (error ? fail(new Error(stderr || String(error))) : done(stdout)));
            });
            return JSON.parse(out).messages.filter((m) => m.type !== "info").map((m) => {
                const doc = this.documents[Number(/(\d+)\.html$/.exec(m.url)?.[1])];
                return `${doc ? doc.name : m.url}:${m.lastLine}: ${m.message} ${(m.extract || "").replace(/\s+/g, " ")}`;
            });
        } finally {
            rmSync(dir, { recursive: true, force: true });
        }
    }
}
