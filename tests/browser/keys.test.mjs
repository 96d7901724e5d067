/* SPDX-License-Identifier: MIT
 * The whole way with two keys: Tab goes on, Enter or the space bar presses. So a keyboard gets
 * through without a pointer, and a child with one or two switches. Every kind of try, from the card's
 * letters on the page's own pad to Finish; the place of the focus is always drawn and never lost. The
 * school is invented. */

import test from "node:test";
import assert from "node:assert/strict";
import { startSchool } from "../lib/server.mjs";
import { launch, visitor, tabTo, SIZES } from "../lib/browser.mjs";
import { signedIn } from "../lib/client.mjs";
import { title } from "../lib/child.mjs";
import { ACTIVITIES, makeClass, makeCards, makeActivity, setChallenge, must } from "../lib/world.mjs";

/* The element with the focus: is there one, can it be seen that it is there, is it in the window? */
async function focusShows(page, where) {
    const found = await page.evaluate(() => {
        const e = document.activeElement;
        if (!e || e === document.body) {
            return "lost";
        }
        const near = [e, e.closest("label"), e.nextElementSibling].filter(Boolean).map((n) => getComputedStyle(n));
        const box = (e.closest("label") || e).getBoundingClientRect();
        const drawn = near.some((s) => (s.outlineStyle !== "none" && parseFloat(s.outlineWidth) >= 2) || s.boxShadow !== "none");
        return (drawn ? "" : "not drawn ") + (box.bottom > 0 && box.top < window.innerHeight ? "" : "out of the window");
    });
    assert.equal(found.trim(), "", `the focus, ${where}`);
}

/* Tab until there, then press; afterwards the focus is still somewhere. */
async function press(page, words, key = "Enter") {
    if (await page.evaluate(() => document.activeElement.tagName === "H1")) {
        await page.keyboard.press("Tab"); /* off the heading, where the focus of a new screen is */
    }
    await tabTo(page, words);
    await focusShows(page, String(words));
    await page.keyboard.press(key);
    await page.waitForTimeout(60);
    const lost = await page.evaluate(() => document.activeElement === document.body);
    assert.ok(!lost, `after ${words} the focus is lost`);
}

/* Every box of the screen, one after the other. */
async function tickAll(page) {
    for (let i = await page.locator("input[type=checkbox]").count(); i > 0; i -= 1) {
        do {
            await page.keyboard.press("Tab");
        } while (await page.evaluate(() => document.activeElement.type !== "checkbox"));
        await focusShows(page, "a box to tick");
        await page.keyboard.press("Space");
    }
    assert.equal(await page.locator("input[type=checkbox]:not(:checked)").count(), 0);
}

/* One of a group, the first that the focus comes to. */
async function pick(page) {
    for (let i = 0; i < 60 && await page.evaluate(() => document.activeElement.type !== "radio"); i += 1) {
        await page.keyboard.press("Tab");
    }
    await focusShows(page, "one of a group");
    await page.keyboard.press("Space");
    assert.ok(await page.locator("input[type=radio]:checked").count() >= 1);
}

/* One try of each kind; the first with an Undo where there is one. */
const TRIES = {
    zones: async (page, n) => {
        if (n === 0) {
            await press(page, /^More, or I do not know$/);
        }
        await press(page, /^edge/);
        if (n === 0) {
            await press(page, /^Undo$/);
            await press(page, /^edge/);
        }
        for (let i = 1; i < 4; i += 1) {
            await page.keyboard.press("Enter"); /* the focus stays on the zone */
            await page.waitForTimeout(60);
        }
        assert.equal(await page.locator("[data-key=next]").evaluate((e) => e === document.activeElement), true, "all throws in: on to the next step");
        await page.keyboard.press("Enter");
    },
    successes: async (page, n) => {
        await press(page, /^Yes/);
        if (n === 0) {
            await press(page, /^Undo$/);
            await press(page, /^Yes/);
        }
        for (let i = 1; i < 12; i += 1) {
            await page.keyboard.press("Enter");
            await page.waitForTimeout(60);
        }
        await page.keyboard.press("Enter");
    },
    timed_count: async (page) => {
        await press(page, /^One more/);
        for (let i = 0; i < 3; i += 1) {
            await page.keyboard.press("Enter");
        }
        await press(page, /^(Next try|My tries are in)$/);
    },
    measure: async (page) => {
        await press(page, /^Start/);
        await page.waitForTimeout(700);
        await page.keyboard.press("Enter");
        await press(page, /^(Next try|My tries are in)$/);
    }
};

async function comeIn(page, code) {
    await page.goto("/");
    await page.locator("#card").waitFor();
    for (const letter of code.replace(/ /g, "")) {
        await press(page, new RegExp(`^${letter}$`));
    }
    await press(page, /^Go$/);
    await title(page, /^Are you/);
    await press(page, /^Yes$/);
    await title(page, "Today");
}

async function wholeWay(page, kind) {
    await press(page, new RegExp(ACTIVITIES[kind].name));
    await title(page, "How will you do it?");
    await press(page, /^Standard/);
    await title(page, "Ready?");
    await tickAll(page);
    await press(page, /^I am ready$/);
    await title(page, "Warm up");
    await press(page, /^Start the warm-up$/);
    await page.keyboard.press("Enter"); /* the focus is on Pause */
    await press(page, /^Skip the warm-up$/);
    await title(page, ACTIVITIES[kind].name);
    await press(page, /^Start my tries$/);
    await page.locator(".try-tabs").waitFor();
    for (let n = 0; n < 3; n += 1) {
        await TRIES[kind](page, n);
        await page.waitForTimeout(200);
        if (await page.locator("[data-key=yes]").count()) {
            await page.keyboard.press("Enter"); /* asked whether it is right: the focus is on yes */
            await page.waitForTimeout(200);
        }
    }
    if ((ACTIVITIES[kind].questions || []).length) {
        await title(page, "Think");
        await pick(page);
        await press(page, /^Next$/);
    }
    await title(page, "How was it?");
    await pick(page);
    await press(page, /^Next$/);
    await title(page, "Send my tries");
    await press(page, /^Send my tries$/);
    await title(page, "Thank you");
    await press(page, /^My challenges$/);
    await title(page, "Today");
}

for (const kind of Object.keys(ACTIVITIES)) {
    test(`with Tab, Enter and the space bar alone: ${kind}`, async (t) => {
        const [school, browser] = [await startSchool(), await launch()];
        t.after(() => Promise.all([school.stop(), browser.close()]));
        const first = await signedIn(school.url, school.account);
        await first.get("/api/v1/session");
        const klass = await makeClass({ first }, "3 Alder", ["Ondi"]);
        const [card] = await makeCards({ first }, klass.id, "pupil");
        await setChallenge(first, await makeActivity(first, kind), [klass.id]);
        const v = await visitor(browser, school.url, SIZES.small);
        await comeIn(v.page, card.code);
        await wholeWay(v.page, kind);
        const grid = must(await first.get(`/api/v1/classes/${klass.id}/grid`), 200);
        assert.equal(grid.pupils[0].cells[0].state, "handed_in");
        await press(v.page, /^Something hurt/);
        await v.page.locator(".emergency").waitFor();
        await press(v.page, /^Back$/);
        await title(v.page, "Today");
        await press(v.page, /^Finish$/);
        await title(v.page, "Finish?");
        await press(v.page, /^Yes, finish$/);
        await v.page.locator("#card").waitFor();
        assert.deepEqual(v.trouble, []);
    });
}
