/* SPDX-License-Identifier: MIT
 * The child's way, screen by screen: pictures beside their words, the seated way, the warm-up caller,
 * at 320 px. School, names and activities are invented. */

import test from "node:test";
import assert from "node:assert/strict";
import { startSchool } from "../lib/server.mjs";
import { launch, visitor, look } from "../lib/browser.mjs";
import { readFileSync } from "node:fs";
import { signedIn, uuid7 } from "../lib/client.mjs";
import { makeClass, makeCards, makeActivity, setChallenge, must, day } from "../lib/world.mjs";

const PHONE = { width: 320, height: 640 };
const title = (page, words) => page.locator("h1", { hasText: words }).waitFor();
const press = (page, name) => page.getByRole("button", { name, exact: true }).first().click();

async function schoolOf(kind, changes = {}) {
    const school = await startSchool();
    const first = await signedIn(school.url, school.account);
    await first.get("/api/v1/session");
    const klass = await makeClass({ first }, "3 Alder", ["Ondi", "Perrin"]);
    const cards = await makeCards({ first }, klass.id, "pupil");
    const challenge = await setChallenge(first, await makeActivity(first, kind, changes), [klass.id]);
    must(await first.put("/api/v1/school", { terms: [{ name: "Autumn term", starts_on: day(-60), ends_on: day(60) }] }), 200);
    return { school, first, klass, cards, challenge };
}

async function toVersions(page, code) {
    await page.goto("/");
    await page.locator("#card").pressSequentially(code);
    await press(page, "Go");
    await press(page, "Yes");
    await title(page, "Today");
    await page.locator(".tile").first().click();
    await title(page, "How will you do it?");
}

async function toWarmUp(page, code, version = "Standard") {
    await toVersions(page, code);
    await page.locator(".tile", { hasText: version }).first().click();
    await title(page, "Ready?");
    for (const tick of await page.locator(".choice").all()) {
        await tick.click();
    }
    await press(page, "I am ready");
    await title(page, "Warm up");
}

async function toTry(page, code, version) {
    await toWarmUp(page, code, version);
    await press(page, "Skip the warm-up");
    await press(page, "Start my tries");
    await page.locator(".try-tabs").waitFor();
}

const poses = (page) => page.locator("[data-pose]").evaluateAll((all) => all.map((e) => e.getAttribute("data-pose")));

test("pictures stand beside their words, and a seated way shows and asks nobody to stand", async (t) => {
    const [{ school, cards }, browser] = [
        await schoolOf("zones", {
            set_up: "Put the mat down. Stand behind your line. Clear the floor.",
            cues: [{ text: "Eyes on the mat" }, { text: "Standing knee soft" }, { text: "Smooth swing" }],
            safety: ["Stand clear of the wall."]
        }),
        await launch()
    ];
    t.after(() => Promise.all([school.stop(), browser.close()]));
    const v = await visitor(browser, school.url, PHONE);
    const { page } = v;
    await toVersions(page, cards[0].code);
    assert.deepEqual(await poses(page), ["slide", "s-throw"]);
    await look(v, "way version 320");
    await page.locator(".tile", { hasText: "Seated" }).click();
    await title(page, "Ready?");
    const lines = await page.locator(".choice").count();
    assert.equal(await page.locator(".choice svg.pic").count(), lines, "each safety line has its picture");
    assert.equal(await page.locator(".choice", { hasText: "Stand clear of the wall." }).count(), 1, "a safety line is never left out");
    await look(v, "way ready 320");
    for (const tick of await page.locator(".choice").all()) {
        await tick.click();
    }
    await press(page, "I am ready");
    await title(page, "Warm up");
    await look(v, "way warm up 320");
    await page.getByText("Stay sitting.").waitFor();
    assert.ok((await poses(page)).every((p) => p.startsWith("s-")));
    await press(page, "Skip the warm-up");
    await title(page, "Mat slide");
    await look(v, "way learn seated 320");
    assert.ok((await poses(page)).every((p) => p.startsWith("s-")));
    const words = await page.locator("#main").textContent();
    assert.doesNotMatch(words, /stand/i);
    assert.match(words, /Put the mat down\.\s*Clear the floor\./);
    assert.equal(await page.locator(".look-for svg.pic").count(), 2);
    assert.equal(await page.locator("svg.pic:not([aria-hidden=true]):not([aria-label])").count(), 0, "every picture is labelled or beside its words");

    const upright = /\bstand|\bstep/i;
    await press(page, "Start my tries");
    await page.getByText("How many metres is your space?").waitFor();
    assert.doesNotMatch(await page.locator("#main").textContent(), upright);
    await page.getByRole("button", { name: "4 m", exact: true }).click();
    assert.deepEqual(await page.locator(".choices-tight .choice").allInnerTexts(), ["2 m", "3 m", "4 m"]);
    for (let i = 0; i < 3; i += 1) {
        for (let k = 0; k < 4; k += 1) {
            await page.locator("[data-key=zone-2]").click();
        }
        assert.doesNotMatch(await page.locator("#main").textContent(), upright);
        const same = page.locator("[data-move=same]");
        if (await same.count()) {
            assert.deepEqual(await page.locator("[data-move]").allInnerTexts(), ["Closer: 2 m from the target", "Same: 3 m from the target", "Further: 4 m from the target"]);
            await look(v, `way between seated ${i} 320`);
            await same.click();
        }
    }
    await press(page, "My tries are in");
    while (!(await page.getByRole("button", { name: "Send my tries", exact: true }).count())) {
        await page.locator(".choice").first().click();
        await press(page, "Next");
        await page.waitForTimeout(50);
    }
    await press(page, "Send my tries");
    await title(page, "Thank you");
    await page.getByText("Next time, sit 2 m from the target.").waitFor();
    assert.doesNotMatch(await page.locator("#main").textContent(), upright);
    await look(v, "way thanks seated 320");
    assert.deepEqual(v.trouble, []);
});

test("the warm-up begins when asked, calls in no order anybody could know, rests, waits, ends", async (t) => {
    const [{ school, cards }, browser] = [await schoolOf("timed_count"), await launch()];
    t.after(() => Promise.all([school.stop(), browser.close()]));
    const v = await visitor(browser, school.url, PHONE);
    const { page } = v;
    await toWarmUp(page, cards[0].code);
    await page.clock.install();
    await page.clock.runFor(120000);
    await page.getByRole("button", { name: "Start the warm-up" }).waitFor();
    const shape = () => page.locator("[data-shape]").getAttribute("data-shape");
    const run = async () => {
        const calls = [];
        await press(page, "Start the warm-up");
        for (let i = 0; i < 12; i += 1) {
            const name = await shape();
            assert.deepEqual(await poses(page), [name], "shape and picture are of one call");
            assert.ok((await page.locator(".warm-word").textContent()).length > 5);
            calls.push(name);
            if (i === 4) {
                await page.keyboard.press("Enter"); /* the focus is on Pause */
                await page.clock.runFor(60000);
                assert.equal(await shape(), name, "paused");
                await look(v, "way warm up call 320"); /* while nothing runs: a slow look would use up a call */
                await page.keyboard.press("Enter");
            }
            await page.clock.runFor(6050);
        }
        await page.getByText("You are warm.").waitFor();
        return calls;
    };
    const orders = [];
    for (let k = 0; k < 3; k += 1) {
        const calls = await run();
        assert.deepEqual([3, 7, 11].map((i) => calls[i]), ["rest", "rest", "rest"]);
        const moves = calls.filter((c) => c !== "rest");
        assert.equal(moves.length, 9);
        assert.ok(moves.every((c, i) => i === 0 || c !== moves[i - 1]), "nothing twice running");
        orders.push(moves.join());
        if (k < 2) {
            await page.keyboard.press("Enter");
            await title(page, "Line skips");
            await page.goBack();
            await title(page, "Warm up");
        }
    }
    /* 7 x 6^8 orders: three alike by chance is out of the question. */
    assert.ok(new Set(orders).size > 1);
    await page.keyboard.press("Enter");
    await title(page, "Line skips");
    assert.deepEqual(v.trouble, []);
});

/* The rule in the page, without the page: it imports nothing. */
const { nextStep } = await import("data:text/javascript," + encodeURIComponent(readFileSync("web/js/pupil/nextstep.js", "utf8")));

test("closer, same, further: the reference rows of the rule", () => {
    const [head, ...rows] = readFileSync("tests/data/vectors/13_next_distance.csv", "utf8").trim().split("\n").map((l) => l.split(","));
    let checked = 0;
    for (const row of rows) {
        const r = Object.fromEntries(head.map((name, i) => [name, row[i]]));
        const steps = r.steps.split("|").map((m) => Number(m) * 1000), at = Number(r.current_index), throws = Number(r.throws_at_current);
        if (throws === 0) {
            continue; /* nothing thrown here: the row is about the model of distance, not about this rule */
        }
        const share = Number(r.hit_probs.split("|")[at]);
        const got = nextStep({ distances: steps, here: steps[at], space: r.space_limit ? Number(r.space_limit) * 1000 : 0, scored: share * throws, throws, hold: r.block_up === "1" });
        assert.equal(got.mm, steps[Number(r.next_index)], r.id);
        checked += 1;
    }
    assert.ok(checked >= 8, `${checked} rows`);
});

test("closer, same, further: the server's own answers", async (t) => {
    const { school, cards, challenge } = await schoolOf("zones");
    t.after(() => school.stop());
    const child = await signedIn(school.url, { card: cards[0].code });
    const sent = [];
    const cases = [[2000, 0], [2000, 3], [3000, 0], [3000, 2], [3000, 4], [4000, 4], [4000, 1], [2000, 4], [3000, 3]];
    for (const [mm, hits] of cases) {
        const throws = [0, 1, 2, 3].map((i) => (i < hits ? 2 : 0));
        const answer = must(await child.post("/api/v1/hand-ins", { id: uuid7(), challenge: challenge.id, attempts: [{ throws, distance_mm: mm }, { throws, distance_mm: mm }] }), 201);
        sent.push({ mm, hits: 2 * hits, state: answer.state });
        const near = sent.slice(-3).filter((s) => s.mm === mm);
        const own = nextStep({ distances: [2000, 3000, 4000], here: mm, space: 0, hold: answer.state !== "counts",
            scored: near.reduce((a, s) => a + s.hits, 0), throws: near.length * 8 });
        const kind = { again: "score" }[answer.next.kind] || answer.next.kind;
        assert.equal(own.kind, kind, JSON.stringify({ mm, hits, server: answer.next }));
        if (kind !== "score") {
            assert.equal(own.mm, answer.next.distance_mm);
        }
    }
});

test("zones are tapped on their picture; closer or further stays within the space", async (t) => {
    const [{ school, cards }, browser] = [await schoolOf("zones"), await launch()];
    t.after(() => Promise.all([school.stop(), browser.close()]));
    const v = await visitor(browser, school.url, PHONE);
    const { page } = v;
    await toTry(page, cards[0].code);
    await look(v, "way try space question 320");
    await page.getByRole("button", { name: "5 big steps" }).click();
    assert.deepEqual(await page.locator(".choices-tight .choice").allInnerTexts(), ["2 m", "3 m"], "5 steps of 60 cm are 3 m");
    await press(page, "Show big steps");
    assert.deepEqual(await page.locator(".choices-tight .choice").allInnerTexts(), ["3.5 big steps", "5 big steps"]);
    await page.locator("summary", { hasText: "How big is my step?" }).click();
    await page.locator("#step-cm").fill("20");
    await press(page, "Keep my step");
    await page.getByText("from 45 to 450").waitFor();
    await page.locator("#step-cm").fill("300");
    await press(page, "Keep my step");
    assert.deepEqual(await page.locator(".choices-tight .choice").allInnerTexts(), ["2 big steps", "3 big steps"]);
    for (const key of await page.locator(".board .zone-key").all()) {
        const box = await key.boundingBox();
        assert.ok(box.height >= 48 && box.width >= 48, JSON.stringify(box));
        assert.match(await key.innerText(), /\+5|\+2|0/);
    }
    await look(v, "way try board 320");
    await page.locator(".zone-box .zone-box").first().click({ position: { x: 6, y: 80 } });
    assert.match(await page.locator(".total").innerText(), /2/, "a tap beside the words counts too");
    await press(page, "Undo");
    assert.match(await page.locator(".total").innerText(), /–/);
    const four = async (i) => {
        for (let k = 0; k < 4; k += 1) {
            await page.locator(`[data-key=zone-${i}]`).click();
        }
    };
    await four(0);
    await page.getByText("Closer, same or further?").waitFor();
    await look(v, "way try between 320");
    assert.equal(await page.locator("[data-move=further]").count(), 0, "never beyond the space");
    assert.equal(await page.locator("[data-move=same]").getAttribute("data-key"), "next", "four throws are too few to move");
    await page.locator("[data-move=closer]").click();
    assert.equal(await page.locator(".choices-tight input:checked").inputValue(), "2000");
    await four(0);
    assert.equal(await page.locator("[data-move=further]").count(), 1, "back to where there is space");
    await page.reload();
    await page.locator(".try-tab").nth(1).click();
    await page.getByText("Closer, same or further?").waitFor();
    assert.equal(await page.locator("[data-move=further]").count(), 0, "the page forgot the space, so it sends nobody further");
    await page.locator("[data-move=same]").click();
    await four(2);
    await page.reload();
    await page.locator(".try-tabs").waitFor();
    assert.equal(await page.getByText("How many big steps").count(), 0, "not asked in the middle of tries");
    assert.equal(await page.evaluate(() => JSON.stringify([{ ...localStorage }, { ...sessionStorage }]).includes("space")), false, "the space is kept nowhere");
    await press(page, "My tries are in");
    assert.deepEqual(v.trouble, []);
});

test("zones lie as they are said to: in one another, rings, strips, side by side", async (t) => {
    const at = (x1, x2, y1, y2) => ({ x1_mm: x1, x2_mm: x2, y1_mm: y1, y2_mm: y2 });
    const floors = [
        [["near towel", 1], ["far towel", 5], ["middle towel", 3], ["miss", 0]],
        [["left box", 2], ["right box", 2], ["middle box", 4], ["miss", 0]],
        [["big ring", 1], ["small ring", 5], ["miss", 0]],
        [["red", 5, at(-200, 200, 0, 300)], ["blue", 1, at(-200, 200, 300, 600)], ["miss", 0]],
        [["red", 5, at(-100, 100, -100, 100)], ["blue", 1, at(-300, 300, -300, 300)], ["miss", 0]]
    ].map((zones) => zones.map(([name, points, place]) => ({ name, points, ...place })));
    const { school, first, klass, cards } = await schoolOf("zones", { zones: floors[0] });
    const browser = await launch();
    t.after(() => Promise.all([school.stop(), browser.close()]));
    for (const [i, zones] of floors.slice(1).entries()) {
        await setChallenge(first, await makeActivity(first, "zones", { name: `Floor ${i + 1}`, zones, versions: [{ kind: "standard", how: "Slide." }] }), [klass.id]);
    }
    const v = await visitor(browser, school.url, PHONE);
    const { page } = v;
    const seen = {};
    await page.goto("/");
    await page.locator("#card").pressSequentially(cards[0].code);
    await press(page, "Go");
    await press(page, "Yes");
    for (const name of ["Mat slide", "Floor 1", "Floor 2", "Floor 3", "Floor 4"]) {
        await title(page, "Today");
        await page.locator(".tile", { hasText: name }).click();
        await page.locator(".tile", { hasText: "Standard" }).click();
        await title(page, "Ready?");
        for (const tick of await page.locator(".choice").all()) {
            await tick.click();
        }
        await press(page, "I am ready");
        await press(page, "Skip the warm-up");
        await title(page, name);
        await look(v, `way learn ${name} 320`);
        seen[name] = [await page.locator(".board").getAttribute("class"), await page.locator(".zone-name").allInnerTexts(),
            await page.locator(".zone-box .zone-box .zone-box").count()];
        await press(page, "My challenges");
    }
    const flat = ([shape, words, deep]) => [shape, words.map((w) => w.replace(/\s+/g, " ").trim()), deep];
    assert.deepEqual(Object.values(seen).map(flat), [
        ["board rows", ["miss 0", "far towel +5", "middle towel +3", "near towel +1"], 0],
        ["board columns", ["miss 0", "left box +2", "middle box +4", "right box +2"], 0],
        ["board rings", ["miss 0", "big ring +1", "small ring +5"], 1],
        ["board rows", ["miss 0", "blue +1", "red +5"], 0],
        ["board within", ["miss 0", "blue +1", "red +5"], 1]
    ]);
});

test("a helper counts with one big key; what cannot be is said at once, what surprises is asked once", async (t) => {
    const [{ school, cards }, browser] = [await schoolOf("timed_count"), await launch()];
    t.after(() => Promise.all([school.stop(), browser.close()]));
    const v = await visitor(browser, school.url, PHONE);
    const { page } = v;
    await toTry(page, cards[0].code);
    await press(page, "A helper counts");
    for (let i = 0; i < 4; i += 1) {
        await page.locator("[data-key=plus]").click();
    }
    await page.locator("[data-key=undo]").click();
    assert.equal(await page.locator(".plus-pad .big-number").innerText(), "3");
    await look(v, "way try helper 320");
    await press(page, "Type the number after");
    assert.equal(await page.locator("[data-key=value]").inputValue(), "3");
    await page.locator("[data-key=value]").fill("999");
    await page.getByText("It can't be over 200.").waitFor();
    await page.locator("[data-key=value]").fill("120");
    await page.locator("[data-key=next]").click();
    await page.getByText("120? Really?").waitFor();
    await look(v, "way try asked 320");
    await page.locator("[data-key=yes]").click();
    await page.locator("[aria-current=step]", { hasText: "Try 2" }).waitFor();
    await page.locator(".try-tab").first().click();
    await page.locator("[data-key=next]").click();
    assert.equal(await page.getByText("Really?").count(), 0, "asked once");
    /* help as near as sending, and back loses nothing */
    for (const words of ["Something hurt", "Tell my teacher", "I can't do this here"]) {
        assert.equal(await page.locator(".help-row").getByRole("button", { name: words, exact: true }).count(), 1, words);
    }
    await page.locator(".help-row").getByRole("button", { name: "I can't do this here" }).click();
    await title(page, "I can't do this here");
    await page.locator(".help-row").getByRole("button", { name: "Back", exact: true }).click();
    await page.locator(".try-tab", { hasText: "120" }).waitFor();
    assert.deepEqual(v.trouble, []);
});

function voices(list) {
    return `(() => {
        const said = (window.said = []);
        class Utterance { constructor(text) { this.text = text; } }
        const speech = new EventTarget();
        Object.assign(speech, { getVoices: () => ${JSON.stringify(list)}, cancel: () => said.push("hush"), speak: (u) => said.push(u.text + " [" + u.voice.name + "]") });
        Object.defineProperty(window, "speechSynthesis", { value: speech, configurable: true });
        Object.defineProperty(window, "SpeechSynthesisUtterance", { value: Utterance, configurable: true });
    })();`;
}

test("instructions are read aloud by a voice of the device, and by no other", async (t) => {
    const [{ school, cards }, browser] = [await schoolOf("measure"), await launch()];
    t.after(() => Promise.all([school.stop(), browser.close()]));
    const far = { name: "Far", lang: "en-GB", localService: false }, near = { name: "Near", lang: "en_GB", localService: true };
    const other = { name: "Elsewhere", lang: "fr-FR", localService: true };
    const mute = await visitor(browser, school.url, PHONE);
    await mute.context.addInitScript({ content: voices([far, other]) });
    await toVersions(mute.page, cards[0].code);
    assert.equal(await mute.page.locator(".listen:visible").count(), 0, "no local voice, no button");
    await mute.close();
    const v = await visitor(browser, school.url, PHONE);
    await v.context.addInitScript({ content: voices([far, other, near]) });
    const { page } = v;
    await toVersions(page, cards[1].code);
    await page.locator(".listen:visible").first().click();
    assert.equal((await page.evaluate(() => window.said)).pop(), "Balance on one leg. [Near]");
    await page.locator(".tile").first().click();
    await title(page, "Ready?");
    assert.equal((await page.evaluate(() => window.said)).pop(), "hush", "left, so hushed");
    assert.equal(await page.locator(".listen:visible").count(), await page.locator(".choice").count());
    await look(v, "way ready listen 320");
    for (const tick of await page.locator(".choice").all()) {
        await tick.click();
    }
    await press(page, "I am ready");
    await title(page, "Warm up");
    assert.ok(await page.locator(".listen:visible").count() >= 2);
    await press(page, "Skip the warm-up");
    await title(page, "One-leg balance");
    assert.ok(await page.locator(".listen:visible").count() >= 3);
    await look(v, "way learn listen 320");
    await page.locator(".listen:visible").nth(0).click();
    await page.locator(".listen:visible").nth(1).click();
    assert.deepEqual((await page.evaluate(() => window.said)).slice(-2)[0], "hush", "one voice at a time");
    assert.deepEqual(v.trouble, []);
});
