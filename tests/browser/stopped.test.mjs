/* SPDX-License-Identifier: MIT
 * Guessing from many networks has stopped typed cards: what a child reads at home, in three languages,
 * and that the teacher can do what the sentence says. School, names and addresses are invented
 * (RFC 5737). */

import test from "node:test";
import assert from "node:assert/strict";
import { makeSchool, startServer } from "../lib/server.mjs";
import { launch, visitor, look, tabTo, SIZES } from "../lib/browser.mjs";
import { signedIn } from "../lib/client.mjs";
import { makeClass, makeCards } from "../lib/world.mjs";
import { closeAll } from "../lib/guesses.mjs";
import { title, sees } from "../lib/child.mjs";

const WORDS = {
    en: "Ask your teacher to open sign-in for the class.",
    pl: "Poproś nauczyciela o otwarcie logowania dla klasy.",
    ur: "اپنے استاد سے کہو کہ کلاس کے لیے داخلہ کھول دیں۔"
};

const TITLES = { en: "Hello", pl: "Cześć", ur: "سلام" };

/* The browser says "429" in its console: wanted here, and nothing else. */
function only429(v) {
    assert.deepEqual(v.trouble.filter((line) => !/status of 429/.test(line)), []);
    v.trouble.length = 0;
}

test("a stopped child is told whom to ask, and the teacher opens sign-in", async (t) => {
    const school = makeSchool();
    const server = await startServer(school.data, { args: ["--behind-proxy", "127.0.0.1"] });
    const browser = await launch();
    t.after(async () => {
        await browser.close();
        await server.stop();
        school.remove();
    });
    const first = await signedIn(server.url, school.account);
    await first.get("/api/v1/session");
    const klass = await makeClass({ first }, "3 Alder", ["Ondi", "Perrin"]);
    const cards = await makeCards({ first }, klass.id, "pupil");
    await closeAll({ url: server.url, host: new URL(server.url).host });

    const from = (address) => ({ extraHTTPHeaders: { "x-forwarded-for": address } });
    const child = await visitor(browser, server.url, SIZES.small, from("203.0.113.4"));
    await child.page.goto("/");
    for (const [code, name] of [["en", null], ["pl", "Polski"], ["ur", "اردو"]]) {
        if (name) {
            await child.page.getByRole("button", { name }).click();
        }
        await title(child.page, TITLES[code]);
        await child.page.locator("#card").pressSequentially(cards[0].code);
        await child.page.locator("form button[type=submit]").click();
        await sees(child.page, WORDS[code]);
        only429(child);
        await look(child, "stopped " + code);
    }

    const teacher = await visitor(browser, server.url, SIZES.large, from("192.0.2.10"));
    await teacher.page.goto("/staff?next=" + encodeURIComponent("/staff/cards?class=" + klass.id));
    await teacher.page.getByLabel("Your name").fill(school.account.name);
    await teacher.page.getByLabel("Passphrase").fill(school.account.passphrase);
    await teacher.page.getByRole("button", { name: "Sign in" }).click();
    await title(teacher.page, "Cards");
    await tabTo(teacher.page, /^Open sign-in for the class/);
    await look(teacher, "cards page before opening");
    await teacher.page.keyboard.press("Enter");
    await teacher.page.getByRole("status").getByText(/Sign-in is open for 20 minutes, until \d\d:\d\d/).waitFor();
    await look(teacher, "cards page sign-in open");
    await teacher.page.setViewportSize(SIZES.small);
    await look(teacher, "cards page sign-in open small");
    await teacher.page.goto("/staff/class?id=" + klass.id);
    await teacher.page.getByText("More", { exact: true }).click();
    await teacher.page.getByRole("button", { name: "Open sign-in for the class" }).click();
    await teacher.page.getByRole("status").getByText(/Sign-in is open/).waitFor();
    await look(teacher, "class page sign-in open");

    await child.page.locator("form button[type=submit]").click();
    await child.page.locator(".who").waitFor();
    assert.deepEqual(child.trouble, []);
});
