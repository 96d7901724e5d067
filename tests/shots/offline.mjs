/* SPDX-License-Identifier: MIT
 * What a child sees when something does not work: trouble, the time over, no connection. And the
 * seated way, whose child is on the same device afterwards. */

import { Client } from "../lib/client.mjs";
import { must, day } from "../lib/world.mjs";
import { shellKept, keptText } from "../lib/child.mjs";
import { STARTERS } from "./school.mjs";
import { comeIn, freshHome, home, tap, tickAll, toScreen, toSend } from "./walk.mjs";

export async function troubleScreens(c, s) {
    const { page } = c;
    await c.press("screen.finish");
    await c.shot("finish-with-unsent");
    await c.press("finish.not_yet");
    await c.at("today.title");
    await page.route("**/api/v1/me/bests", (route) => route.fulfill({ status: 500, contentType: "application/problem+json", body: JSON.stringify({ type: "/problems/internal", title: "x", status: 500 }) }));
    await c.press("bests.title");
    await c.at("trouble.title");
    await c.shot("trouble");
    await page.unroute("**/api/v1/me/bests");
    await freshHome(c);
    const other = new Client(s.school.url);
    other.cookie = (await c.v.context.cookies()).map((k) => `${k.name}=${k.value}`).join("; ");
    must(await other.get("/api/v1/session"), 200);
    must(await other.del("/api/v1/session"), 204);
    await c.press("bests.title");
    await c.at("card.again");
    await c.shot("time-over");
}

export async function warmSeated(c, s) {
    await comeIn(c, s.cards[1].code);
    await toScreen(c, STARTERS.zones, "version");
    await c.page.locator(".tile", { hasText: c.say("kind.seated") }).first().click();
    await c.at("ready.title");
    await tickAll(c);
    await c.press("ready.yes");
    await c.at("warm.title");
    await c.shot("warm-up-seated");
    await c.press("warm.start");
    await c.page.locator("[data-shape]").waitFor();
    await c.shot("warm-up-seated-call");
    await c.press("warm.skip");
    await c.button("learn.start").waitFor();
    await c.shot("learn-seated");
    await c.press("learn.start");
    await c.page.locator(".step-keys button").last().click();
    for (const zones of [[0, 0, 0, 1], [0, 0, 0, 0]]) {
        for (const z of zones) {
            await tap(c, z, 1);
        }
        if (zones[3] === 0) {
            await c.shot("try-seated-next-further");
        }
        await c.page.locator("[data-key=next]").click();
    }
    await home(c);
    await c.press("screen.finish");
    await c.press("finish.lose");
    await c.page.locator("#card").waitFor();
}

export async function offlineScreens(c, s) {
    const { page } = c;
    const { relay } = s.school;
    await comeIn(c, s.cards[2].code);
    await shellKept(page);
    while (!(await keptText(page)).includes(`detail/${s.cards[2].pupil.id}/`)) {
        await page.waitForTimeout(50);
    }
    await toScreen(c, STARTERS.timed_count, "try");
    for (const value of ["21", "24", "25"]) {
        await page.locator("[data-key=value]").fill(value);
        await page.locator("[data-key=next]").click();
    }
    await toSend(c);
    relay.set("cut");
    await c.press("send.title");
    await c.at("offline.held");
    await page.waitForTimeout(500);
    await c.shot("one-to-send");
    await home(c);
    await c.shot("today-one-waits");
    await c.press("bests.title");
    await page.waitForTimeout(500);
    await c.shot("trouble-no-internet");
    await page.goto("/");
    await page.locator("#card").waitFor();
    await c.shot("card-no-internet");
    await page.locator("#card").pressSequentially(s.cards[2].code);
    await c.press("card.go");
    await c.at("offline.pick");
    await c.shot("which-picture");
    await page.locator(".picture-tile").nth(s.cards[2].picture).click();
    await c.at("offline.yours");
    await c.shot("are-these-your-challenges");
    await page.locator(".tile").first().click();
    await c.at("today.title");
    await c.shot("today-no-internet");
    await c.press("tell.title");
    await page.locator(".emergency").waitFor();
    await c.shot("tell-no-internet");
    await page.goto("/");
    await page.locator("#card").pressSequentially(s.cards[1].code);
    await c.press("card.go");
    await page.locator(".picture-tile").nth(s.cards[1].picture).click();
    await page.locator(".tile").first().click();
    await toScreen(c, STARTERS.measure, "try");
    for (const value of ["5", "6", "7"]) {
        await page.locator("[data-key=value]").fill(value);
        await page.locator("[data-key=next]").click();
    }
    await toSend(c);
    await c.press("send.title");
    await c.at("offline.held");
    await c.shot("one-to-send-put-card-in");
    await c.press("screen.finish");
    await c.shot("finish-no-internet");
    await c.press("offline.stop");
    await page.locator("#card").waitFor();
    await c.shot("card-see-you-soon");
    relay.set("open");
    must(await s.first.put(`/api/v1/challenges/${s.challenges.timed_count.id}`, { due_on: day(-1), closes_on: day(-1) }).catch(() => s.first.put(`/api/v1/challenges/${s.challenges.timed_count.id}`, { due_on: day(-1), closes_on: day(-1) })), 200);
    await page.goto("/");
    await c.at("who.title");
    await c.press("who.yes");
    await page.locator(".panel-sun").waitFor();
    await c.shot("refused-and-kept");
    await c.press("screen.finish");
    await c.press("offline.stop");
    await page.locator("#card").waitFor();
    await page.locator("#card").pressSequentially(s.cards[1].code);
    await c.press("card.go");
    await c.press("who.yes");
    await c.at("offline.mine");
    await c.shot("are-these-your-tries");
    await c.press("offline.mine_yes");
    await page.getByText(c.say("offline.sent")).first().waitFor();
    await page.waitForTimeout(400);
    await c.shot("sent-after-waiting");
}
