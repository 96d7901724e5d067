/* SPDX-License-Identifier: MIT
 * Throttles against the real server behind a proxy: guessing from one network never shuts typed cards
 * for others, and a child at the school's address never shuts staff out. Addresses are of the
 * documentation ranges (RFC 3849: 2001:db8::/32; RFC 5737: 192.0.2.0/24, 198.51.100.0/24,
 * 203.0.113.0/24) and of the benchmarking range (RFC 2544, 198.18.0.0/15). School and names are
 * invented; the numbers are our own rule. */

import test from "node:test";
import assert from "node:assert/strict";
import { readFileSync, readdirSync } from "node:fs";
import { join } from "node:path";
import { makeSchool, startServer } from "../lib/server.mjs";
import { Client } from "../lib/client.mjs";
import { makeClass, makeCards } from "../lib/world.mjs";
import { guesses, closeAll } from "../lib/guesses.mjs";

const HOST = "pe.brindle.example";
const SCHOOL = "192.0.2.10";
const HOME = "203.0.113.4";

/* A browser at an address: its requests come by the proxy that the server was told of. It keeps every
 * cookie, as a browser would. */
class Visitor extends Client {
    constructor(server, address) {
        super(server.url);
        this.address = address;
        this.jar = new Map();
    }
    request(method, path, body, options = {}) {
        this.cookie = [...this.jar].map(([name, value]) => `${name}=${value}`).join("; ") || null;
        return super.request(method, path, body, { ...options, headers: { ...options.headers, host: HOST, "x-forwarded-for": this.address } });
    }
    answer(method, path, sent, res, bytes) {
        for (const line of res.headers["set-cookie"] || []) {
            const [name, value] = line.split(";")[0].split(/=(.*)/);
            if (/max-age=0/i.test(line)) {
                this.jar.delete(name);
            } else {
                this.jar.set(name, value);
            }
        }
        return super.answer(method, path, sent, res, bytes);
    }
    enter(way) {
        return this.post("/api/v1/session", way, { noCsrf: true });
    }
}

async function behindProxy(t, options = {}) {
    const school = makeSchool();
    const server = await startServer(school.data, { ...options, args: ["--origin", `https://${HOST}`, "--behind-proxy", "127.0.0.1"] });
    t.after(async () => {
        assert.equal(await server.stop(), 0);
        school.remove();
    });
    const first = new Visitor(server, SCHOOL);
    assert.equal((await first.enter(school.account)).status, 200);
    await first.get("/api/v1/session");
    return { school, server, first, url: server.url, host: HOST };
}

async function withClass(t) {
    const w = await behindProxy(t);
    w.klass = await makeClass(w, "3 Alder", ["Ondi", "Perrin"]);
    w.other = await makeClass(w, "4 Birch", ["Rafe"]);
    w.cards = await makeCards(w, w.klass.id, "pupil");
    w.others = await makeCards(w, w.other.id, "pupil");
    return w;
}

/* An account whose passphrase is its own, not the issued one; signed in nowhere. */
async function makeStaff(w, name) {
    const made = await w.first.post("/api/v1/staff", { name, rights: [], classes: [] });
    assert.equal(made.status, 201, made.text);
    const passphrase = `quiet lantern ${name.toLowerCase()} meadow`;
    const desk = new Visitor(w.server, "203.0.113.200");
    assert.equal((await desk.enter({ name, passphrase: made.json.passphrase })).status, 200);
    assert.equal((await desk.put("/api/v1/me/passphrase", { old: made.json.passphrase, new: passphrase })).status, 204);
    assert.equal((await desk.del("/api/v1/session")).status, 204);
    return { name, passphrase };
}

const said = (answer) => [answer.status, ...(answer.json.errors || []).map((e) => e.pointer + " " + e.code)];

test("5,000 wrong codes from one IPv6 /48 leave every other home alone", async (t) => {
    const w = await withClass(t);
    const seen = await guesses(w, 5000, (i) => `2001:db8:77:${i.toString(16)}::${(i % 7) + 1}`);
    assert.equal(seen[401], 100, "that network had its hundred: " + JSON.stringify(seen));
    assert.equal(seen[429], 4900);
    assert.equal((await new Visitor(w.server, HOME).enter({ card: w.cards[0].code })).status, 200, "a home on IPv4");
    assert.equal((await new Visitor(w.server, "2001:db8:78:1::1").enter({ card: w.cards[1].code })).status, 200, "a home in the next /48");
    const neighbour = new Visitor(w.server, "2001:db8:77:fffe::1");
    assert.deepEqual(said(await neighbour.enter({ card: w.cards[0].code })), [429, "/card ask_teacher"], "in that network: whom to ask");
});

test("one /24 has a hundred, one address of it eighty at most", async (t) => {
    const w = await withClass(t);
    const one = await guesses(w, 300, () => "198.51.100.7");
    assert.ok(one[401] >= 60 && one[401] <= 61, "one address: 60, then one in two minutes: " + JSON.stringify(one));
    assert.equal((await new Visitor(w.server, "198.51.100.8").enter({ card: w.cards[0].code })).status, 200, "its neighbour goes on");
    const rest = await guesses(w, 300, (i) => `198.51.100.${20 + (i % 200)}`);
    assert.equal(one[401] + rest[401], 100, JSON.stringify(rest));
    assert.equal((await new Visitor(w.server, "198.51.101.8").enter({ card: w.cards[0].code })).status, 200, "the next /24");
});

test("IPv4 written as IPv6 is IPv4", async (t) => {
    const w = await withClass(t);
    const forms = (i) => [`::ffff:198.51.100.${i % 200}`, `::ffff:c633:64${(i % 200).toString(16).padStart(2, "0")}`, `0:0:0:0:0:FFFF:198.51.100.${i % 200}`][i % 3];
    const seen = await guesses(w, 400, forms);
    assert.equal(seen[401], 100, JSON.stringify(seen));
    assert.equal((await new Visitor(w.server, "::ffff:203.0.113.9").enter({ card: w.cards[0].code })).status, 200);
});

test("when the ceiling of all is closed: whom to ask, who goes on, and what the teacher's button does", async (t) => {
    const w = await withClass(t);
    const known = new Visitor(w.server, "203.0.113.20");
    assert.equal((await known.enter({ card: w.cards[0].code })).status, 200);
    const scanned = new Visitor(w.server, "203.0.113.21");
    assert.equal((await scanned.enter({ key: w.cards[1].url.split("#k=")[1] })).status, 200);
    for (const v of [known, scanned]) {
        assert.equal((await v.del("/api/v1/session")).status, 204, "Finish");
        assert.deepEqual([...v.jar.keys()], ["__Host-dv"]);
        assert.doesNotMatch(Buffer.from(v.jar.get("__Host-dv"), "base64url").toString("latin1"), /Ondi|Perrin|Alder/);
        v.address = "203.0.113.77";     /* homes get new addresses */
    }
    const seen = await closeAll(w);
    assert.equal(seen[401], 5000, JSON.stringify(seen));
    const stranger = new Visitor(w.server, HOME);
    const stopped = await stranger.enter({ card: w.cards[0].code });
    assert.deepEqual(said(stopped), [429, "/card ask_teacher"]);
    assert.ok(Number(stopped.headers["retry-after"]) > 0);
    assert.equal((await known.enter({ card: w.cards[0].code })).status, 200, "a device that knew the card");
    assert.equal((await scanned.enter({ card: w.cards[1].code })).status, 200, "... by its QR code");
    assert.deepEqual(said(await known.enter({ card: w.others[0].code })), [429, "/card ask_teacher"], "that card alone");
    assert.equal((await new Visitor(w.server, HOME).enter({ key: w.cards[0].url.split("#k=")[1] })).status, 200, "QR codes go on");

    assert.equal((await w.first.post(`/api/v1/classes/${w.klass.id}/sign-in-window`)).status, 204);
    assert.equal((await stranger.enter({ card: w.cards[0].code })).status, 200, "at home, with the teacher at school");
    assert.equal((await stranger.del("/api/v1/session")).status, 204);
    assert.equal((await new Visitor(w.server, SCHOOL).enter({ card: w.cards[1].code })).status, 200, "at school");
    assert.equal((await new Visitor(w.server, "203.0.113.5").enter({ card: w.others[0].code })).status, 401, "codes of that class alone");
});

test("/quick says whom to ask, and keeps what was typed", async (t) => {
    const w = await withClass(t);
    await closeAll(w);
    const form = (lang) => new Visitor(w.server, HOME).request("POST", "/quick", `code=${w.cards[0].code.replace(/ /g, "+")}&attempt_1=41${lang}`, { type: "application/x-www-form-urlencoded" });
    for (const [lang, words] of [["", "Ask your teacher to open sign-in for the class."], ["&lang=pl", "nauczyciela"], ["&lang=ur", "استاد"]]) {
        const answer = await form(lang);
        assert.equal(answer.status, 429);
        assert.ok(answer.text.includes(words), answer.text);
        assert.match(answer.text, /value="41"/);
    }
});

test("a family's card does not hang on the ceiling", async (t) => {
    const w = await withClass(t);
    const [family] = await makeCards(w, w.klass.id, "family");
    await closeAll(w);
    assert.equal((await new Visitor(w.server, HOME).enter({ card: family.code })).status, 200);
});

test("60 wrong passphrases at the school's address keep no staff out while somebody is signed in there", async (t) => {
    const w = await behindProxy(t);
    const heron = await makeStaff(w, "Heron"), wren = await makeStaff(w, "Wren");
    const child = new Visitor(w.server, SCHOOL);
    for (let i = 0; i < 60; i += 1) {
        const status = (await child.enter({ name: `Nobody ${i % 30}`, passphrase: "guess after guess after guess" })).status;
        assert.equal(status, 401, "the " + i + "th is looked at like any other");
    }
    assert.equal((await new Visitor(w.server, SCHOOL).enter(wren)).status, 200, "the first account is signed in there");
    for (let i = 0; i < 20; i += 1) {
        await child.enter({ name: "Heron", passphrase: "guess after guess after guess" });
    }
    assert.equal((await new Visitor(w.server, SCHOOL).enter(heron)).status, 429, "account and address together");
    assert.equal((await new Visitor(w.server, HOME).enter(heron)).status, 200, "elsewhere that account goes on");
});

test("where nobody is signed in an address waits, and the browser that is known does not", async (t) => {
    const w = await behindProxy(t);
    const lark = await makeStaff(w, "Lark"), wren = await makeStaff(w, "Wren");
    const shared = new Visitor(w.server, "203.0.113.50");      /* a staffroom computer of two */
    for (const one of [lark, wren]) {
        assert.equal((await shared.enter(one)).status, 200);
        assert.equal((await shared.del("/api/v1/session")).status, 204);
    }
    shared.address = "198.51.100.50";
    const child = new Visitor(w.server, "198.51.100.50");
    const seen = [];
    for (let i = 0; i < 60; i += 1) {
        seen.push((await child.enter({ name: `Nobody ${i}`, passphrase: "guess after guess after guess" })).status);
    }
    assert.ok(seen.includes(429) && seen.indexOf(429) >= 30, seen.join(" "));
    assert.equal((await new Visitor(w.server, "198.51.100.50").enter(lark)).status, 429, "a browser nobody knows, where nobody is");
    for (const one of [lark, wren]) {
        assert.equal((await shared.enter(one)).status, 200, one.name + " on a browser that knows them");
        assert.equal((await shared.del("/api/v1/session")).status, 204);
    }
});

test("a flood of wrong passphrases keeps nobody waiting whose browser is known", async (t) => {
    const w = await behindProxy(t);
    const lark = await makeStaff(w, "Lark");
    const known = new Visitor(w.server, SCHOOL);
    assert.equal((await known.enter(lark)).status, 200);
    assert.equal((await known.del("/api/v1/session")).status, 204);
    const seen = {};
    let stop = false;
    const flood = Array.from({ length: 40 }, async (_, i) => {
        while (!stop) {
            const { status } = await new Visitor(w.server, SCHOOL).enter({ name: `Nobody ${i} ${Math.random()}`, passphrase: "guess after guess after guess" });
            seen[status] = (seen[status] || 0) + 1;
        }
    });
    while (!seen[503]) {
        await new Promise((next) => setTimeout(next, 20));
    }
    for (let i = 0; i < 10; i += 1) {
        assert.equal((await known.enter(lark)).status, 200, `the ${i}th time, with the queue full`);
        assert.equal((await known.del("/api/v1/session")).status, 204);
    }
    stop = true;
    await Promise.all(flood);
    assert.ok(seen[401] > 0 && seen[503] > 0 && !seen[429], JSON.stringify(seen));
});

test("a child who asks and asks at the school's address keeps no browser out that is known", async (t) => {
    const w = await behindProxy(t, { rate: 2 }); /* slow enough for a flood on any machine */
    const lark = await makeStaff(w, "Lark");
    const known = new Visitor(w.server, SCHOOL);
    assert.equal((await known.enter(lark)).status, 200);
    assert.equal((await known.del("/api/v1/session")).status, 204);
    const madeUp = new Visitor(w.server, SCHOOL);
    madeUp.jar.set("__Host-dv", Buffer.alloc(24, 7).toString("base64url"));
    const seen = {};
    let stop = false;
    const flood = Array.from({ length: 8 }, async () => {
        while (!stop) {
            const { status } = await new Visitor(w.server, SCHOOL).get("/api/v1/session");
            seen[status] = (seen[status] || 0) + 1;
        }
    });
    while (!seen[429]) {
        await new Promise((next) => setTimeout(next, 20));
    }
    const forged = [];
    for (let i = 0; i < 4; i += 1) {
        assert.equal((await known.enter(lark)).status, 200, `the ${i}th time`);
        assert.equal((await known.del("/api/v1/session")).status, 204);
        forged.push((await madeUp.enter(lark)).status);
    }
    stop = true;
    await Promise.all(flood);
    assert.ok(forged.filter((status) => status === 429).length >= 2, "a cookie that is not ours is nobody's: " + forged.join(" "));
    let own = 0;
    while ((await known.get("/api/v1/session")).status !== 429 && own < 2000) {
        own += 1;
    }
    assert.ok(own >= 1 && own < 2000, "and has a rate of its own");
});

test("no address on the disk or in the log", async (t) => {
    const w = await withClass(t);
    await guesses(w, 150, (i) => `2001:db8:77:${i.toString(16)}::1`);
    await guesses(w, 150, (i) => `198.51.100.${i}`);
    assert.match(w.server.stderr(), /many_wrong_card_codes/);
    assert.doesNotMatch(w.server.stderr(), /2001:db8|198\.51\.100|192\.0\.2/i);
    for (const name of readdirSync(w.school.data)) {
        const bytes = readFileSync(join(w.school.data, name)).toString("latin1");
        assert.doesNotMatch(bytes, /2001:db8|198\.51\.100|192\.0\.2\./i, name);
    }
});
