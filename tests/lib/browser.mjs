/* SPDX-License-Identifier: MIT
 * Headless Chromium (Debian's) for the browser tests. Every page that is opened is watched: console
 * errors, CSP violations, failed requests and requests to any other origin are collected, and
 * axe-core (WCAG 2.1 A and AA rules and best practices) can be run on it. */

import { chromium } from "playwright-core";
import axe from "axe-core";
import assert from "node:assert/strict";
import { ahead } from "./world.mjs";

export const SIZES = { small: { width: 360, height: 640 }, large: { width: 1280, height: 800 } };

const FLAGS = ["--no-sandbox", "--disable-gpu", "--disable-quic", "--no-first-run", "--disable-background-networking", "--disable-component-update", "--disable-sync", "--disable-dev-shm-usage"];

/* Sides of a PDF: its page objects (ISO 32000-1, 7.7.3.3), which Chromium writes uncompressed. */
export function sides(pdf) {
    return (pdf.toString("latin1").match(/\/Type\s*\/Page\b(?!s)/g) || []).length;
}

/* A moved clock (tests/lib/at.sh) reaches a page through visitor(): under libfaketime Chromium takes half a minute to start. */
export async function launch() {
    const env = { ...process.env };
    delete env.LD_PRELOAD;
    return chromium.launch({ executablePath: process.env.CHROMIUM || "/usr/bin/chromium", headless: true, args: FLAGS, env });
}

/* In a page: Date is so many milliseconds ahead. Not by context.clock, which counts a new document's time from the difference
 * of our clock and Chromium's, and so takes the shift out again; before it, so that a test's own page.clock builds on this. */
function moveDate(ms) {
    const now = Date.now;
    globalThis.Date = new Proxy(Date, {
        construct: (real, given, target) => Reflect.construct(real, given.length ? given : [now() + ms], target),
        apply: (real) => new real(now() + ms).toString(),
        get: (real, name) => (name === "now" ? () => now() + ms : Reflect.get(real, name))
    });
}

/* A fresh context (no cookies) of one size. options: {javaScriptEnabled, ...playwright's}. */
export async function visitor(browser, url, size, options = {}) {
    const context = await browser.newContext({ viewport: size, baseURL: url, locale: "en-GB", timezoneId: "Europe/London", reducedMotion: "reduce", ...options });
    context.setDefaultTimeout(15000);
    const shift = Number(process.env.THRICE_SHIFT_S || 0) * 1000 + ahead();
    if (shift !== 0) {
        await context.addInitScript(moveDate, shift);
    }
    const trouble = [];
    if (options.javaScriptEnabled !== false) {
        await context.addInitScript({ content: axe.source });
        await context.addInitScript({ content: "document.addEventListener('securitypolicyviolation', (e) => console.error('CSP ' + e.violatedDirective + ' ' + e.blockedURI));" });
    }
    const page = await context.newPage();
    page.on("console", (m) => {
        if (m.type() === "error" && !/status of (401|404|409|422)/.test(m.text())) {
            trouble.push(`console: ${m.text()}`);
        }
    });
    page.on("pageerror", (e) => trouble.push(`error: ${e.message}`));
    page.on("request", (r) => {
        if (!r.url().startsWith(url) && !r.url().startsWith("data:") && !r.url().startsWith("blob:")) {
            trouble.push(`request elsewhere: ${r.url()}`);
        }
    });
    return { page, context, trouble, close: () => context.close() };
}

/* Fails with the rules that a page breaks. `enhanced`: contrast of 7:1 too (WCAG 2.2, 1.4.6). */
export async function accessible(page, name, enhanced = false) {
    const found = await page.evaluate(async (seven) => {
        const r = await window.axe.run(document, { runOnly: ["wcag2a", "wcag2aa", "wcag21a", "wcag21aa", "best-practice"], rules: { "color-contrast-enhanced": { enabled: seven } } });
        return r.violations.map((v) => `${v.id}: ${v.nodes.slice(0, 3).map((n) => n.target.join(" ") + " " + n.html.slice(0, 120)).join(" | ")}`);
    }, enhanced);
    assert.deepEqual(found, [], `axe on ${name}`);
}

/* Nothing sticks out sideways: the page itself never scrolls horizontally. */
export async function fits(page, name) {
    const [wide, window_] = await page.evaluate(() => [document.documentElement.scrollWidth, window.innerWidth]);
    assert.ok(wide <= window_ + 1, `${name} is ${wide} px wide in a window of ${window_} px`);
}

/* What every page has to pass; `shots` (THRICE_SHOTS=DIR) keeps a picture to look at. */
export async function look(v, name) {
    await accessible(v.page, name);
    await fits(v.page, name);
    assert.deepEqual(v.trouble, [], `trouble on ${name}`);
    if (process.env.THRICE_SHOTS) {
        await v.page.screenshot({ path: `${process.env.THRICE_SHOTS}/${name.replace(/[^a-z0-9]+/gi, "-")}.png`, fullPage: true });
    }
}

/* Presses Tab until the focus is on something whose words match; the way of a keyboard user. */
export async function tabTo(page, words, most = 80) {
    for (let i = 0; i < most; i += 1) {
        const here = await page.evaluate(() => {
            const e = document.activeElement;
            const label = e && e.labels && e.labels.length ? e.labels[0].textContent : "";
            return e && e !== document.body ? `${e.getAttribute("aria-label") || ""} ${label} ${e.textContent || ""}`.trim() : "";
        });
        if (words.test(here)) {
            return;
        }
        await page.keyboard.press("Tab");
    }
    throw new Error(`the keyboard never reached ${words}`);
}
