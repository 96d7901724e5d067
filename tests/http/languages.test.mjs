/* SPDX-License-Identifier: MIT
 * The form without script in each language, and the mark of machine-made words. Children, classes
 * and the school are invented. */
import { test } from "node:test";
import assert from "node:assert/strict";
import { readFileSync } from "node:fs";
import { startSchool } from "../lib/server.mjs";
import { Client, signedIn } from "../lib/client.mjs";
import { makeClass, makeActivity, setChallenge, makeCards, makeStaff, must } from "../lib/world.mjs";

const said = (code) => JSON.parse(readFileSync(`web/msg/${code}.json`, "utf8"));
const EN = said("en");
const SAFETY = ["tell.danger", "tell.ring", "quick.not_emergency"];
const html = (text) => text.replace(/&/g, "&amp;").replace(/'/g, "&#39;").replace(/"/g, "&quot;");
/* Where letters run from the right, values stand between isolates. */
const bare = (text) => text.replace(/[\u2068\u2069]/g, "");

async function world(t) {
    const school = await startSchool();
    t.after(() => school.stop());
    const w = { url: school.url, first: await signedIn(school.url, school.account) };
    await w.first.get("/api/v1/session");
    w.school = school;
    return w;
}

function quick(url, fields) {
    return new Client(url).request("POST", "/quick", new URLSearchParams(fields).toString(), { type: "application/x-www-form-urlencoded" });
}

test("the form speaks three languages, safety words beside their English", async (t) => {
    const w = await world(t);
    const klass = await makeClass(w, "1 Rowan", ["Tamsin"]);
    const [card] = await makeCards(w, klass.id, "pupil");
    await setChallenge(w.first, await makeActivity(w.first, "zones"), [klass.id]);
    const anon = new Client(w.url);

    for (const [code, tag, dir] of [["en", "en-GB", "ltr"], ["pl", "pl", "ltr"], ["ur", "ur", "rtl"]]) {
        const words = said(code);
        const page = await anon.get(`/quick?lang=${code}`);
        assert.equal(page.status, 200);
        assert.match(page.headers["content-type"], /text\/html/);
        assert.ok(page.text.includes(`<html lang="${tag}" dir="${dir}">`), code);
        for (const key of ["send.title", "quick.code", "quick.challenge", "quick.tries_hint", "quick.distance", "reason.no_space", "today.teacher_sees", ...SAFETY]) {
            assert.ok(page.text.includes(html(words[key])), `${code} ${key}`);
        }
        for (const key of SAFETY) {
            assert.ok(page.text.includes(html(EN[key])), `${code}: English of ${key}`);
        }
        assert.ok(page.text.includes(`<input type="hidden" name="lang" value="${code}">`));
        for (const other of ["/quick\"", "/quick?lang=pl\"", "/quick?lang=ur\""]) {
            assert.ok(page.text.includes(`href="${other}`), `${code}: a link to ${other}`);
        }
        assert.doesNotMatch(page.text, /<script|\{\w+\}/);
        const anchor = /href="\/privacy#([a-z-]+)"/.exec(page.text)[1];
        const section = new RegExp(`<section id="${anchor}"[^>]*>`).exec((await anon.get("/privacy")).text);
        assert.ok(section && (code === "en" || section[0].includes(`lang="${tag}"`)), `${code}: what happens to my tries, in that language`);

        const wrong = await quick(w.url, { lang: code, code: card.code, attempt_1: "16", attempt_2: "5 2 0 0 2", distance_m: "90" });
        assert.equal(wrong.status, 422);
        assert.ok(wrong.text.includes(`<html lang="${tag}" dir="${dir}">`));
        assert.ok(wrong.text.includes(`name="lang" value="${code}"`), "the language stays");
        assert.ok(wrong.text.includes(html(words["quick.look"])));
        const turned = await quick(w.url, { lang: code, code: card.code, attempt_1: "\u20671\u202e6" });
        assert.doesNotMatch(turned.text, /[\u2067\u202e]/, "what was typed turns no letters round");
        const fault = words["quick.impossible"];
        const sentence = (fault.many || fault.other).replace("{value}", "16").replace("{n}", "4");
        const few = (fault.few || fault.other).replace("{value}", "16").replace("{n}", "4");
        const text = bare(wrong.text);
        assert.ok(text.includes(html(few)), `${code}: ${few}`);
        assert.ok(sentence && text.includes(html(words["code.nearest_two"].replace("{low}", "15").replace("{high}", "17"))));
        assert.ok(text.includes(html((words["quick.throws"].few || words["quick.throws"].other).replace("{n}", "4"))), `${code}: plural`);
        assert.ok(text.includes(html(words["try.tab"].replace("{try}", "2"))));
        assert.doesNotMatch(wrong.text, /\{\w+\}/);

        const sent = await quick(w.url, { lang: code, code: card.code, attempt_1: code === "pl" ? "9" : code === "ur" ? "12" : "7" });
        assert.equal(sent.status, 303);
        assert.equal(sent.headers.location, code === "en" ? "/quick/thanks" : `/quick/thanks?lang=${code}`);
        const thanks = await anon.get(sent.headers.location);
        assert.equal(thanks.status, 200);
        assert.ok(thanks.text.includes(html(words["thanks.safe"])));
    }
    for (const odd of ["/quick", "/quick?lang=xx", "/quick?lang=%3Cscript%3E"]) {
        const page = await anon.get(odd);
        assert.ok(page.status === 200 && page.text.includes("<html lang=\"en-GB\" dir=\"ltr\">"), odd);
        assert.doesNotMatch(page.text, /<script/);
    }
    assert.equal((await quick(w.url, { lang: "xx", code: "BBB" })).status, 422);
});

/* CLDR 44 (unicode.org/cldr, supplemental plurals), Polish: 1 one; 2-4, 22-24 few but 12-14 many.
 * Intl.PluralRules of Node.js holds the same data and picks here what the server has to say. */
test("plurals are those of CLDR", async (t) => {
    const w = await world(t);
    const klass = await makeClass(w, "2 Rowan", ["Piet"]);
    const [card] = await makeCards(w, klass.id, "pupil");
    for (const throws of [1, 2, 5, 12, 20]) {
        const challenge = await setChallenge(w.first, await makeActivity(w.first, "successes", { throws, versions: [{ kind: "standard", how: "Throw and catch." }] }), [klass.id]);
        for (const code of ["en", "pl", "ur"]) {
            const wrong = await quick(w.url, { lang: code, code: card.code, challenge: String(challenge.number), attempt_1: Array(throws + 1).fill("1").join(" ") });
            const message = said(code)["quick.throws"][new Intl.PluralRules(code).select(throws)];
            assert.ok(bare(wrong.text).includes(html(message.replace("{n}", throws))), `${code} ${throws}: ${wrong.status}`);
        }
    }
});

test("what the school says when it is closed: on the help page in each language, and in a child's session", async (t) => {
    const w = await world(t);
    const anon = new Client(w.url);
    const fixed = ["tell.trust", "tell.danger", "tell.ring", "tell.childline"];
    const parts = async () => {
        const page = await anon.get("/help");
        assert.equal(page.status, 200);
        assert.match(page.headers["content-type"], /text\/html/);
        assert.match(page.headers["content-security-policy"], /script-src 'self'/);
        const section = /<section id="closed"[^]*?<\/section>/.exec(page.text)[0];
        assert.doesNotMatch(section, /<!--|\/s\/-\//);
        return section.split(/(?=<div lang=)/).slice(1);
    };
    const [card] = await makeCards(w, (await makeClass(w, "1 Rowan", ["Tamsin"])).id, "pupil");
    const heard = async () => (await signedIn(w.url, { card: card.code })).session.messages;
    for (const [i, part] of (await parts()).entries()) {
        const words = said(["en", "pl", "ur"][i]);
        fixed.forEach((key) => assert.ok(part.includes(html(words[key])), `${key} ${i}`));
        assert.ok(!part.includes(html(words["tell.says"])), "nothing is entered");
    }
    assert.deepEqual(await heard(), { on: false, school_open: null, opens_again: null, away_phone: "" }, "no term is known: nobody can say");

    const says = "Ring <Fern> & tell: 01632 960178"; /* a number set apart for invention */
    const { school } = must(await w.first.get("/api/v1/school"), 200);
    must(await w.first.put("/api/v1/school", { school: { ...school, away_phone: says } }), 200);
    const shown = await parts();
    assert.equal(shown.length, 3);
    for (const [i, [code, tag, dir]] of [["en", "en-GB", "ltr"], ["pl", "pl", "ltr"], ["ur", "ur", "rtl"]].entries()) {
        assert.ok(shown[i].startsWith(`<div lang="${tag}" dir="${dir}">`), tag);
        [...fixed, "tell.says"].forEach((key) => assert.ok(shown[i].includes(html(said(code)[key])), `${key} ${code}`));
        assert.ok(shown[i].includes('<strong dir="auto">Ring &lt;Fern&gt; &amp; tell: 01632 960178</strong>'), shown[i]);
        assert.equal(shown[i].includes(html(said(code)["lang.machine"])), code !== "en");
    }
    assert.equal((await heard()).away_phone, says);
});

test("machine-made words say so until the office has ticked them", async (t) => {
    const w = await world(t);
    const anon = new Client(w.url);
    const marked = async (code) => (await anon.get(`/quick?lang=${code}`)).text.includes(html(said(code)["lang.machine"]));
    assert.deepEqual(must(await anon.get("/api/v1/words"), 200), { read: [] });
    assert.deepEqual([await marked("en"), await marked("pl"), await marked("ur")], [false, true, true]);

    const lead = await makeStaff(w, "Quillon", ["pe_lead"]);
    const refused = await lead.client.put("/api/v1/school", { words_read: ["pl"] });
    assert.deepEqual([refused.status, refused.json.errors[0].pointer], [422, "/words_read"], "the office's to say");
    for (const [bad, pointer] of [[["en"], "/words_read/0"], [["pl", "xx"], "/words_read/1"], [["pl", 7], "/words_read/1"], ["pl", "/words_read"], [["pl", "ur", "pl"], "/words_read"]]) {
        const answer = await w.first.put("/api/v1/school", { words_read: bad });
        assert.deepEqual([answer.status, answer.json.errors[0].pointer], [422, pointer], JSON.stringify(bad));
    }
    assert.deepEqual(must(await anon.get("/api/v1/words"), 200), { read: [] }, "nothing is stored by half");

    assert.deepEqual(must(await w.first.put("/api/v1/school", { words_read: ["pl"] }), 200).words_read, ["pl"]);
    assert.deepEqual(must(await anon.get("/api/v1/words"), 200), { read: ["pl"] });
    assert.deepEqual([await marked("pl"), await marked("ur")], [false, true]);
    const { rows } = must(await w.first.get("/api/v1/audit"), 200);
    assert.ok(rows.some((r) => r.action === "school changed" && r.code === "words_read"), "ticking leaves a row");
    assert.deepEqual(must(await w.first.put("/api/v1/school", { words_read: [] }), 200).words_read, []);
    assert.equal(await marked("pl"), true);
});
