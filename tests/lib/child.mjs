/* SPDX-License-Identifier: MIT
 * A child at a browser, for the tests: from the card to "Send my tries". */

import assert from "node:assert/strict";

export const title = (page, words) => page.locator("h1", { hasText: words }).waitFor();
export const press = (page, name) => page.getByRole("button", { name, exact: true }).first().click();
export const sees = (page, words) => page.locator("#main").getByText(words).first().waitFor();

/* What waits goes at the button, or has gone by itself before the button was reached: either way
 * `done`, words of the page, is there in the end. */
export async function sendAgain(page, done) {
    const button = page.getByRole("button", { name: "Send again", exact: true });
    const end = page.locator("#main").getByText(done);
    for (const late = Date.now() + 30000; Date.now() < late; ) {
        await end.or(button).first().waitFor();
        if (await end.count()) {
            return;
        }
        await button.click({ timeout: 2000 }).catch(() => null);
        await page.waitForTimeout(50);
    }
    await end.first().waitFor();
}

/* The worker is in charge and has its copies. It is asked for with all that lies behind the card. */
export async function shellKept(page) {
    if (await page.locator("#card").count()) {
        await page.locator(".pad-key").first().click();
        await page.locator(".pad-back").click();
    }
    await page.evaluate(async () => {
        await navigator.serviceWorker.ready;
        while (!navigator.serviceWorker.controller) {
            await new Promise((next) => setTimeout(next, 50));
        }
    });
}

export async function typeCard(page, code) {
    await page.locator("#card").waitFor();
    await page.locator("#card").fill("");
    await page.locator("#card").pressSequentially(code);
    await press(page, "Go");
}

/* Card, "Are you ...?", yes; whatever comes then. */
export async function comeIn(page, code) {
    await typeCard(page, code);
    await title(page, /^Are you/);
    await press(page, "Yes");
}

/* With no connection: the letters, the picture, whose challenges. `which`: a challenge on the tile. */
export async function comeInOffline(page, card, which = null) {
    await typeCard(page, card.code);
    await title(page, "Which picture");
    await page.locator(".picture-tile").nth(card.picture).click();
    await title(page, "Are these your challenges?");
    const tiles = page.locator(".tile");
    await (which ? tiles.filter({ hasText: which }) : tiles).first().click();
    await title(page, "Today");
}

async function oneStep(page, value) {
    const has = (at) => page.locator(at).count();
    const button = (name) => page.getByRole("button", { name, exact: true });
    if (await has(".try-tabs")) {
        if (await has("[data-key=yes]")) {
            await page.locator("[data-key=yes]").click();
        } else {
            await page.locator("[data-key=value]").fill(String(value));
            await page.locator("[data-key=next]").click();
        }
    } else if (await button("Skip the warm-up").count()) {
        await press(page, "Skip the warm-up");
    } else if (await button("Start my tries").count()) {
        await press(page, "Start my tries");
    } else if (await button("I am ready").count()) {
        for (const tick of await page.locator(".choice").all()) {
            await tick.click();
        }
        await press(page, "I am ready");
    } else if (await page.locator("h1", { hasText: "How will you do it?" }).count()) {
        await page.locator(".tile").first().click();
    } else if (await button("Next").count()) {
        await page.locator(".choice").first().click();
        await press(page, "Next");
    }
}

/* From Today to the screen that sends; every try is `value`. */
export async function makeTries(page, value, name) {
    await title(page, "Today");
    await page.locator(".tile", { hasText: name }).first().click();
    for (let i = 0; i < 100; i += 1) {
        if (await page.getByRole("button", { name: "Send my tries", exact: true }).count()) {
            return;
        }
        await oneStep(page, value);
        await page.waitForTimeout(50);
    }
    assert.fail(`never came to sending: ${await page.locator("#main").textContent()}`);
}

/* All that this browser keeps of this site, as one text. */
export function keptText(page) {
    return page.evaluate(async () => {
        const db = await new Promise((done) => {
            const r = indexedDB.open("thrice");
            r.onsuccess = () => done(r.result);
        });
        const get = (r) => new Promise((done) => { r.onsuccess = () => done(r.result); });
        const box = db.transaction("kept").objectStore("kept");
        const [names, values] = [await get(box.getAllKeys()), await get(box.getAll())];
        db.close();
        return JSON.stringify([names, values, { ...localStorage }, { ...sessionStorage }]);
    });
}
