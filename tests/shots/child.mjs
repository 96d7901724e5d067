/* SPDX-License-Identifier: MIT
 * Every screen and state of the child's way, one picture each. */

import { signedIn, uuid7 } from "../lib/client.mjs";
import { must, day } from "../lib/world.mjs";
import { offlineScreens, troubleScreens, warmSeated } from "./offline.mjs";
import { STARTERS, turnMessagesOn } from "./school.mjs";
import { comeIn, freshHome, home, sendOn, step, tap, toScreen } from "./walk.mjs";

async function cardScreens(c, s) {
    const { page } = c;
    await page.goto("/");
    await page.locator("#card").waitFor();
    await c.shot("card");
    await page.locator("#card").pressSequentially("BCDF");
    await c.shot("card-four-letters");
    await page.locator("#card").pressSequentially("A");
    await c.shot("card-a-letter-on-no-card");
    await page.locator("#card").fill("");
    await page.locator("#card").pressSequentially("BCDFGHJKM");
    await c.press("card.go");
    await page.locator(".wrong, .banner, .wrongs").filter({ hasText: /\S/ }).first().waitFor();
    await c.shot("card-unknown");
    const key = s.cards[0].key || (s.cards[0].url || "").split("#k=")[1];
    await page.goto("about:blank"); /* from elsewhere, as a scan comes */
    await page.goto(key ? "/#k=" + key : "/#k=ABCDEFGHIJKLMNOPQRSTUVWX234567");
    await page.locator(key ? ".who" : "#card").waitFor();
    await c.shot(key ? "qr-who-are-you" : "qr-old-card");
    if (key) {
        await c.press("who.no");
        await page.locator("#card").waitFor();
    }
    for (const [name, card] of [["none", s.noneCard], ["one", s.oneCard]]) {
        await page.goto("/");
        await page.locator("#card").fill("");
        await page.locator("#card").pressSequentially(card.code);
        await c.press("card.go");
        await c.at("who.title");
        if (name === "none") {
            await c.shot("who-are-you");
        }
        await c.press("who.yes");
        await c.at("today.title");
        await c.shot("today-" + name);
        await c.press("screen.finish");
        await c.at("finish.title");
        if (name === "one") {
            await c.shot("finish");
        }
        await c.press("finish.yes");
        await page.locator("#card").waitFor();
    }
    await c.shot("card-after-finish");
}

async function wayScreens(c) {
    const { page } = c;
    await toScreen(c, STARTERS.zones, "version");
    await c.shot("version");
    await page.locator(".tile").first().click();
    await c.at("ready.title");
    await c.shot("ready");
    await c.press("ready.yes");
    await c.shot("ready-not-all-ticked");
    await step(c);
    await c.at("warm.title");
    await c.shot("warm-up");
    await page.clock.install();
    await c.press("warm.start");
    await c.shot("warm-up-call");
    await page.clock.runFor(3 * 6000 + 50);
    await c.shot("warm-up-rest");
    await c.press("warm.pause");
    await c.shot("warm-up-paused");
    await c.press("warm.go_on");
    for (let i = 0; i < 9; i += 1) {
        await page.clock.runFor(6020);
    }
    await c.shot("warm-up-end");
    await c.press("think.next");
    await c.button("learn.start").waitFor();
    await c.shot("learn-zones");
    await page.locator("details summary").first().click();
    await c.shot("learn-zones-easier-harder");
    await home(c);
}

async function learnScreens(c) {
    const each = { successes: STARTERS.successes, "timed-count": STARTERS.timed_count, measure: STARTERS.measure, strips: "Path slide", rings: "Ring roll", centimetres: "Seated reach" };
    for (const [kind, name] of Object.entries(each)) {
        await toScreen(c, name, "learn");
        await c.shot("learn-" + kind);
        await home(c);
    }
}

async function zonesTry(c) {
    const { page } = c;
    await toScreen(c, STARTERS.zones, "try");
    await c.shot("try-zones-space-question");
    await page.locator(".step-keys button").nth(3).click();
    await c.shot("try-zones");
    await c.press("step.in_steps");
    await page.locator("summary").first().click();
    await c.shot("try-zones-big-steps");
    await c.press("step.in_metres");
    await tap(c, 1, 2);
    await c.shot("try-zones-two-thrown");
    await tap(c, 0, 2);
    await c.shot("try-zones-next-same");
    await page.locator("[data-key=next]").click();
    await tap(c, 2, 4);
    await c.shot("try-zones-next-closer");
    await page.locator("[data-key=next]").click();
    await c.press("try.know_total");
    await c.shot("try-zones-total");
    await page.locator("[data-key=value]").fill("19");
    await c.shot("try-zones-impossible");
    await page.locator("[data-key=value]").fill("10");
    await page.locator("[data-key=next]").click();
    await c.at("think.title");
    await c.shot("think-questions");
    for (const question of await page.locator("fieldset").all()) {
        await question.locator(".choice").first().click();
    }
    await c.press("think.next");
    await c.at("how.title");
    await c.shot("how");
    await page.locator(".face").nth(1).click();
    await page.locator("details summary").first().click();
    await c.shot("how-more");
    await c.press("think.next");
    await c.at("send.title");
    await c.shot("send");
    await c.press("send.title");
    await c.at("thanks.title");
    await c.shot("thanks");
    await c.press("mistake.title");
    await c.at("mistake.title");
    await c.shot("mistake");
    await c.press("mistake.yes");
    await page.locator(".banner").first().waitFor();
    await c.shot("sent-with-mistake");
    await home(c);
}

async function rowsAndRings(c) {
    const { page } = c;
    for (const [name, tile] of [["strips", "Path slide"], ["rings", "Ring roll"]]) {
        await toScreen(c, tile, "try");
        const keys = page.locator(".step-keys button");
        if (await keys.count()) {
            await keys.last().click();
        }
        await tap(c, 0, 1);
        await c.shot("try-" + name);
        await home(c);
    }
    await c.shot("today-going-on");
}

async function hitTry(c) {
    const { page } = c;
    await toScreen(c, STARTERS.successes, "try");
    const keys = page.locator(".step-keys button");
    if (await keys.count()) {
        await keys.last().click();
    }
    await c.shot("try-hit-or-miss");
    for (let t = 0; t < 3; t += 1) {
        for (let i = 0; i < 30 && await page.locator("[data-key=hit-1]").isEnabled(); i += 1) {
            await page.locator(`[data-key=hit-${i % 4 ? 1 : 0}]`).click();
            if (t === 0 && i === 2) {
                await c.shot("try-hit-or-miss-three");
            }
        }
        if (t === 0) {
            await c.shot("try-hit-or-miss-done");
            await page.reload();
            await page.locator(".try-tabs").waitFor();
            await c.shot("try-hit-or-miss-after-reload");
        }
        await page.locator("[data-key=next]").click();
    }
    await sendOn(c);
    await c.shot("thanks-hit-or-miss");
    await home(c);
}

async function countTry(c) {
    const { page } = c;
    await toScreen(c, STARTERS.timed_count, "try");
    await c.shot("try-count");
    await c.press("try.start_watch");
    await page.waitForTimeout(1500);
    await c.shot("try-count-watch-running");
    await page.locator("[data-key=watch]").click();
    await c.shot("try-count-watch-stopped");
    await c.press("pad.helper");
    await page.locator("[data-key=plus]").click();
    await c.shot("try-count-helper");
    await c.press("pad.type");
    await page.locator("[data-key=value]").fill("9999");
    await c.shot("try-count-impossible");
    await page.locator("[data-key=value]").fill("140");
    await page.locator("[data-key=next]").click();
    await c.shot("try-count-really");
    await page.locator("[data-key=yes]").click();
    await page.locator("[data-key=value]").fill("31");
    await page.locator("[data-key=next]").click();
    await page.locator("[data-key=value]").fill("35");
    await page.locator("[data-key=next]").click();
    await sendOn(c);
    await c.shot("thanks-to-check");
    await home(c);
}

async function measureTry(c) {
    const { page } = c;
    await toScreen(c, STARTERS.measure, "try");
    await c.shot("try-seconds");
    await c.press("try.start_watch");
    await page.waitForTimeout(1200);
    await page.locator("[data-key=watch]").click();
    await c.shot("try-seconds-stopped");
    for (const value of ["8.5", "12", "10.2"]) {
        await page.locator("[data-key=value]").fill(value);
        await page.locator("[data-key=next]").click();
    }
    await sendOn(c);
    await home(c);
    await toScreen(c, "Seated reach", "try");
    await c.shot("try-centimetres");
    for (const value of ["42", "47", "51"]) {
        await page.locator("[data-key=value]").fill(value);
        await page.locator("[data-key=next]").click();
    }
    await sendOn(c);
    await home(c);
    await c.tile(STARTERS.measure).click();
    await c.shot("sent");
    await c.press("sent.again");
    await c.at("version.title");
    await home(c);
}

/* Earlier days of this child, as they would have been sent, so that bests have a line to show. */
async function earlier(s) {
    const child = await signedIn(s.school.url, { card: s.cards[0].code });
    const send = async (challenge, attempts, on) => must(await child.post("/api/v1/hand-ins", { id: uuid7(), challenge: challenge.id, attempts, done_on: day(on) }), 201);
    await send(s.challenges.zones, [{ throws: [0, 2, 0, 2], distance_mm: 3000 }, { throws: [2, 2, 0, 0], distance_mm: 3000 }, { throws: [0, 2, 2, 2], distance_mm: 3000 }], -2);
    await send(s.challenges.zones, [{ throws: [5, 2, 0, 2], distance_mm: 3000 }, { throws: [2, 5, 0, 2], distance_mm: 3000 }, { throws: [5, 2, 2, 2], distance_mm: 3000 }], -1);
    await send(s.challenges.measure, [{ value: 4000 }, { value: 6500 }, { value: 5200 }], -1);
}

async function asideScreens(c, s) {
    const { page } = c;
    await c.shot("today-many");
    await c.press("bests.title");
    await page.locator("svg.lanes").first().waitFor();
    await c.shot("bests");
    await home(c);
    await c.press("tell.hurt");
    await page.locator(".emergency").waitFor();
    await c.shot("tell-hurt");
    await c.press("tell.send");
    await c.at("tell.thanks");
    await c.shot("tell-thanks");
    await home(c);
    await c.press("tell.title");
    await page.locator(".emergency").waitFor();
    await c.shot("tell-menu");
    await page.locator(".tile").nth(2).click();
    await c.shot("tell-talk");
    await c.press("tell.not_now");
    await c.press("screen.back");
    await c.at("today.title");
    await toScreen(c, "Path slide", "try");
    await c.press("could.title");
    await c.at("could.title");
    await c.shot("could-not");
    await page.locator(".choice").first().click();
    await c.press("could.send");
    await c.at("today.title");
    await c.shot("today-after-could-not");
    await c.tile("Path slide").click();
    await page.locator("h1").first().waitFor();
    await page.waitForTimeout(300);
    await c.shot("sent-could-not");
    await home(c);
    must(await s.first.put(`/api/v1/classes/${s.klass.id}`, { readers: [] }), 200);
    await freshHome(c);
    await c.press("tell.title");
    await page.locator(".emergency").waitFor();
    await c.shot("tell-off");
    await freshHome(c);
}

export async function childShots(c, s) {
    await cardScreens(c, s);
    await earlier(s);
    await turnMessagesOn(s);
    await comeIn(c, s.cards[0].code);
    await c.tile(STARTERS.zones).click();
    await c.page.locator("svg.lanes").first().waitFor();
    await c.shot("sent-two-days");
    await home(c);
    for (const part of [wayScreens, learnScreens, zonesTry, rowsAndRings, hitTry, countTry, measureTry, asideScreens, troubleScreens, warmSeated, offlineScreens]) {
        await part(c, s);
    }
}
