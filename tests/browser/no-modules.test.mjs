/* SPDX-License-Identifier: MIT
 * A browser that knows no modules, and one that could not fetch them: no blank page, and a way to
 * the plain form, on which a hand-in can be made to the end. The school is invented. */

import test from "node:test";
import assert from "node:assert/strict";
import { startSchool } from "../lib/server.mjs";
import { launch, visitor, look, SIZES, tabTo } from "../lib/browser.mjs";
import { signedIn } from "../lib/client.mjs";
import { press, title, typeCard } from "../lib/child.mjs";
import { makeClass, makeCards, makeActivity, setChallenge, must } from "../lib/world.mjs";

const OPTIONS = { serviceWorkers: "block" };

async function scene(t) {
    const [school, browser] = [await startSchool(), await launch()];
    t.after(() => Promise.all([school.stop(), browser.close()]));
    const first = await signedIn(school.url, school.account);
    await first.get("/api/v1/session");
    const klass = await makeClass({ first }, "3 Alder", ["Ondi", "Perrin", "Quill"]);
    const cards = await makeCards({ first }, klass.id, "pupil");
    const challenge = await setChallenge(first, await makeActivity(first, "zones"), [klass.id]);
    const sent = async (card) => {
        const grid = must(await first.get(`/api/v1/classes/${klass.id}/grid`), 200);
        return grid.pupils.find((p) => p.id === card.pupil.id).cells[0].state;
    };
    return { school, browser, cards, challenge, sent };
}

/* A browser of before modules: it does not know what type="module" is, so such a script is text to
 * it, nor rel="modulepreload". The server's own pages otherwise, headers and all. */
async function withoutModules(v) {
    let scripts = 0;
    await v.context.route("**/*", async (route) => {
        if (!/^\/c?$/.test(new URL(route.request().url()).pathname)) {
            await route.continue();
            return;
        }
        const answer = await route.fetch();
        const text = await answer.text();
        scripts += (text.match(/type="module"/g) || []).length;
        await route.fulfill({ response: answer, body: text.replace(/type="module"/g, 'type="text/x-unknown"').replace(/modulepreload/g, "x-unknown") });
    });
    v.page.on("request", (r) => r.resourceType() === "script" && v.trouble.push(`a script was fetched: ${r.url()}`));
    return () => scripts;
}

/* From wherever a link to it stands: the plain form, filled in, sent and thanked, by keyboard. */
async function sendsPlainly(page, card, challenge) {
    await tabTo(page, /plain form/i);
    await page.keyboard.press("Enter");
    await page.waitForURL(/\/quick(\?lang=en)?$/);
    const type = async (label, words) => {
        await tabTo(page, label);
        await page.keyboard.type(words);
    };
    await type(/letters/i, card.code);
    await type(/number/i, String(challenge.number));
    await type(/try 1/i, "9");
    await type(/try 2/i, "12");
    await type(/try 3/i, "15");
    await type(/metres|far/i, "3");
    await page.keyboard.press("Enter");
    await page.waitForURL("**/quick/thanks");
}

test("a browser without modules is led to the plain form, from the child's page and the family's", async (t) => {
    const { school, browser, cards, challenge, sent } = await scene(t);
    for (const [i, [path, words]] of [["/", /Here you send your tries/], ["/c", /ask the school for the page on paper/]].entries()) {
        const v = await visitor(browser, school.url, SIZES.small, OPTIONS);
        const scripts = await withoutModules(v);
        await v.page.goto(path);
        assert.ok(scripts() >= 1, "there were modules to take away");
        await v.page.getByText(words).waitFor();
        await look(v, `without modules ${path}`);
        assert.equal(await sent(cards[i]), "not_yet");
        await sendsPlainly(v.page, cards[i], challenge);
        assert.equal(await sent(cards[i]), "handed_in");
        assert.deepEqual(v.trouble, []);
        await v.close();
    }
});

/* Files that do not come, and how: what a phone at the edge of its signal does, and a server that
 * is replaced at that moment. */
const LOST = [
    ["/", "main.js aborted", /\/js\/pupil\/main\.js$/, (r) => r.abort()],
    ["/", "main.js gone", /\/js\/pupil\/main\.js$/, (r) => r.fulfill({ status: 404, contentType: "text/plain", body: "" })],
    ["/", "the module that it imports aborted", /\/js\/pupil\/door\.js$/, (r) => r.abort()],
    ["/", "words aborted", /\/msg\/en\.card\.json$/, (r) => r.abort()],
    ["/", "words gone", /\/msg\/en\.card\.json$/, (r) => r.fulfill({ status: 404, contentType: "text/plain", body: "" })],
    ["/c", "family.js aborted", /\/js\/family\.js$/, (r) => r.abort()],
    ["/c", "words aborted", /\/msg\/en\.json$/, (r) => r.abort()]
];

test("scripts or words that do not come leave the words and the link to the plain form", async (t) => {
    const { school, browser } = await scene(t);
    for (const [path, what, file, lose] of LOST) {
        const v = await visitor(browser, school.url, SIZES.small, OPTIONS);
        let lost = 0;
        await v.context.route(file, (route) => {
            lost += 1;
            return lose(route);
        });
        await v.page.goto(path, { waitUntil: "networkidle" });
        assert.ok(lost >= 1, `${what}: asked for`);
        await v.page.locator("#main a[href='/quick']").waitFor();
        assert.ok((await v.page.locator("#main").textContent()).length > 60, what);
        v.trouble = v.trouble.filter((line) => !/Failed to load resource|ERR_FAILED/.test(line));
        assert.deepEqual(v.trouble, [], what);
        await look(v, `lost ${what} ${path}`);
        await v.close();
    }
});

test("the rest of the journey does not come: it is said, tried again, and the plain form is near", async (t) => {
    const { school, browser, cards, challenge, sent } = await scene(t);
    const v = await visitor(browser, school.url, SIZES.small, OPTIONS);
    const { page } = v;
    let away = true;
    await v.context.route(/\/js\/pupil\/journey\.js$/, (route) => (away ? route.abort() : route.continue()));
    const come = async () => {
        await page.locator("#card").pressSequentially(cards[0].code);
        await page.getByText("The page is not all here yet.").waitFor();
        await page.getByRole("link", { name: "Use the plain form" }).waitFor();
    };
    await page.goto("/");
    await come();
    v.trouble.splice(0, 99, ...v.trouble.filter((line) => !/Failed to load resource/.test(line)));
    await look(v, "journey did not come");
    assert.equal(await page.getByRole("link", { name: "Use the plain form" }).getAttribute("href"), "/quick?lang=en");
    await press(page, "Go");
    await page.getByText("The page is not all here yet.").waitFor();
    await press(page, "Load it again");
    await come();
    away = false;
    await press(page, "Load it again");
    await typeCard(page, cards[0].code);
    await title(page, /^Are you/);
    await press(page, "Yes");
    await title(page, "Today");
    away = true;
    await page.reload();
    await page.getByText("The page is not all here yet.").waitFor();
    await sendsPlainly(page, cards[0], challenge);
    assert.equal(await sent(cards[0]), "handed_in");
});
