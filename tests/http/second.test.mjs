/* SPDX-License-Identifier: MIT
 * A fresh start, an own target, and a colleague's second view. Names and results are invented; the
 * statuses and words are those of the published interface. */

import test from "node:test";
import assert from "node:assert/strict";
import { startSchool } from "../lib/server.mjs";
import { signedIn, uuid7 } from "../lib/client.mjs";
import { makeClass, makeCards, makeActivity, setChallenge, makeStaff, must, day, ACTIVITIES, inSchoolYear } from "../lib/world.mjs";

async function world(t, names = ["Ambrin", "Bexley", "Corin"]) {
    const school = await startSchool(inSchoolYear(14));
    t.after(() => school.stop());
    const w = { url: school.url, school, first: await signedIn(school.url, school.account) };
    await w.first.get("/api/v1/session");
    w.klass = await makeClass(w, "3 Sorrel", names);
    w.cards = await makeCards(w, w.klass.id, "pupil");
    w.child = (i) => signedIn(w.url, { card: w.cards.find((c) => c.pupil.id === w.klass.pupils[i].id).code });
    w.pupil = (i) => w.klass.pupils[i].id;
    w.teach = await makeStaff(w, "Tamsin", [], [{ class: w.klass.id, right: "teach" }]);
    return w;
}

const tries = (w, challenge, values, more = {}) => ({ id: uuid7(), challenge: challenge.id, attempts: values.map((value) => ({ value, distance_mm: 3000 })), ...more });

test("a fresh start", async (t) => {
    const w = await world(t);
    const zones = await makeActivity(w.teach.client, "zones");
    const challenge = await setChallenge(w.teach.client, zones, [w.klass.id], { opens_on: day(-10) });
    const child = await w.child(0);
    must(await child.post("/api/v1/hand-ins", tries(w, challenge, [20, 15, 12], { done_on: day(-5) })), 201);
    const path = `/api/v1/pupils/${w.pupil(0)}/fresh-start`;
    const bests = async () => must(await child.get("/api/v1/me/bests"), 200).lines;

    await t.test("what is refused", async () => {
        const code = async (from) => {
            const answer = await w.teach.client.put(path, { from });
            assert.equal(answer.status, 422, answer.text);
            return answer.json.errors.map((e) => e.pointer + " " + e.code).join();
        };
        assert.equal(await code(day(1)), "/from in_future");
        assert.equal(await code("2001-01-01"), "/from before_year");
        assert.equal(await code(7), "/from type");
        assert.equal((await w.teach.client.put(path, { from: null, why: "x" })).status, 422);
        assert.equal((await w.teach.client.put("/api/v1/pupils/999999999/fresh-start", { from: null })).status, 404);
        assert.equal(must(await w.teach.client.get(`/api/v1/pupils/${w.pupil(0)}`), 200).pupil.fresh_start, null);
    });

    await t.test("the child's line begins anew, everywhere, and no word says why", async () => {
        assert.equal((await bests())[0].best.value, 20);
        const set = must(await w.teach.client.put(path, { from: day(-1) }), 200);
        assert.equal(set.pupil.fresh_start, day(-1));
        assert.deepEqual(await bests(), []);
        const own = must(await child.get(`/api/v1/me/challenges/${challenge.id}`), 200);
        assert.deepEqual(own.bests, []);
        assert.equal(own.hand_ins.length, 1, "what was sent is still there");
        const tile = must(await child.get("/api/v1/me/challenges"), 200).challenges[0];
        assert.deepEqual([tile.state, tile.best], ["handed_in", null]);
        const stored = must(await child.post("/api/v1/hand-ins", tries(w, challenge, [7, 5, 2])), 201);
        assert.equal(stored.own_best.status, "first");
        assert.deepEqual(stored.bests.map((b) => b.value), [7]);
        assert.deepEqual((await bests()).map((l) => [l.best.value, l.hand_ins ? l.hand_ins.length : l.points.length]), [[7, 1]]);
        for (const answer of [own, tile, stored, await bests()]) {
            assert.doesNotMatch(JSON.stringify(answer), /fresh/);
        }
    });

    await t.test("an old day's tries sent late are kept and count for no best", async () => {
        const late = must(await child.post("/api/v1/hand-ins", tries(w, challenge, [14, 12, 10], { done_on: day(-3) })), 201);
        assert.equal(late.own_best.status, null);
        assert.equal((await bests())[0].best.value, 7);
    });

    await t.test("the family's page and the record begin anew; bands do not", async () => {
        const record = must(await w.teach.client.get(`/api/v1/pupils/${w.pupil(0)}/record`), 200);
        assert.deepEqual([record.lines.length, record.hand_ins.length, record.pupil.fresh_start], [1, 3, day(-1)]);
        assert.equal(record.lines[0].best.value, 7);
        const progress = must(await w.teach.client.get(`/api/v1/pupils/${w.pupil(0)}/progress`), 200);
        assert.equal(progress.lines[0].best.value, 7);
        assert.doesNotMatch(JSON.stringify(progress), /fresh/);
        const row = must(await w.teach.client.get(`/api/v1/units/${challenge.unit.id}/assess?class=${w.klass.id}`), 200).rows.find((r) => r.pupil.id === w.pupil(0));
        assert.match(row.suggestion.reasons.join(" "), /9 tries in 3 hand-ins/);
    });

    await t.test("taken back, all counts again; both are in the audit; the office does not see it", async () => {
        must(await w.teach.client.put(path, { from: null }), 200);
        assert.equal((await bests())[0].best.value, 20);
        const audit = must(await w.first.get("/api/v1/audit"), 200).rows.map((r) => r.action);
        assert.ok(audit.includes("fresh start set") && audit.includes("fresh start taken back"));
        const office = await makeStaff(w, "Orla", ["office"]);
        must(await w.teach.client.put(path, { from: day(0) }), 200);
        assert.equal(must(await office.client.get(`/api/v1/pupils/${w.pupil(0)}`), 200).pupil.fresh_start, null);
    });
});

test("an own target", async (t) => {
    const w = await world(t);
    const seated = (target, lines) => ({ kind: "seated", how: "Sit and slide.", own_target: target, band_lines: lines || [] });
    const standard = ACTIVITIES.zones.versions[0];
    const fault = async (versions) => {
        const answer = await w.teach.client.post("/api/v1/activities", { ...ACTIVITIES.zones, versions });
        assert.equal(answer.status, 422, answer.text);
        return answer.json.errors.map((e) => e.pointer + " " + e.code).join();
    };

    await t.test("what is refused", async () => {
        assert.equal(await fault([{ ...standard, band_lines: [], own_target: 8 }]), "/versions/0/own_target not_of_standard");
        assert.equal(await fault([standard, seated(8, [6])]), "/versions/1/own_target lines_or_target");
        assert.equal(await fault([standard, seated(21)]), "/versions/1/own_target out_of_range");
        assert.equal(await fault([standard, seated(0)]), "/versions/1/own_target out_of_range");
        assert.equal(await fault([standard, seated(18)]), "/versions/1/own_target impossible");
        assert.equal(await fault([standard, seated("8")]), "/versions/1/own_target type");
    });

    await t.test("met, nearly, not yet; never a band; never shown to a child", async () => {
        const made = await makeActivity(w.teach.client, "zones", { versions: [standard, seated(8)] });
        assert.deepEqual(made.versions.map((v) => v.own_target), [null, 8]);
        const challenge = await setChallenge(w.teach.client, made, [w.klass.id]);
        const results = [[8, 9, 2], [7, 9, 2], [7, 5, 2]];
        for (let i = 0; i < 3; i += 1) {
            const child = await w.child(i);
            const page = must(await child.get(`/api/v1/me/challenges/${challenge.id}`), 200);
            assert.doesNotMatch(JSON.stringify(page), /own_target/);
            must(await child.post("/api/v1/hand-ins", tries(w, challenge, results[i], { version: made.versions[1].id })), 201);
        }
        const rows = must(await w.teach.client.get(`/api/v1/units/${challenge.unit.id}/assess?class=${w.klass.id}`), 200).rows;
        const said = [/own target 8 points\. The middle try reaches it: met\./, /At least one try reaches it: nearly\./, /No try reaches it: not yet\./];
        rows.forEach((row, i) => {
            assert.equal(row.suggestion.band, null);
            assert.equal(row.suggestion.silent, "own_target");
            assert.match(row.suggestion.sentence, /own target instead of band lines/);
            assert.match(row.suggestion.reasons.join(" "), said[i]);
        });
    });
});

/* A class of twelve with tries, one teaching point seen each, a colleague who reads, a lead, and the
 * first assessments decided: so that every answer has something to leak. */
async function assessed(t) {
    const w = await world(t, ["Ambrin", "Bexley", "Corin", "Dara", "Elwin", "Fenna", "Garrick", "Hollis", "Imre", "Jessamy", "Kester", "Linnet"]);
    w.words = ["just starting", "well on the way", "far ahead"];
    must(await w.first.put("/api/v1/school", { band_words: w.words }), 200);
    const activity = await makeActivity(w.teach.client, "zones");
    w.challenge = await setChallenge(w.teach.client, activity, [w.klass.id]);
    w.unit = w.challenge.unit.id;
    w.base = `/api/v1/units/${w.unit}`;
    for (let i = 0; i < 12; i += 1) {
        must(await w.teach.client.post(`/api/v1/challenges/${w.challenge.id}/hand-ins`, { ...tries(w, w.challenge, [[7, 9, 12], [14, 15, 20], [2, 5, 7]][i % 3]), pupil: w.pupil(i), channel: "staff" }), 201);
        must(await w.teach.client.put(`${w.base}/assessments/${w.pupil(i)}`, { band: i % 3, shared: true }), 200);
    }
    must(await w.teach.client.post(`${w.base}/seen`, { pupil: w.pupil(0), cue: activity.cues[0].id, seen: true }), 204);
    w.read = await makeStaff(w, "Runa", [], [{ class: w.klass.id, right: "read" }]);
    w.lead = await makeStaff(w, "Pelle", ["pe_lead"]);
    w.help = await makeStaff(w, "Hedda", [], [{ class: w.klass.id, right: "help" }]);
    w.list = async (who) => must(await who.client.get(`${w.base}/second-views?class=${w.klass.id}`), 200);
    w.ask = async (staff, pupils) => must(await w.teach.client.post(`${w.base}/second-views`, { class: w.klass.id, staff: staff.id, pupils }), 201);
    return w;
}

const slug = (answer) => [answer.status, ((answer.json || {}).errors || []).map((e) => e.code).join()];

test("asking for a second view", async (t) => {
    const w = await assessed(t);
    const ask = (body) => w.teach.client.post(`${w.base}/second-views`, { class: w.klass.id, staff: w.read.id, pupils: [w.pupil(0)], ...body });

    await t.test("who may be asked, and what is refused", async () => {
        const names = (await w.list(w.teach)).may_ask.map((s) => s.name);
        assert.ok(names.includes("Runa") && names.includes("Pelle"));
        assert.ok(!names.includes("Hedda") && !names.includes("Tamsin"));
        assert.deepEqual(slug(await ask({ staff: w.help.id })), [422, "may_not_see"]);
        assert.deepEqual(slug(await ask({ staff: w.teach.id })), [422, "may_not_see"]);
        assert.deepEqual(slug(await ask({ pupils: [] })), [422, "empty"]);
        assert.deepEqual(slug(await ask({ pupils: ["999999999"] })), [422, "not_found"]);
        assert.deepEqual(slug(await ask({ pupils: [w.pupil(0), w.pupil(0)] })), [422, "asked"]);
        assert.deepEqual(slug(await ask({ why: "x" })), [422, "unknown"]);
        assert.deepEqual(slug(await ask({ pupils: w.klass.pupils.slice(0, 9).map((p) => p.id) })), [422, "too_many"]);
        assert.equal((await ask({ class: "999999999" })).status, 404);
        assert.equal((await w.teach.client.get(`${w.base}/second-views`)).status, 422);
        must(await w.lead.client.put(`${w.base}/assessments/${w.pupil(7)}`, { band: 1 }), 200);
        assert.deepEqual(slug(await ask({ staff: w.lead.id, pupils: [w.pupil(6), w.pupil(7)] })), [422, "decided_by_them"], "one person's look is not two");
        assert.deepEqual((await w.list(w.teach)).views, [], "nothing of that was stored");
    });

    await t.test("at most eight at once; asked about once", async () => {
        await w.ask(w.read, w.klass.pupils.slice(0, 6).map((p) => p.id));
        assert.deepEqual(slug(await ask({})), [422, "asked"]);
        assert.deepEqual(slug(await ask({ staff: w.lead.id, pupils: w.klass.pupils.slice(0, 3).map((p) => p.id) })), [422, "eight_open"]);
        const both = await w.ask(w.lead, [w.pupil(0), w.pupil(1)]);
        assert.equal(both.views.length, 8);
        assert.deepEqual(both.views.map((v) => v.pupil.display_name), ["Ambrin", "Ambrin", "Bexley", "Bexley", "Corin", "Dara", "Elwin", "Fenna"], "by name");
    });

    await t.test("the asker's side takes one back; the person asked cannot", async () => {
        const of = (views, staff, i) => views.find((v) => v.asked_of.id === staff.id && v.pupil.id === w.pupil(i));
        const { views } = await w.list(w.teach);
        assert.equal((await w.read.client.del(`/api/v1/second-views/${of(views, w.read, 5).id}`)).status, 404);
        assert.deepEqual(slug(await w.lead.client.del(`/api/v1/second-views/${of(views, w.lead, 0).id}`)), [409, "second_view_open"]);
        must(await w.teach.client.del(`/api/v1/second-views/${of(views, w.read, 5).id}`), 204);
        assert.equal((await w.teach.client.del(`/api/v1/second-views/${of(views, w.read, 5).id}`)).status, 404);
        assert.equal((await w.list(w.teach)).views.length, 7);
    });

    await t.test("a right that ends takes the asked view with it", async () => {
        must(await w.first.put(`/api/v1/staff/${w.read.id}`, { classes: [] }), 200);
        const reader = await w.read.again();
        assert.deepEqual(must(await reader.get("/api/v1/second-views"), 200).views, []);
        assert.equal(must(await reader.get("/api/v1/home"), 200).second_views, 0);
        const open = (await w.list(w.teach)).views.find((v) => v.asked_of.id === w.read.id);
        assert.equal((await reader.put(`/api/v1/second-views/${open.id}`, { band: 1 })).status, 404);
    });
});

test("whoever owes a second view is told neither suggestion nor assessment", async (t) => {
    const w = await assessed(t);
    const seer = await makeStaff(w, "Tove", ["pe_lead"], [{ class: w.klass.id, right: "teach" }]);    /* the widest rights on results */
    const child = w.pupil(1);
    /* Every answer that could tell, as text: what is about the child only. */
    const about = (json) => JSON.stringify((json.rows || []).filter((r) => r.pupil.id === child));
    const answers = async (client) => ({
        assess: about(must(await client.get(`${w.base}/assess?class=${w.klass.id}`), 200)),
        results: about(must(await client.get(`/api/v1/challenges/${w.challenge.id}/results?class=${w.klass.id}`), 200)),
        record: JSON.stringify(must(await client.get(`/api/v1/pupils/${child}/record`), 200)),
        progress: JSON.stringify(must(await client.get(`/api/v1/pupils/${child}/progress`), 200)),
        copy: JSON.stringify(must(await client.get(`/api/v1/exports/pupil.json?pupil=${child}`), 200)),
        csv: must({ ...(await client.get(`/api/v1/exports/results.csv?class=${w.klass.id}`)), json: "" }, 200),
        pupil: JSON.stringify(must(await client.get(`/api/v1/pupils/${child}`), 200)),
        seen: about(must(await client.get(`${w.base}/seen?class=${w.klass.id}`), 200)),
        next: JSON.stringify(must(await client.get(`${w.base}/next-lesson?class=${w.klass.id}`), 200)),
        statements: about(must(await client.get(`/api/v1/statements?class=${w.klass.id}`), 200)),
        grid: JSON.stringify(must(await client.get(`/api/v1/classes/${w.klass.id}/grid`), 200)),
        home: JSON.stringify(must(await client.get("/api/v1/home"), 200)),
        side: JSON.stringify(must(await client.get(`${w.base}/second-views?class=${w.klass.id}`), 200).views.filter((v) => v.pupil.id === child)),
        owed: JSON.stringify(must(await client.get("/api/v1/second-views"), 200))
    });
    const TELLS = /"(band|word|first|second|agreed|suggested_band)":("|\d)|"(suggestion|assessment)":\{|point to|lean|land in the same band|"bulk_ok":true|"bulk_no":"(decided|no_suggestion|not_sure|nothing_seen|to_check)"/;
    const before = await answers(seer.client);

    await t.test("the probe finds what it looks for where nothing is hidden", () => {
        for (const name of ["assess", "results", "record", "progress", "copy"]) {
            assert.match(before[name], TELLS, name);
        }
        for (const name of ["assess", "record", "progress"]) {
            assert.ok(before[name].includes("well on the way"), name);
        }
    });

    await w.ask(w.read, [child]);
    await w.ask(seer, [child]);
    must(await w.read.client.put(`/api/v1/second-views/${must(await w.read.client.get("/api/v1/second-views"), 200).views[0].id}`, { band: 2 }), 204);

    await t.test("no answer tells", async () => {
        const now = await answers(seer.client);
        for (const [name, text] of Object.entries(now)) {
            assert.doesNotMatch(String(text), TELLS, name);
            if (name !== "owed") {      /* there the words are the scale to choose from */
                assert.doesNotMatch(String(text), /well on the way|far ahead|just starting/, name);
            }
        }
        for (const name of ["assess", "results", "record", "copy"]) {
            assert.match(now[name], /"second_view":"open"/, name);
        }
        const owed = must(await seer.client.get("/api/v1/second-views"), 200).views[0];
        assert.deepEqual(Object.keys(owed).sort(), ["activities", "asked_by", "asked_on", "band_words", "cues", "display_name", "id", "questions_answered", "questions_right", "taking_part", "unit", "waiting"]);
        assert.deepEqual(owed.band_words, w.words);
        assert.match(owed.activities[0].scale, /“well on the way” from 7 points; “far ahead” from 12 points/);
        assert.equal(owed.activities[0].line.hand_ins.length, 1);
        assert.deepEqual(owed.cues.map((c) => c.seen), [null, null, null]);
        assert.equal(must(await seer.client.get("/api/v1/home"), 200).second_views, 1);
    });

    await t.test("others, and other children, are as before", async () => {
        const now = await answers(w.teach.client);
        assert.match(now.assess, TELLS);
        assert.match(now.progress, /well on the way/);
        const rows = must(await seer.client.get(`${w.base}/assess?class=${w.klass.id}`), 200).rows;
        assert.equal(rows.filter((r) => r.assessment !== null).length, 11);
        const family = await makeCards(w, w.klass.id, "family");
        const carer = await signedIn(w.url, { card: family.find((c) => c.pupil.id === child).code });
        assert.match(JSON.stringify(must(await carer.get(`/api/v1/children/${child}`), 200)), /well on the way/);
    });

    await t.test("counts without names leave the child out, and say so", async () => {
        const preview = async (who) => must(await who.client.get(`/api/v1/activities/${w.challenge.activity.id}/band-preview?class=${w.klass.id}&lines=7,12`), 200);
        const [all, mine] = [await preview(w.teach), await preview(seer)];
        assert.deepEqual([all.from.pupils, all.from.second_view, mine.from.pupils, mine.from.second_view], [12, 0, 11, 1]);
        const sum = (list) => list.reduce((n, x) => n + x.count, 0);
        assert.deepEqual([sum(all.bands), sum(mine.bands), sum(all.scores), sum(mine.scores)], [12, 11, 12, 11]);
        assert.match(mine.sentences.join(" "), /1 child is left out until you have given the second view/);
        assert.doesNotMatch(all.sentences.join(" "), /second view/);
        const notes = async (who) => must(await who.client.get(`/api/v1/challenges/${w.challenge.id}/results?class=${w.klass.id}`), 200).class_view[0].notes.join(" ");
        assert.match(await notes(seer), /without the children you have been asked for a second view of/);
        assert.doesNotMatch(await notes(w.teach), /second view/);
    });

    await t.test("deciding, accepting, sharing and agreeing are refused for this child", async () => {
        assert.deepEqual(slug(await seer.client.put(`${w.base}/assessments/${child}`, { band: 0 })), [409, "second_view_open"]);
        const many = must(await seer.client.post(`${w.base}/assessments`, { pupils: [child] }), 200);
        assert.deepEqual(many, { accepted: [], refused: [{ pupil: child, code: "second_view_open" }] });
        assert.deepEqual(must(await seer.client.post(`${w.base}/share`, { class: w.klass.id, pupils: [child] }), 200), { shared: 0, left: 1 });
        const given = (await w.list(w.teach)).views.find((v) => v.given);
        assert.deepEqual(slug(await seer.client.post(`/api/v1/second-views/${given.id}/agreement`, { band: 1 })), [409, "second_view_open"]);
    });

    await t.test("once given, all is there again", async () => {
        const owed = must(await seer.client.get("/api/v1/second-views"), 200).views[0];
        assert.deepEqual(slug(await seer.client.put(`/api/v1/second-views/${owed.id}`, { band: 3 })), [422, "out_of_range"]);
        assert.deepEqual(slug(await seer.client.put(`/api/v1/second-views/${owed.id}`, {})), [422, "required"]);
        assert.equal((await w.read.client.put(`/api/v1/second-views/${owed.id}`, { band: 1 })).status, 404, "only the person asked");
        must(await seer.client.put(`/api/v1/second-views/${owed.id}`, { band: 1 }), 204);
        assert.deepEqual(slug(await seer.client.put(`/api/v1/second-views/${owed.id}`, { band: 2 })), [409, "given"]);
        const now = await answers(seer.client);
        assert.match(now.assess, TELLS);
        assert.match(now.record, /"second_view":null/);
        assert.match(now.copy, /"second_views":\[\{"unit":"[^"]*","asked_on":"[-\d]*","band":2,"given_on":"[-\d]*","first":null,"agreed":null,"agreed_on":null\},/);
        assert.equal(must(await seer.client.get("/api/v1/home"), 200).second_views, 0);
    });
});

test("side by side, and agreeing", async (t) => {
    const w = await assessed(t);
    const give = async (bands) => {
        for (const v of must(await w.read.client.get("/api/v1/second-views"), 200).views) {
            const i = w.klass.pupils.findIndex((p) => p.display_name === v.display_name);
            must(await w.read.client.put(`/api/v1/second-views/${v.id}`, { band: bands[i] }), 204);
        }
    };
    const second = [0, 1, 2, 1, 1, 1, 0, 1, 2, 0, 1, 2];        /* first views: 0 1 2 0 1 2 ... */
    await w.ask(w.read, w.klass.pupils.slice(0, 8).map((p) => p.id));
    const open = (await w.list(w.teach)).views[0];

    await t.test("nothing to agree on before it is given", async () => {
        assert.deepEqual(slug(await w.teach.client.post(`/api/v1/second-views/${open.id}/agreement`, { band: 0 })), [409, "not_given"]);
        assert.equal((await w.read.client.post(`/api/v1/second-views/${open.id}/agreement`, { band: 0 })).status, 404);
    });

    await t.test("counts in words", async () => {
        await give(second);
        const data = await w.list(w.teach);
        assert.deepEqual([data.counts.same, data.counts.second_higher, data.counts.second_lower, data.counts.open], [6, 1, 1, 0]);
        assert.equal(data.counts.sentence, "Of 8 compared, 6 the same, 1 with the second view higher, 1 with the second view lower.");
        assert.equal(data.counts.kappa, null);
        assert.deepEqual(slug(await w.teach.client.del(`/api/v1/second-views/${open.id}`)), [409, "given"]);
    });

    await t.test("agreeing on the same changes nothing; on another band it is a new assessment", async () => {
        const { views } = await w.list(w.teach);
        const of = (i) => views.find((v) => v.pupil.id === w.pupil(i));
        const held = async (i) => must(await w.teach.client.get(`${w.base}/assess?class=${w.klass.id}`), 200).rows.find((r) => r.pupil.id === w.pupil(i)).assessment;
        assert.deepEqual(slug(await w.teach.client.post(`/api/v1/second-views/${of(0).id}/agreement`, { band: 9 })), [422, "out_of_range"]);
        must(await w.teach.client.post(`/api/v1/second-views/${of(0).id}/agreement`, { band: 0 }), 204);
        assert.deepEqual([(await held(0)).band, (await held(0)).reason], [0, null]);
        must(await w.teach.client.post(`/api/v1/second-views/${of(3).id}/agreement`, { band: 1 }), 204);
        const now = await held(3);
        assert.deepEqual([now.band, now.reason, now.shared, now.by], [1, "other_evidence", true, "Tamsin"]);
        assert.deepEqual(slug(await w.teach.client.post(`/api/v1/second-views/${of(3).id}/agreement`, { band: 1 })), [409, "agreed"]);
        const after = (await w.list(w.teach)).views.find((v) => v.pupil.id === w.pupil(3));
        assert.deepEqual([after.first, after.second, after.agreed], ["just starting", "well on the way", "well on the way"]);
        assert.equal((await w.list(w.teach)).counts.second_higher, 1, "what the two looks were stays");
    });

    await t.test("a figure only where the school shows figures, and from ten compared on", async () => {
        const figures = async (on) => must(await w.first.put("/api/v1/school", { switches: { class_figures: on } }), 200);
        await figures(true);
        assert.equal((await w.list(w.teach)).counts.kappa, null, "eight are too few");
        await w.ask(w.read, w.klass.pupils.slice(8).map((p) => p.id));
        await give(second);
        /* By hand: each of the two that differ does so by one band of two, so the observed disagreement is
         * 2 x 1/4 / 12; by the margins 4 4 4 and 3 6 3 chance would give 7/24; 1 - (1/24) / (7/24) = 6/7. */
        const { kappa } = (await w.list(w.teach)).counts;
        assert.deepEqual([kappa.value, kappa.of], [0.86, 12]);
        assert.match(kappa.sentence, /agree well beyond chance/);
        await figures(false);
        assert.equal((await w.list(w.teach)).counts.kappa, null);
    });

    await t.test("decide first, where there is no first view", async () => {
        const other = await setChallenge(w.teach.client, await makeActivity(w.teach.client, "successes"), [w.klass.id], { unit: must(await w.teach.client.post("/api/v1/units", { name: "Another", lessons: [] }), 201).unit.id });
        const base = `/api/v1/units/${other.unit.id}`;
        const asked = must(await w.teach.client.post(`${base}/second-views`, { class: w.klass.id, staff: w.read.id, pupils: [w.pupil(2)] }), 201).views[0];
        must(await w.read.client.put(`/api/v1/second-views/${asked.id}`, { band: 1 }), 204);
        assert.deepEqual(slug(await w.teach.client.post(`/api/v1/second-views/${asked.id}/agreement`, { band: 1 })), [409, "decide_first"]);
    });
});
