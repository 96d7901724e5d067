/* SPDX-License-Identifier: MIT
 * Words by version, over the activities of a new school and of the library: whoever sits is told nothing
 * about standing, steps, jumps or feet, a quiet version nothing about a rope or balloon that it does
 * not have, and no version about what it says it does without. What is looked at is what the child's page shows (web/js/pupil/fits.js); lines about safety
 * are shown to everybody, so they have to fit everybody. Our own rule. */

import { test } from "node:test";
import assert from "node:assert/strict";
import { readFileSync, readdirSync } from "node:fs";
import { startSchool } from "../lib/server.mjs";
import { signedIn } from "../lib/client.mjs";
import { must } from "../lib/world.mjs";

const moduleOf = (text) => import("data:text/javascript," + encodeURIComponent(text));
const { unfit, without, sentences, fittingCues, fittingKit, fittingQuestions } = await moduleOf(readFileSync("web/js/pupil/fits.js", "utf8"));

/* Written here on their own: not the list that the page goes by. */
const UPRIGHT = /\b(stand|stands|standing|stamps?|steps?|stepping|jump\w*|hop|hops|hopping|kneel\w*|walk\w*|run|runs|running|feet|foot|toes?|heels?|tiptoe|legs?)\b/i;
const KIT = ["rope", "balloon"]; /* nobody has one unless the version's own words say so */
const OF_OTHERS = /^Nobody (walks|stands)\b/; /* about people who keep away */
const WHERE_THERE_IS_ONE = /^If /;

/* The library's modules as one, without what ties them together. */
async function library() {
    const dir = "web/js/staff/library/";
    const files = ["make.js", ...readdirSync(dir).filter((f) => !/^(make|all)\.js$/.test(f))];
    const text = files.map((f) => {
        const body = readFileSync(dir + f, "utf8").replace(/^import .*$/gm, "").replace(/^export /gm, "");
        return f === "make.js" ? body : `all.push(...(() => { ${body}; return ${f.replace(".js", "")}; })());`;
    });
    return (await moduleOf(`const all = [];\n${text.join("\n")}\nexport default all;`)).default;
}

async function everyActivity(t) {
    const school = await startSchool();
    t.after(() => school.stop());
    const first = await signedIn(school.url, school.account);
    const { activities } = must(await first.get("/api/v1/activities"), 200);
    assert.equal(activities.length, 6);
    const own = [];
    for (const a of activities) {
        own.push((await first.get(`/api/v1/activities/${a.id}`)).json.activity || a);
    }
    return own.concat(await library());
}

/* {where, text} of each sentence that a child with this version reads. */
function shown(a, version) {
    const kept = (where, text) => sentences(text || "").map((s) => s.trim()).filter((s) => !unfit(s, version)).map((s) => ({ where, text: s }));
    const whole = (where, text) => sentences(text || "").map((s) => ({ where, text: s.trim() }));
    return [
        ...whole("summary", a.summary), ...whole("how", version.how), ...kept("set_up", a.set_up), ...kept("scoring", a.scoring),
        ...fittingCues(a, version).flatMap((c) => whole("cue", c.text)),
        ...fittingQuestions(a, version).flatMap((q) => [q.text, ...q.choices.map((c) => c.text)]).flatMap((s) => whole("question", s)),
        ...fittingKit(a, version).flatMap((k) => [...whole("kit", k.item), ...whole("kit", k.swap)]),
        ...a.safety.flatMap((s) => whole("safety", s)),
        ...a.steps.flatMap((s) => [...kept("steps", s.easier), ...kept("steps", s.harder)])
    ];
}

const named = (thing, text) => new RegExp(`\\b${thing}s?\\b`, "i").test(text);

test("each version speaks of what it has", async (t) => {
    const all = await everyActivity(t);
    assert.ok(all.length >= 24);
    const bad = [];
    for (const a of all) {
        assert.deepEqual(a.versions.map((v) => v.kind), ["standard", "quiet", "seated", "no_kit"], a.name);
        for (const version of a.versions) {
            const say = (s, what) => bad.push(`${a.name}, ${version.kind}, ${s.where}: ${what}: ${s.text}`);
            const told = shown(a, version).filter((s) => !OF_OTHERS.test(s.text));
            const lacks = without(version);
            for (const s of told) {
                if (version.kind === "seated" && UPRIGHT.test(s.text)) {
                    say(s, "who sits");
                }
                const unnamed = version.kind === "quiet" ? KIT.filter((thing) => !named(thing, version.how)) : [];
                const missing = lacks.concat(unnamed).find((thing) => named(thing, s.text));
                if (missing && s.where !== "how" && !WHERE_THERE_IS_ONE.test(s.text)) {
                    say(s, missing);
                }
            }
            for (const where of ["scoring", "cue", "question", "how"]) {
                assert.ok(told.some((s) => s.where === where), `${a.name}, ${version.kind}: no ${where} is left`);
            }
        }
    }
    assert.deepEqual(bad, []);
});

/* What a reader found in a version that it does not fit; written by hand. */
const NOT_THERE = [
    ["Side to side", "quiet", /feet together/i], ["Stamp, clap, turn", "quiet", /soft stamps/i], ["Star on all fours", "seated", /like a table|on your back/i],
    ["Bounce beat", "quiet", /may bounce|push(es|ing)|roll(s|ing)? away/i], ["Bounce beat", "no_kit", /may bounce|push(es|ing)|roll(s|ing)? away/i],
    ["Snake rope", "no_kit", /wiggles|lies free/i], ["Palm pats", "quiet", /\bbag\b/i], ["Roll home", "no_kit", /two sheets/i],
    ["Eight-count shapes", "standard", /across the room/i]
];
/* Who chose that version reads no other one's words, and the summary only before choosing. */
const THERE = [["Gate roll", "quiet", /Kneel on one knee/], ["Gate roll", "no_kit", /Kneel on one knee/], ["Roll home", "seated", /a tray as a ramp/], ["Side to side", "standard", /feet together/i],
    ["Star on all fours", "quiet", /other leg back/], ["Star on all fours", "no_kit", /other leg back/], ["Eight-count shapes", "no_kit", /seven counts/],
    ["Stamp, clap, turn", "no_kit", /stamp, clap, turn/], ["Side-step lines", "quiet", /sideways/], ["Side-step lines", "no_kit", /sideways/]];

test("what a reader found is not there again", async (t) => {
    const all = await everyActivity(t);
    const told = ([name, kind, words]) => {
        const a = all.find((one) => one.name === name);
        return shown(a, a.versions.find((v) => v.kind === kind)).filter((s) => s.where !== "summary" && words.test(s.text)).map((s) => s.text);
    };
    assert.deepEqual(NOT_THERE.flatMap(told), []);
    THERE.forEach((one) => assert.ok(told(one).length, one.join(", ")));
});

test("where a version loses a sentence, each language loses the same", async (t) => {
    const all = await everyActivity(t);
    let looked = 0;
    for (const code of ["pl", "ur"]) {
        const { texts } = JSON.parse(readFileSync(`web/msg/${code}.json`, "utf8"));
        for (const a of all) {
            for (const text of [a.set_up, a.scoring, ...a.steps.flatMap((s) => [s.easier, s.harder])]) {
                if (texts[text] && a.versions.some((v) => sentences(text).some((s) => unfit(s, v)))) {
                    looked += 1;
                    assert.equal(sentences(texts[text]).length, sentences(text).length, `${code}: ${text}`);
                }
            }
        }
    }
    assert.ok(looked > 10, `${looked}`);
});
