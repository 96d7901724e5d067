/* SPDX-License-Identifier: MIT
 * One visitor of one size and language, who finds buttons by their message and keeps pictures of
 * what is seen: DIR/VARIANT/NN-name.png, whole pages. */

import { mkdirSync, readFileSync } from "node:fs";
import { visitor } from "../lib/browser.mjs";

export const HEIGHTS = { 320: 568, 360: 640, 768: 1024, 1280: 800 };
const TAGS = { en: "en-GB", pl: "pl", ur: "ur" };
const tables = {};

function table(code) {
    tables[code] = tables[code] || JSON.parse(readFileSync(new URL(`../../web/msg/${code}.json`, import.meta.url), "utf8"));
    return tables[code];
}

/* A voice of the device, so that listen buttons stand where a child sees them. */
const VOICE = `(() => {
    const speech = new EventTarget();
    const voices = ["en-GB", "pl-PL", "ur-PK"].map((lang) => ({ name: lang, lang, localService: true }));
    Object.assign(speech, { getVoices: () => voices, cancel: () => 0, speak: () => 0 });
    Object.defineProperty(window, "speechSynthesis", { value: speech, configurable: true });
})();`;

const literal = (words) => words.replace(/[.*+?^${}()|[\]\\]/g, "\\$&");

export class Camera {
    constructor(dir, lang, width) {
        this.dir = `${dir}/${lang}-${width}`;
        this.lang = lang;
        this.size = { width, height: HEIGHTS[width] };
        this.taken = 0;
        this.small = new Map();
        mkdirSync(this.dir, { recursive: true });
    }

    async open(browser, url, options = {}) {
        this.v = await visitor(browser, url, this.size, options);
        this.page = this.v.page;
        if (options.javaScriptEnabled !== false) {
            await this.v.context.addInitScript({ content: VOICE });
            await this.v.context.addInitScript({ content: `localStorage.setItem("thrice.lang", "${this.lang}");` });
        }
        return this;
    }

    /* The words of a message that has none to fill in, or one form of it. */
    say(key, n = 5) {
        const words = table(this.lang)[key] || table("en")[key];
        return typeof words === "string" ? words : words[new Intl.PluralRules(TAGS[this.lang]).select(n)] || words.other;
    }

    /* A starter activity's text. */
    own(text) {
        return (table(this.lang).texts || {})[text] || text;
    }

    button(key) {
        const words = this.say(key).split("{")[0].trim();
        return this.page.locator("button, a.button, a.button-second").filter({ hasText: new RegExp("^\\s*" + literal(words)) }).first();
    }

    press(key) {
        return this.button(key).click();
    }

    at(key) {
        const words = this.say(key).split("{").map((w) => w.replace(/^\w+\}/, "").trim()).sort((a, b) => b.length - a.length)[0];
        return this.page.locator("h1", { hasText: words }).first().waitFor();
    }

    tile(words) {
        return this.page.locator(".tile", { hasText: this.own(words) }).first();
    }

    /* Keeps the picture, and notes what is narrower than a finger or hangs over the edge. */
    async shot(name) {
        await this.page.evaluate(() => document.fonts.ready);
        await this.page.waitForTimeout(60);
        this.taken += 1;
        const file = `${String(this.taken).padStart(2, "0")}-${name}`;
        await this.page.screenshot({ path: `${this.dir}/${file}.png`, fullPage: true });
        const found = await this.page.evaluate(() => {
            const notes = [];
            const seen = (e) => e.getClientRects().length && window.getComputedStyle(e).visibility !== "hidden";
            document.querySelectorAll("button, a[href], summary, .choice, input[type=text]").forEach((e) => {
                const box = e.getBoundingClientRect();
                if (seen(e) && !e.closest(".choice button") && (box.width < 47.5 || box.height < 47.5) && !e.classList.contains("skip")) {
                    notes.push(`${Math.round(box.width)} x ${Math.round(box.height)} "${(e.textContent || e.id).trim().slice(0, 30)}"`);
                }
            });
            if (document.documentElement.scrollWidth > window.innerWidth + 1) {
                notes.push(`page is ${document.documentElement.scrollWidth} px wide`);
            }
            document.querySelectorAll("button, .tile, .choice, h1, p, .state, td, th").forEach((e) => {
                if (seen(e) && e.scrollWidth > e.clientWidth + 2 && e.clientWidth > 0) {
                    notes.push(`cut sideways: "${e.textContent.trim().slice(0, 30)}"`);
                }
            });
            return notes;
        });
        found.forEach((note) => this.small.set(note, (this.small.get(note) || []).concat(file)));
    }

    notes() {
        return [...this.small].map(([note, files]) => `${note}  (${files.slice(0, 3).join(", ")}${files.length > 3 ? " ..." : ""})`);
    }

    close() {
        return this.v.close();
    }
}
