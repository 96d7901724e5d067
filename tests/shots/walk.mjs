/* SPDX-License-Identifier: MIT
 * A child's steps from screen to screen, in any language. */

export async function comeIn(c, code) {
    await c.page.goto("/");
    await c.page.locator("#card").waitFor();
    await c.page.locator("#card").fill("");
    await c.page.locator("#card").pressSequentially(code);
    await c.press("card.go");
    await c.at("who.title");
    await c.press("who.yes");
    await c.at("today.title");
}

export const where = (c) => c.page.evaluate(() => window.history.state && window.history.state.screen);

export async function tickAll(c) {
    for (const tick of await c.page.locator(".choice").all()) {
        await tick.locator("input").setChecked(true);
    }
}

/* One step on, from wherever the child is before the tries. */
export async function step(c) {
    if (await c.button("ready.yes").count()) {
        await tickAll(c);
        await c.press("ready.yes");
        return;
    }
    for (const key of ["sent.again", "sent.start", "warm.skip", "learn.start"]) {
        if (await c.button(key).count()) {
            await c.press(key);
            return;
        }
    }
    if (await where(c) === "version") {
        await c.page.locator(".tile").first().click();
    }
}

/* From Today by a challenge's tile to the screen `to`: version, ready, warm, learn, try. */
export async function toScreen(c, name, to) {
    const there = { version: ".tile-pic", ready: ".choice input", warm: ".warm-board", learn: ".learn-pic", try: ".try-tabs" }[to];
    await c.tile(name).click();
    for (let i = 0; i < 40; i += 1) {
        await c.page.waitForTimeout(60);
        if (await c.page.locator(there).count()) {
            return;
        }
        if (await where(c) !== "today") {
            await step(c);
        }
    }
    throw new Error(`never came to ${to} of ${name}`);
}

export async function home(c) {
    await c.press("today.link");
    await c.at("today.title");
}

/* The page loaded anew, then Today. */
export async function freshHome(c) {
    await c.page.goto("/");
    await c.page.locator(".help-row, .next").first().waitFor();
    if (await where(c) !== "today") {
        await c.press("today.link");
    }
    await c.at("today.title");
}

export async function tap(c, index, times) {
    for (let i = 0; i < times; i += 1) {
        await c.page.locator(`[data-key=zone-${index}]`).click();
    }
}

export async function toSend(c) {
    for (let i = 0; i < 20 && await where(c) !== "send"; i += 1) {
        await c.page.waitForTimeout(120);
        if (["think", "how"].includes(await where(c))) {
            await c.page.locator("[data-key=next]").click();
        }
    }
    await c.at("send.title");
}

export async function sendOn(c) {
    await toSend(c);
    await c.press("send.title");
    await c.at("thanks.title");
}
