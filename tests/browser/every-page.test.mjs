/* SPDX-License-Identifier: MIT
 * The family's page, the form without script and the other pages, in every state, held to the same
 * gates as the child's screens (tests/lib/gates.mjs); the form in each language and refused in each
 * way, the pages that say what went wrong, and every static page as it stands in web/. The school is
 * the invented demo school. */

import test from "node:test";
import assert from "node:assert/strict";
import { readFileSync, readdirSync } from "node:fs";
import { startDemo, startSchool } from "../lib/server.mjs";
import { launch, visitor } from "../lib/browser.mjs";
import { Client, signedIn } from "../lib/client.mjs";
import { Gates, NARROW } from "../lib/gates.mjs";
import { makeClass, makeCards, makeActivity, setChallenge, must } from "../lib/world.mjs";

const gates = new Gates();
let demo, school, browser;

test.before(async () => {
    [demo, school, browser] = [await startDemo(), await startSchool(), await launch()];
});
test.after(() => Promise.all([demo.stop(), school.stop(), browser.close()]));

async function visit(url, options = {}) {
    const v = await visitor(browser, url, NARROW, options);
    v.look = (name) => gates.look(v, name);
    v.forgive = () => v.trouble.splice(0, 999, ...v.trouble.filter((l) => !/ERR_|Failed to load resource/.test(l)));
    v.done = async () => {
        await v.close();
        gates.pass();
    };
    return v;
}

const heading = (page, words) => page.locator("h1", { hasText: words }).waitFor();

test("the family's page, from the card to the end, in three languages", async () => {
    const v = await visit(demo.url);
    const { page } = v;
    const [carer, other] = demo.demo.carers;
    const code = page.locator("#main form input").first();
    const open = () => page.locator("#main form button[type=submit]").click();
    await page.goto("/c");
    await code.waitFor();
    await v.look("family: card");
    await open();
    await page.locator(".wrong:not(:empty)").first().waitFor();
    await v.look("family: nothing typed");
    for (const [letters, what] of [["1", "a sign that no card has"], ["BKT RMW HZV CDFG", "letters that are nobody's"]]) {
        await code.fill(letters);
        await open();
        await page.locator(".wrong:not(:empty), .banner").first().waitFor();
        await page.waitForTimeout(200);
        v.forgive();
        await v.look(`family: ${what}`);
    }
    await code.fill(carer.code);
    await page.route("**/api/v1/session", (r) => (r.request().method() === "POST" ? r.fulfill({ status: 422, contentType: "application/problem+json",
        body: JSON.stringify({ type: "/problems/bad-input", status: 422, errors: [{ pointer: "/phrase", code: "required" }] }) }) : r.continue()));
    await open();
    await page.locator("#main form input").nth(1).waitFor();
    v.forgive();
    await v.look("family: a card with words of its own");
    await page.unroute("**/api/v1/session");
    await open();
    await heading(page, carer.pupil);
    await page.evaluate(() => document.querySelectorAll("details").forEach((fold) => fold.setAttribute("open", "")));
    await v.look("family: a child, all unfolded");
    await page.locator(".top-nav button").first().click();
    await code.waitFor();
    await v.look("family: another card");
    await code.fill(other.code);
    await open();
    await page.locator("#main .tile").first().waitFor();
    await v.look("family: whose page");
    await page.route("**/api/v1/children/*", (r) => r.fulfill({ status: 500, body: "" }));
    await page.locator("#main .tile").first().click();
    await page.locator("#main .banner").waitFor();
    v.forgive();
    await v.look("family: trouble");
    await page.unroute("**/api/v1/children/*");
    await page.locator("#main .button").click();
    await page.locator("#main nav").first().waitFor();
    await v.look("family: one of two children");
    for (const language of ["pl", "ur"]) {
        await page.evaluate((c) => localStorage.setItem("thrice.lang", c), language);
        await page.reload();
        await page.locator("#main .tile").first().waitFor();
        await v.look(`family: whose page, ${language}`);
        await page.locator("#main .tile").first().click();
        await page.locator("#main nav").first().waitFor();
        assert.equal(await page.locator("html").getAttribute("lang"), language);
        await v.look(`family: a child, ${language}`);
    }
    await v.context.clearCookies();
    await page.locator("#main nav button").last().click();
    await code.waitFor();
    v.forgive();
    await v.look("family: the time was up");
    await v.done();
});

test("a family with nothing yet; finished; paper", async () => {
    const first = await signedIn(school.url, school.account);
    await first.get("/api/v1/session");
    const klass = await makeClass({ first }, "3 Alder", ["Ondi", "Perrin"]);
    const cards = await makeCards({ first }, klass.id, "family");
    const v = await visit(school.url);
    const { page } = v;
    await page.goto("/c");
    await page.locator("#main form input").first().fill(cards[0].code);
    await page.locator("#main form button[type=submit]").click();
    await heading(page, "Ondi");
    await v.look("family: nothing set");
    await page.emulateMedia({ media: "print" });
    await v.look("family: nothing set, on paper");
    await page.emulateMedia({ media: null });
    await page.getByRole("button", { name: "Finish" }).click();
    await heading(page, "Finished");
    await v.look("family: finished");
    await v.done();
});

/* A defect put into a page, and what has to be said of it. */
const DEFECTS = [
    ["p", { color: "#999" }, /color-contrast:/],
    ["p", { color: "#666" }, /color-contrast-enhanced/], /* 5.7:1 on white: enough for an adult */
    ["p", { color: "#ddd", "background-color": "#eee", "forced-color-adjust": "none" }, /forced colours[^]*color-contrast/],
    ["button", { width: "40px", height: "40px" }, /targets on/],
    ["p", { width: "330px" }, /px wide in a window of 320/],
    ["p", { position: "fixed", top: "0", height: "120px" }, /stands over/],
    ["p", { transition: "color 9s" }, /things move/]
];

test("the gates shut: each finds the defect that is put before it", async () => {
    const v = await visit(school.url);
    const own = new Gates();
    for (const [tag, style, wanted] of DEFECTS) {
        await v.page.goto("/help");
        await v.page.evaluate(([name, rules]) => {
            const made = document.querySelector("#main").appendChild(document.createElement(name));
            made.textContent = "Xylophone";
            Object.entries(rules).forEach((rule) => made.style.setProperty(rule[0], rule[1], "important"));
            if (rules.transition) {
                getComputedStyle(made).getPropertyValue("color");
                made.style.color = "rgb(90, 0, 0)";
            }
        }, [tag, style]);
        await own.look(v, "a defect", { child: true });
        assert.match(own.found.splice(0).join("\n"), wanted);
    }
    await v.page.evaluate(() => document.querySelector("#main").append(Object.assign(document.createElement("p"), { id: "main" })));
    own.document("an id twice", await v.page.content());
    assert.match((await own.invalid()).join("\n"), /an id twice:\d+: Duplicate ID/);
    await v.close();
});

/* What the form was sent with, and what it has to answer. */
const FORMS = [
    ["nothing", {}, 422],
    ["letters that cannot be", { code: "BBB 1BB", challenge: "1", attempt_1: "9" }, 422],
    ["letters that are nobody's", { code: "BBB BBB BBB", challenge: "1", attempt_1: "9" }, 401, 422],
    ["no such challenge", { challenge: "99", attempt_1: "9" }, 404, 422],
    ["numbers that cannot be", { challenge: "1", attempt_1: "16", attempt_2: "many", attempt_3: "<b>&\"'", attempt_4: "1 2 3", attempt_5: "x", distance_m: "90" }, 422],
    ["one that surprises", { challenge: "2", attempt_1: "120" }, 422],
    ["one that surprises, ticked and wrong", { challenge: "2", attempt_1: "999", confirmed: "yes" }, 422],
    ["both could not and tries", { challenge: "1", attempt_1: "9", could_not: "no_space" }, 422, 303]
];

test("the form without script, in each language and refused in each way, then thanked", async () => {
    const first = await signedIn(school.url, school.account);
    await first.get("/api/v1/session");
    const klass = await makeClass({ first }, "4 Birch", ["Quill"]);
    const [card] = await makeCards({ first }, klass.id, "pupil");
    const zones = await setChallenge(first, await makeActivity(first, "zones"), [klass.id]);
    const count = await setChallenge(first, await makeActivity(first, "timed_count"), [klass.id]);
    const numbers = { 1: zones.number, 2: count.number };
    const v = await visit(school.url);
    for (const lang of ["en", "pl", "ur"]) {
        await v.page.goto(`/quick?lang=${lang}`);
        await v.look(`quick: empty, ${lang}`);
        for (const [what, fields, ...wanted] of FORMS) {
            const form = { lang, code: card.code, ...fields };
            form.challenge = numbers[fields.challenge] || fields.challenge || "";
            await v.page.goto("/quick");
            const [answer] = await Promise.all([
                v.page.waitForNavigation(),
                v.page.evaluate((all) => {
                    const made = document.createElement("form");
                    Object.assign(made, { method: "post", action: "/quick" });
                    for (const [name, value] of Object.entries(all)) {
                        made.append(Object.assign(document.createElement("input"), { name, value }));
                    }
                    document.body.append(made);
                    made.submit();
                }, form)
            ]);
            const redirected = Boolean(answer.request().redirectedFrom());
            assert.ok(wanted.includes(redirected ? 303 : answer.status()), `${what}: ${answer.status()}`);
            v.forgive();
            if (lang === "pl") {
                gates.document(`quick: ${what}, pl`, await v.page.content());
            } else {
                await v.look(`quick: ${what}, ${lang}`);
            }
        }
        await v.page.goto(`/quick/thanks?lang=${lang}`);
        await v.look(`quick: thanks, ${lang}`);
    }
    await v.done();
});

test("help, what is held, the pages without their scripts, the pages of problems", async () => {
    const v = await visit(school.url);
    for (const path of ["/help", "/privacy"]) {
        await v.page.goto(path);
        await v.look(`page: ${path}`);
    }
    const bare = await visit(school.url, { javaScriptEnabled: false });
    for (const path of ["/", "/c"]) {
        await bare.page.goto(path);
        gates.document(`page: ${path} with script off`, await bare.page.content());
    }
    await bare.close();
    for (const [path, status] of [["/nothing-here", 404], ["/quick?lang=%zz", 400], ["/help?a=" + "x".repeat(4000), 431]]) {
        const answer = await v.page.goto(path);
        assert.equal(answer.status(), status, path.slice(0, 20));
        v.forgive();
        await v.look(`problem: ${answer.status()}`);
    }
    const other = await new Client(school.url).request("POST", "/quick", "code=x", { type: "application/x-www-form-urlencoded", headers: { origin: "https://elsewhere.invalid" }, noRecord: true });
    assert.equal(other.status, 403);
    gates.document("problem: 403", other.text);
    const big = await new Client(school.url).request("POST", "/quick", "code=" + "x".repeat(70000), { type: "application/x-www-form-urlencoded", noRecord: true });
    assert.equal(big.status, 413);
    gates.document(`problem: ${big.status} of a form`, big.text);
    await v.done();
});

test("valid HTML: all of these, and every page of web/ as it stands", async () => {
    const files = readdirSync("web", { recursive: true }).filter((f) => String(f).endsWith(".html"));
    for (const file of files) {
        gates.document(`web/${file}`, readFileSync(`web/${file}`, "utf8"));
    }
    assert.ok(files.length > 20);
    console.log(`# ${gates.documents.length} documents`);
    assert.deepEqual(await gates.invalid(), []);
});
