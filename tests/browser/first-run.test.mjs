/* SPDX-License-Identifier: MIT
 * A new user's path, from an empty folder and `thrice init` to the first class's first hand-in on the grid,
 * with nothing read but the pages themselves: every step timed, every tap and key counted. What a person
 * would need is worked out from the counts by the keystroke-level model (Card, Moran and Newell, The
 * keystroke-level model for user performance time with interactive systems, CACM 23(7), 1980: a key of an
 * average typist 0.28 s, pointing 1.1 s, a hand to the mouse and back 0.8 s, making up one's mind 1.35 s
 * once for what belongs together; the four values from memory), at half that speed. A finger on a telephone needs no
 * mouse; rolling the ball thirty times is not counted. School and names are invented. */

import test from "node:test";
import assert from "node:assert/strict";
import { makeSchool, startServer } from "../lib/server.mjs";
import { launch, visitor, SIZES } from "../lib/browser.mjs";

const KEY_S = 0.28;
const POINT_S = 1.1;
const HAND_S = 0.8;
const MIND_S = 1.35;
const SLOWER = 2;
const PAGE_S = 10;                  /* to look at a page that one has never seen: common practice, no source */
const TEN_MINUTES_S = 600;
const NAMES = "Ailbe Bracken Corrin Dunstan Eirwen Fenella Gorsey Hesper Idony Jarvia Kestra Lorcan Merrin Nerys Oswin Perran Quilla Rowena Sorrel Tamsyn Ulric Verrin Wilfra Xanthe Yestin Zennor Aveline Brannoc".split(" ");

/* A person's hands: what is pressed and typed is counted. */
const NOTHING = { taps: 0, keys: 0, minds: 0, pages: 0, homes: 0 };

function hands(page, finger = false) {
    const done = { ...NOTHING };
    const at = (words, role) => (typeof words === "string" || words instanceof RegExp ? page.getByRole(role || "button", { name: words, exact: typeof words === "string" }).first() : words);
    return {
        done,
        see: async (what) => {
            await what.first().waitFor();
            done.pages += 1;
        },
        tap: async (words, role) => {
            await at(words, role).click();
            done.taps += 1;
            done.homes += finger ? 0 : 1;
            done.minds += 1;
        },
        again: async (what) => {        /* the same once more, without thinking */
            await what.click();
            done.taps += 1;
        },
        type: async (field, text) => {
            await field.fill(text);
            done.taps += 1;
            done.homes += finger ? 0 : 1;
            done.keys += text.length;
            done.minds += 1;
        },
        paste: async (field, text) => {         /* a list that the school has: point, paste */
            await field.fill(text);
            done.taps += 1;
            done.homes += 1;
            done.keys += 2;
            done.minds += 2;
        }
    };
}

const seconds = (d) => SLOWER * (d.taps * POINT_S + d.homes * HAND_S + d.keys * KEY_S + d.minds * MIND_S) + d.pages * PAGE_S;

test("from an empty folder to the first hand-in on the grid in under ten minutes", async (t) => {
    const steps = [];
    const began = Date.now();
    let last = began;
    const step = (name, done) => {
        const before = steps.length ? steps[steps.length - 1].sum : NOTHING;
        const own = Object.fromEntries(Object.keys(done).map((k) => [k, done[k] - before[k]]));
        steps.push({ name, own, sum: { ...done }, ms: Date.now() - last, person: seconds(own) });
        last = Date.now();
    };
    const school = makeSchool();
    t.after(() => school.remove());
    const typed = { ...NOTHING, keys: `thrice init --data school --school "Brindle Hill Primary" --staff Maren\n${school.account.passphrase}\n${school.account.passphrase}\nthrice serve --data school\n`.length, minds: 4 };
    step("thrice init, thrice serve", typed);
    const server = await startServer(school.data);
    const browser = await launch();
    t.after(() => Promise.all([browser.close(), server.stop()]));
    const teacher = await visitor(browser, server.url, SIZES.large);
    const { page } = teacher;
    const h = hands(page);
    Object.assign(h.done, typed);

    await page.goto("/staff");
    await h.see(page.getByLabel("Your name"));
    await h.type(page.getByLabel("Your name"), school.account.name);
    await h.type(page.getByLabel("Passphrase"), school.account.passphrase);
    await h.tap("Sign in");
    await h.see(page.getByText("Four steps to the first tries"));
    step("sign in", h.done);

    await h.type(page.getByLabel("Name of the class or group"), "3 Alder");
    await h.tap("Add");
    await h.see(page.getByLabel("Paste the list here"));
    await h.paste(page.getByLabel("Paste the list here"), "Name,Year\n" + NAMES.map((n) => n + ",3").join("\n") + "\n");
    await h.tap("Look at it first");
    await h.see(page.getByRole("button", { name: "Store 28 pupils" }));
    await h.tap("Store 28 pupils");
    await page.getByText("28 pupils were added").waitFor();
    step("a class and its list of 28", h.done);

    await h.tap("Next: cards", "link");
    await h.see(page.getByRole("button", { name: "Make cards" }));
    await h.tap("Make cards");
    await h.see(page.locator(".slip .code"));
    const code = (await page.locator(".slip .code").first().textContent()).trim();
    step("cards for the class", h.done);

    await h.tap(/^Next: set an activity$/, "link");
    await h.see(page.getByRole("button", { name: "Set it" }));
    await h.tap("Set it");
    await page.getByText("Its number is").waitFor();
    step("an activity set", h.done);

    await h.tap("Who's done it", "link");
    await h.see(page.locator(".state-not_yet"));
    assert.equal(await page.locator(".state-not_yet").count(), 28);
    step("the grid, empty", h.done);

    const child = await visitor(browser, server.url, SIZES.small);
    const c = hands(child.page, true);
    Object.assign(c.done, h.done);
    await child.page.goto("/");
    await c.see(child.page.locator("#card"));
    await c.type(child.page.locator("#card"), code);
    await c.tap("Go");
    await c.tap("Yes");
    await c.see(child.page.locator("h1", { hasText: "Today" }));
    await c.tap(child.page.locator("#main .tile").first());
    const send = child.page.getByRole("button", { name: "Send my tries", exact: true });
    for (let screens = 0; !(await send.count()); screens += 1) {
        assert.ok(screens < 80, `the child's way ends: at ${await child.page.locator("h1").first().textContent()}`);
        await onward(child.page, c);
        await child.page.waitForTimeout(50);
    }
    await c.tap("Send my tries");
    await child.page.locator("h1", { hasText: /^(Thank you|Sent)/ }).waitFor();
    step("a child: card, warm-up, three tries, send", c.done);

    await page.locator(".state-handed_in, .state-to_check").first().waitFor();
    step("the hand-in is on the grid by itself", c.done);

    const total = steps.reduce((sum, s) => sum + s.person, 0);
    for (const s of steps) {
        t.diagnostic(`${s.name}: ${s.own.pages} pages, ${s.own.taps} taps, ${s.own.keys} keys; scripted ${(s.ms / 1000).toFixed(1)} s, a person about ${Math.round(s.person)} s`);
    }
    t.diagnostic(`in all: ${c.done.pages} pages, ${c.done.taps} taps, ${c.done.keys} keys; a person about ${Math.floor(total / 60)} min ${Math.round(total % 60)} s`);
    assert.ok(total < TEN_MINUTES_S, `${Math.round(total)} s`);
    assert.deepEqual([...teacher.trouble, ...child.trouble], []);
});

/* Whatever the child's screen asks for next; a throw always stops in the middle zone, a count is 12. */
async function onward(page, h) {
    const there = async (at) => (await at.count()) > 0;
    const button = (name) => page.getByRole("button", { name, exact: true });
    if (await there(page.locator(".try-tabs"))) {
        const space = page.getByRole("button", { name: "3 big steps" });
        if (await there(space)) {
            await h.tap(space);
            return;
        }
        for (const key of ["zone-0", "hit-1", "yes"]) {
            const one = page.locator(`[data-key=${key}]:not([disabled])`);
            if (await there(one)) {
                await h.again(one.first());
                return;
            }
        }
        const value = page.locator("[data-key=value]");
        if (await there(value) && await value.inputValue() === "") {
            await h.type(value, "12");
        }
        await h.tap(page.locator("[data-key=next]"));
        return;
    }
    for (const name of ["Skip the warm-up", "Start my tries"]) {
        if (await there(button(name))) {
            await h.tap(name);
            return;
        }
    }
    if (await there(button("I am ready"))) {
        for (const tick of await page.locator(".choice").all()) {
            await h.tap(tick);
        }
        await h.tap("I am ready");
    } else if (await there(page.locator("h1", { hasText: "How will you do it?" }))) {
        await h.tap(page.locator(".tile").first());
    } else if (await there(button("Next"))) {
        await h.tap(page.locator(".choice").first());
        await h.tap("Next");
    }
}
