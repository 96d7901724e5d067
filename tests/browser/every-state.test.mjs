/* SPDX-License-Identifier: MIT
 * Every screen of the child's way in every state, each held to the gates (tests/lib/gates.mjs): a
 * screen that is registered in web/js/pupil and is not looked at here fails. The school, the
 * children and the activities are invented. */

import test from "node:test";
import assert from "node:assert/strict";
import { readFileSync, readdirSync } from "node:fs";
import { launch, visitor } from "../lib/browser.mjs";
import { startBehindRelay } from "../lib/cut.mjs";
import { signedIn, uuid7 } from "../lib/client.mjs";
import { Gates, NARROW } from "../lib/gates.mjs";
import { ACTIVITIES, makeClass, makeCards, makeActivity, setChallenge, must, day } from "../lib/world.mjs";
import { title, press, sees, shellKept, typeCard, comeIn, makeTries } from "../lib/child.mjs";

const gates = new Gates();
let school, browser, first, alder, birch, cards, strangers, challenges;

const RULER = { name: "Sock slide", unit: "mm", resolution: 10, hard_low: 10, hard_high: 9000, soft_low: 100, soft_high: 6000,
    versions: [{ kind: "standard", how: "Slide a sock. Measure how far." }, { kind: "seated", how: "Sit and slide a sock." },
        { kind: "quiet", how: "Slide a soft sock." }, { kind: "no_kit", how: "Slide your hand." }] };

test.before(async () => {
    [school, browser] = [await startBehindRelay(), await launch()];
    first = await signedIn(school.url, school.account);
    await first.get("/api/v1/session");
    alder = await makeClass({ first }, "3 Alder", ["Ondi", "Perrin", "Quill", "Rafe", "Sunniva", "Tarn", "Una", "Vesper", "Wilf"]);
    birch = await makeClass({ first }, "4 Birch", ["Xanthe"]);
    cards = await makeCards({ first }, alder.id, "pupil");
    strangers = await makeCards({ first }, birch.id, "pupil");
    challenges = {};
    for (const kind of Object.keys(ACTIVITIES)) {
        challenges[kind] = await setChallenge(first, await makeActivity(first, kind), [alder.id]);
    }
    challenges.ruler = await setChallenge(first, await makeActivity(first, "measure", RULER), [alder.id]);
    must(await first.put("/api/v1/school", { terms: [{ name: "Autumn term", starts_on: day(-60), ends_on: day(60) }] }), 200);
});
test.after(() => Promise.all([school.stop(), browser.close()]));

/* A child's phone; look(name) holds what it shows to the gates. */
async function phone(options = {}) {
    const v = await visitor(browser, school.url, NARROW, options);
    v.look = (name) => {
        if (school.relay.mode === "cut") {
            v.forgive();
        }
        return gates.look(v, name, { child: true });
    };
    v.tile = (words) => v.page.locator(".tile", { hasText: words }).first().click();
    /* what a cut connection writes into the console is no trouble of the page */
    v.forgive = () => v.trouble.splice(0, 999, ...v.trouble.filter((l) => !/ERR_|Failed to load resource/.test(l)));
    v.done = async () => {
        await v.close();
        gates.pass();
    };
    await v.page.goto("/");
    return v;
}

async function today(v, card) {
    await comeIn(v.page, card.code);
    await title(v.page, "Today");
}

async function toReady(v, activity, version = "Standard") {
    await v.tile(activity);
    await title(v.page, "How will you do it?");
    await v.tile(version);
    await title(v.page, "Ready?");
}

async function tickAll(page) {
    for (const tick of await page.locator(".choice").all()) {
        await tick.click();
    }
    await press(page, "I am ready");
}

async function toTry(v, activity, version) {
    await toReady(v, activity, version);
    await tickAll(v.page);
    await press(v.page, "Skip the warm-up");
    await press(v.page, "Start my tries");
    await v.page.locator(".try-tabs").waitFor();
}

test("coming in: the card, the child, Today, my bests, finish", async () => {
    const v = await phone();
    const { page } = v;
    await page.locator("#card").waitFor();
    await v.look("card: first");
    await page.locator("#card").pressSequentially("1");
    await sees(page, /not on any card/);
    await v.look("card: a sign that no card has");
    await typeCard(page, "BKT");
    await sees(page, /nine letters/);
    await v.look("card: too few");
    const { code } = cards[0];
    await typeCard(page, code.replace(/.$/, (last) => (last === "B" ? "C" : "B")));
    await sees(page, "One letter is wrong");
    await v.look("card: one letter wrong");
    await typeCard(page, "BBB BBB BBB");
    await sees(page, /No card has those letters/);
    await v.look("card: nobody's");
    await typeCard(page, code);
    await title(page, /^Are you/);
    await v.look("who: this child");
    await press(page, "Yes");
    await title(page, "Today");
    await v.look("today: nothing sent");
    await press(page, "My bests");
    await title(page, "My bests");
    await v.look("bests: none");
    await press(page, "Finish");
    await v.look("finish: nothing waits");
    await press(page, "Yes, finish");
    await page.locator("#card").waitFor();
    await v.look("card: finished");
    await today(v, strangers[0]);
    await v.look("today: nothing set");
    await v.context.clearCookies();
    await press(page, "My bests");
    await sees(page, "Your time was up.");
    await v.look("card: the time was up");
    await v.done();
});

/* From the start of the page to Today, whether or not it asks who this is. */
async function anew(page) {
    await page.goto("/");
    const yes = page.getByRole("button", { name: "Yes", exact: true });
    await yes.or(page.locator("h1", { hasText: "Today" })).first().waitFor();
    if (await yes.count()) {
        await press(page, "Yes");
    }
    await title(page, "Today");
}

test("a dead card, a server in trouble, many people", async () => {
    const v = await phone();
    const { page } = v;
    await page.locator("#card").waitFor();
    await page.goto("/#k=" + "a".repeat(26));
    await sees(page, /This card no longer works/);
    await v.look("card: a dead card");
    await today(v, cards[0]);
    for (const [status, slug] of [[500, "internal"], [503, "busy"], [404, "not-found"]]) {
        await page.route("**/api/v1/me/bests", (r) => r.fulfill({ status, contentType: "application/problem+json", body: JSON.stringify({ type: `/problems/${slug}`, status }) }));
        await press(page, "My bests");
        await title(page, "Oh");
        v.forgive();
        await v.look(`trouble: ${slug}`);
        await page.unroute("**/api/v1/me/bests");
        await press(page, "Try again");
        await title(page, "My bests");
        await press(page, "My challenges");
        await title(page, "Today");
    }
    await v.done();
});

test("zones: choosing, Ready?, the warm-up, Learn, throws, between tries", async () => {
    const v = await phone();
    const { page } = v;
    await today(v, cards[1]);
    await v.tile("Mat slide");
    await title(page, "How will you do it?");
    await v.look("version: first");
    await press(page, "I can't do this here");
    await title(page, "I can't do this here");
    await v.look("could_not: before a version");
    await press(page, "Send: I could not");
    await v.look("could_not: nothing chosen");
    await page.goBack();
    await v.tile("Seated");
    await title(page, "Ready?");
    await v.look("ready: seated");
    await press(page, "I am ready");
    await v.look("ready: not ticked");
    await tickAll(page);
    await title(page, "Warm up");
    await v.look("warm: before it begins, seated");
    await page.clock.install();
    await press(page, "Start the warm-up");
    await v.look("warm: a call, seated");
    await press(page, "Pause");
    await v.look("warm: paused");
    await press(page, "Go on");
    for (let i = 0; i < 12; i += 1) {
        await page.clock.runFor(6050);
        if (await page.locator("[data-shape=rest]").count() && !gates.documents.some((d) => d.name === "warm: a rest")) {
            await v.look("warm: a rest");
        }
    }
    await sees(page, "You are warm.");
    await v.look("warm: the end");
    await press(page, "Next");
    await page.getByRole("button", { name: "Start my tries" }).waitFor();
    await v.look("learn: zones, seated");
    await page.goBack();
    await page.goBack();
    await page.goBack();
    await v.tile("Standard");
    await tickAll(page);
    await press(page, "Skip the warm-up");
    await page.getByRole("button", { name: "Start my tries" }).waitFor();
    await page.locator("details summary").first().click();
    await v.look("learn: zones");
    await press(page, "Start my tries");
    await page.locator(".try-tabs").waitFor();
    await v.look("try: how much space");
    await page.getByRole("button", { name: "5 big steps" }).click();
    await v.look("try: zones, first throw");
    await press(page, "Show big steps");
    await page.locator("summary", { hasText: "How big is my step?" }).click();
    await page.locator("#step-cm").fill("20");
    await press(page, "Keep my step");
    await sees(page, /from 45 to 450/);
    await v.look("try: my step");
    await press(page, "Show metres");
    await page.locator("[data-key=way]").click();
    await page.locator("[data-key=value]").fill("16");
    await v.look("try: a total that cannot be");
    await page.locator("[data-key=way]").click();
    for (let i = 0; i < 4; i += 1) {
        await page.locator("[data-key=zone-1]").click();
        if (i === 1) {
            await v.look("try: two throws");
        }
    }
    await sees(page, "Closer, same or further?");
    await v.look("try: closer, same, further");
    await page.locator(".help-row").getByRole("button", { name: "My challenges" }).click();
    await title(page, "Today");
    await v.look("today: half made");
    await press(page, "Finish");
    await sees(page, /wait|not sent|1/);
    await v.look("finish: half made");
    await page.goBack();
    await title(page, "Today");
    await page.goBack();
    await page.locator(".try-tabs").waitFor();
    await page.locator(".help-row").getByRole("button", { name: "I can't do this here" }).click();
    await v.look("could_not: on the way");
    await page.locator(".choice").first().click();
    await press(page, "Send: I could not");
    await title(page, "Today");
    await v.look("today: could not, said");
    await v.tile("Mat slide");
    await title(page, "Try");
    await page.locator(".help-row").getByRole("button", { name: "My challenges" }).click();
    await v.done();
});

test("yes and no, a count by a clock and by a helper, a stopwatch, a ruler", async () => {
    const v = await phone();
    const { page } = v;
    await today(v, cards[2]);
    await toTry(v, "Wall catches");
    await v.look("try: yes or no");
    for (const hit of [1, 0, 1]) {
        await page.locator(`[data-key=hit-${hit}]`).click();
    }
    await v.look("try: three of twelve");
    await page.goBack();
    await v.look("learn: successes");
    await press(page, "My challenges");
    await toTry(v, "Line skips");
    await v.look("try: a count");
    await page.locator("[data-key=watch]").click();
    await v.look("try: the clock runs");
    await page.locator("[data-key=watch]").click();
    await v.look("try: the clock was stopped");
    await press(page, "A helper counts");
    await page.locator("[data-key=plus]").click();
    await v.look("try: a helper counts");
    await press(page, "Type the number after");
    await page.locator("[data-key=value]").fill("many");
    await v.look("try: no number");
    await page.locator("[data-key=value]").fill("999");
    await v.look("try: a count that cannot be");
    await page.locator("[data-key=value]").fill("");
    await page.locator("[data-key=next]").click();
    await v.look("try: nothing in yet");
    await page.locator("[data-key=value]").fill("120");
    await page.locator("[data-key=next]").click();
    await sees(page, "120? Really?");
    await v.look("try: asked");
    await page.locator("[data-key=yes]").click();
    await v.look("try: the second");
    await press(page, "My challenges");
    await toTry(v, "One-leg balance");
    await v.look("try: a stopwatch");
    await page.locator("[data-key=watch]").click();
    await page.locator("[data-key=watch]").click();
    await v.look("try: the stopwatch was stopped");
    await page.goBack();
    await v.look("learn: a time");
    await press(page, "My challenges");
    await v.tile("Sock slide");
    await v.look("version: four ways");
    await v.tile("No kit");
    await v.look("ready: no kit");
    await tickAll(page);
    await press(page, "Skip the warm-up");
    await v.look("learn: a measure, no kit");
    await press(page, "Start my tries");
    await page.locator("[data-key=value]").fill("12,5");
    await v.look("try: a ruler");
    await v.done();
});

/* From Try to Think with three tries of so much each. */
async function threeTries(page, total) {
    for (let i = 0; i < 3; i += 1) {
        await page.locator("[data-key=way]").click();
        await page.locator("[data-key=value]").fill(String(total));
        await page.locator("[data-key=next]").click();
        await page.waitForTimeout(150);
    }
}

test("thinking, sending, thank you, what was sent, a mistake, my bests", async () => {
    const v = await phone();
    const { page } = v;
    await today(v, cards[3]);
    await toTry(v, "Mat slide");
    await page.locator(".step-keys button").last().click();
    await threeTries(page, 9);
    await title(page, "Think");
    await v.look("think: the question");
    await page.locator(".choice").nth(1).click();
    await v.look("think: answered");
    await press(page, "Next");
    await title(page, "How was it?");
    await v.look("how: empty");
    await page.locator("details summary").click();
    for (const group of await page.locator("fieldset").all()) {
        await group.locator(".choice").first().click();
    }
    await v.look("how: all of it");
    await press(page, "Next");
    await title(page, "Send my tries");
    await v.look("send: ready");
    for (const [name, errors] of [["nothing to change", [{ pointer: "/done_on", code: "too_old" }]],
        ["asked", [{ pointer: "/attempts/1/value", code: "confirm", did_you_mean: 90 }]],
        ["asked how far", [{ pointer: "/attempts/0/distance_mm", code: "confirm_distance" }]],
        ["one try", [{ pointer: "/attempts/1/value", code: "impossible" }]]]) {
        await page.route("**/api/v1/hand-ins", (r) => r.fulfill({ status: 422, contentType: "application/problem+json", body: JSON.stringify({ type: "/problems/bad-input", status: 422, errors }) }));
        await press(page, "Send my tries");
        await (name === "one try" ? page.locator(".try-tabs").waitFor() : sees(page, name === "nothing to change" ? "Send again" : "Really?"));
        v.forgive();
        await v.look(name === "one try" ? "try: refused by the server" : `send: refused, ${name}`);
        await page.unroute("**/api/v1/hand-ins");
        if (name !== "one try") {
            await page.reload();
            await title(page, "Send my tries");
        }
    }
    await press(page, "My challenges");
    await title(page, "Today");
    await v.tile("Mat slide");
    await page.locator(".try-tabs").waitFor();
    await page.locator(".try-tab").last().click();
    await press(page, "My tries are in");
    await press(page, "Next");
    await press(page, "Next");
    await press(page, "Send my tries");
    await title(page, "Thank you");
    await v.look("thanks: the first");
    await press(page, "I made a mistake");
    await title(page, "I made a mistake");
    await v.look("mistake: sure?");
    await page.goBack();
    await press(page, "My challenges");
    await title(page, "Today");
    await v.look("today: one sent");
    await v.tile("Mat slide");
    await v.look("sent: one");
    const child = await signedIn(school.url, { card: cards[3].code });
    for (const [value, on, felt] of [[5, -1, "too_hard"], [11, 0, "about_right"], [14, 0, "too_easy"]]) {
        must(await child.post("/api/v1/hand-ins", { id: uuid7(), challenge: challenges.zones.id, attempts: [{ value }, { value: value - 1 }, { value }].map((a) => ({ ...a, distance_mm: 3000 })), done_on: day(on), felt }), 201, 422);
    }
    await page.reload();
    await title(page, "Mat slide");
    await v.look("sent: several");
    await page.locator("#main").getByRole("button", { name: "I made a mistake" }).first().click();
    await title(page, "I made a mistake");
    await press(page, "Yes, it was a mistake");
    await title(page, "Mat slide");
    await v.look("sent: one to check");
    await press(page, "My bests");
    await title(page, "My bests");
    await page.locator("details summary").first().click();
    await v.look("bests: lines");
    await v.done();
});

test("telling a teacher: off, on, not sent, thanked, when the school is closed", async () => {
    const v = await phone();
    const { page } = v;
    const tell = async (about = "Tell my teacher") => {
        await page.locator(".help-row").getByRole("button", { name: about, exact: true }).click();
        await sees(page, /ring 999/);
    };
    await today(v, cards[4]);
    await tell();
    await v.look("tell: off");
    const reader = must(await first.post("/api/v1/staff", { name: "Sable", rights: ["safeguarding"], classes: [] }), 201).staff;
    const own = must(await first.get("/api/v1/session"), 200).staff;
    must(await first.put(`/api/v1/classes/${alder.id}`, { readers: [reader.id, own] }), 200);
    await anew(page);
    await tell();
    await v.look("tell: what is it");
    for (const [i, about] of ["hurt", "not safe", "talk"].entries()) {
        await page.locator("#main .tile").nth(i).click();
        await v.look(`tell: ${about}`);
        await press(page, "Not now");
    }
    await page.goBack();
    await tell("Something hurt");
    await page.route("**/api/v1/messages", (r) => r.fulfill({ status: 500, body: "" }));
    await page.locator(".choice").first().click();
    await page.locator("#main .next .button").click();
    await page.locator("[aria-live=assertive] .banner").waitFor();
    v.forgive();
    await v.look("tell: not sent");
    await page.unroute("**/api/v1/messages");
    await page.route("**/api/v1/messages", (r) => r.abort());
    await page.locator("#main .next .button").click();
    await sees(page, /needs the internet/);
    v.forgive();
    await v.look("tell: no answer");
    await page.unroute("**/api/v1/messages");
    await page.locator("#main .next .button").click();
    await page.locator("h1", { hasText: /Thank you/ }).waitFor();
    await v.look("tell: thanked");
    /* the page is open as it was: what it says is so by now all the same; a number set apart for invention */
    const says = "Tell a grown-up at home. Or ring 01632 960177 <b>";
    const { school: row } = must(await first.get("/api/v1/school"), 200);
    must(await first.put("/api/v1/school", { school: { ...row, away_phone: says }, terms: [{ name: "Autumn term", starts_on: day(-60), ends_on: day(-9) }, { name: "Spring term", starts_on: day(9), ends_on: day(60) }] }), 200);
    await press(page, "My challenges");
    await tell();
    await sees(page, "School is closed now.");
    await sees(page, says);
    await page.locator("#main .tile").first().click();
    await page.locator("#main .next .button", { hasText: "Send this" }).waitFor();
    await sees(page, says);
    await anew(page);
    await tell();
    await sees(page, "School is closed now.");
    await sees(page, /It opens again on/);
    await sees(page, says);
    await sees(page, "Tell a grown-up you trust now.");
    await v.look("tell: the school is closed");
    must(await first.put("/api/v1/school", { terms: [{ name: "Autumn term", starts_on: day(-60), ends_on: day(60) }] }), 200);
    await v.done();
});

test("no connection: what is kept, what waits, whose it is", async () => {
    const v = await phone();
    const { page } = v;
    await shellKept(page);
    await today(v, cards[5]);
    for (const name of ["Line skips", "Mat slide"]) {
        await v.tile(name);
        await title(page, "How will you do it?");
        await page.goBack();
        await title(page, "Today");
    }
    await makeTries(page, 31, "Line skips");
    school.relay.set("cut");
    await press(page, "Send my tries");
    await sees(page, "1 to send");
    await v.look("held: one waits");
    await press(page, "My challenges");
    await title(page, "Today");
    await v.look("today: one waits, no connection");
    await press(page, "My bests");
    await title(page, "No internet");
    await v.look("trouble: no connection");
    await page.locator(".help-row").getByRole("button", { name: "Tell my teacher" }).click();
    await page.locator("#main .tile, #main .lead").first().waitFor();
    await v.look("tell: on the page of a cut connection");
    await page.goBack();
    await press(page, "Finish");
    await sees(page, /1/);
    await v.look("finish: one waits");
    await press(page, "Stop now. Keep my things here.");
    await page.locator("#card").waitFor();
    await v.look("card: stopped, things kept");
    await page.goto("/");
    await sees(page, "Your card still works here");
    await v.look("card: no connection");
    await typeCard(page, cards[6].code);
    await title(page, "Which picture");
    await v.look("pick: which picture");
    const nobodys = [1, 2].map((n) => (cards[6].picture + n) % 24).find((n) => n !== cards[5].picture);
    await page.locator(".picture-tile").nth(nobodys).click();
    await title(page, "Are these your challenges?");
    await v.look("yours: another's");
    await page.locator(".tile").first().click();
    await title(page, "Today");
    await v.look("today: from a copy");
    await page.locator(".help-row").getByRole("button", { name: "Tell my teacher" }).click();
    await sees(page, /needs the internet/);
    await v.look("tell: no connection");
    await page.goBack();
    await makeTries(page, 41, "Line skips");
    await press(page, "Send my tries");
    await sees(page, "1 to send");
    await v.look("held: made with no connection");
    await press(page, "Finish");
    await press(page, "Stop now. Keep my things here.");
    await page.locator("#card").waitFor();
    await typeCard(page, cards[6].code);
    await title(page, "Which picture");
    await page.locator(".picture-tile").nth(cards[6].picture).click();
    await press(page, "No, these are not mine");
    await sees(page, /./);
    await v.look("card: nothing kept for this child");
    school.relay.set("open");
    await v.done();
});

test("the connection is back: are these mine, refused, sent", async () => {
    const v = await phone();
    const { page } = v;
    await shellKept(page);
    await today(v, cards[7]);
    await v.tile("Line skips");
    await title(page, "How will you do it?");
    await page.goBack();
    await title(page, "Today");
    await press(page, "Finish");
    await press(page, "Stop now. Keep my things here.");
    school.relay.set("cut");
    await typeCard(page, cards[7].code);
    await title(page, "Which picture");
    await page.locator(".picture-tile").nth(cards[7].picture).click();
    await v.page.locator(".tile").first().click();
    await title(page, "Today");
    await makeTries(page, 33, "Line skips");
    await press(page, "Send my tries");
    await sees(page, "1 to send");
    school.relay.set("open");
    await page.goto("/");
    await page.route("**/api/v1/hand-ins", (r) => r.fulfill({ status: 422, contentType: "application/problem+json", body: JSON.stringify({ type: "/problems/bad-input", status: 422, errors: [{ pointer: "/done_on", code: "too_old" }] }) }));
    v.forgive();
    await comeIn(page, cards[7].code);
    await title(page, "Are these your tries?");
    v.forgive();
    await v.look("mine: are these your tries");
    await press(page, "Yes, send them");
    await sees(page, /Show this|teacher/);
    v.forgive();
    await v.look("held: refused");
    await page.locator("#main").getByRole("button", { name: "Forget these tries" }).first().click();
    await v.look("held: sure to drop it");
    await press(page, "Forget these tries");
    await title(page, "Today");
    assert.doesNotMatch(await page.locator("body").textContent(), /Sent\b/, "given up is not sent");
    await v.look("today: given up");
    await v.done();
});

test("Polish and Urdu", async () => {
    for (const [code, name] of [["pl", "Polski"], ["ur", "اردو"]]) {
        const v = await phone();
        const { page } = v;
        await page.locator("#card").waitFor();
        await page.getByRole("button", { name }).click();
        await page.locator(`h1:not(:text-is('Hello'))`).first().waitFor();
        await v.look(`card: ${code}`);
        await page.locator("#card").fill(cards[8].code);
        await page.locator("#main form .next .button").click();
        await page.locator(".who").waitFor();
        await v.look(`who: ${code}`);
        await page.locator("[data-key=next]").click();
        await page.locator(".tile").first().waitFor();
        await v.look(`today: ${code}`);
        await page.locator(".help-row button").last().click();
        await page.locator(".emergency").waitFor();
        await v.look(`tell: ${code}`);
        await page.goBack();
        await page.locator(".tile .tile-number").first().click();
        await page.locator(".pics").first().waitFor();
        await v.look(`version: ${code}`);
        await page.locator(".tile").first().click();
        await page.locator(".choice").first().waitFor();
        await v.look(`ready: ${code}`);
        for (const tick of await page.locator(".choice").all()) {
            await tick.click();
        }
        await page.locator("[data-key=next]").click();
        await page.locator(".warm-board").waitFor();
        await v.look(`warm: ${code}`);
        await page.locator(".next .button-second").first().click();
        await page.locator(".learn-pic").waitFor();
        await v.look(`learn: ${code}`);
        await page.locator("[data-key=next]").click();
        await page.locator(".try-tabs").waitFor();
        await v.look(`try: ${code}`);
        await v.done();
    }
});

test("no screen was left out", () => {
    const registered = readdirSync("web/js/pupil").flatMap((file) =>
        Array.from(readFileSync(`web/js/pupil/${file}`, "utf8").matchAll(/^register\(\s*"(\w+)"/gm), (m) => m[1])
    );
    const seen = new Set(gates.documents.map((d) => d.name.split(":")[0]));
    assert.ok(registered.length > 20);
    assert.deepEqual(registered.filter((name) => !seen.has(name)), []);
    console.log(`# ${registered.length} screens, ${gates.documents.length} states`);
});

test("valid HTML, as script has made it", async () => {
    assert.deepEqual(await gates.invalid(), []);
});
