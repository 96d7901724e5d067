/* SPDX-License-Identifier: MIT
 * The end of the school year: planned, refused, done, asked for twice. A school of its own for each test,
 * made through the API; all names are invented. That a school year ends with 31 August and year groups run
 * from Reception to Year 6 in a primary school of England: common practice, no source. */

import test from "node:test";
import assert from "node:assert/strict";
import { startSchool } from "../lib/server.mjs";
import { Client, signedIn, uuid7 } from "../lib/client.mjs";
import { makeStaff, makeCards, makeActivity, setChallenge, day, must } from "../lib/world.mjs";

const BIG = "4611686018427387903";      /* an id that nobody has */
const codes = (answer) => answer.json.errors.map((e) => [e.pointer, e.code]);

/* {name: [[child, year group or null]]} -> a served school with these classes and an office. */
async function yearSchool(t, classes) {
    const school = await startSchool();
    t.after(() => school.stop());
    const w = { url: school.url, first: await signedIn(school.url, school.account), id: {}, child: {} };
    for (const [name, children] of Object.entries(classes)) {
        w.id[name] = must(await w.first.post("/api/v1/classes", { name }), 201).class.id;
        for (const [display_name, year_group] of children) {
            w.child[display_name] = must(await w.first.post(`/api/v1/classes/${w.id[name]}/pupils`, { display_name, year_group }), 201).pupil.id;
        }
    }
    w.office = (await makeStaff(w, "Orla", ["office"])).client;
    w.plan = async (body = {}) => must(await w.office.post("/api/v1/year/plan", body), 200);
    w.move = (body) => w.office.post("/api/v1/year/move", body);
    w.list = async (klass) => must(await w.office.get(`/api/v1/classes/${klass}/pupils`), 200).pupils.filter((p) => !p.left).map((p) => `${p.display_name} ${p.year_group}`);
    w.classes = async () => must(await w.office.get("/api/v1/classes"), 200).classes.map((c) => `${c.name} ${c.pupils}`);
    return w;
}

/* The plan as short words: "5 Elm > 6 Elm: 5 stay Ada Bo". */
function words(plan) {
    const name = (id) => plan.classes.find((c) => c.class.id === id).class.name;
    const to = (text) => (text === null ? "?" : /^\d+$/.test(text) ? "to " + name(text) : text);
    return plan.classes.map((c) => `${c.class.name} > ${c.archived ? "archive" : c.name}: ` +
        c.parts.map((p) => `${p.year_group} ${to(p.to)} ${p.children.map((x) => x.display_name).join(" ")}`).join("; "));
}

const SCHOOL = {
    "5 Elm": [["Ada", 5], ["Bo", 5]],
    "6 Fir": [["Cyd", 6], ["Dov", 6]],
    "Robin": [["Ebba", 1], ["Fenn", 2]],
    "Wren": [["Gil", 3], ["Hale", null]]
};

test("the plan proposes, counts, and stores nothing", async (t) => {
    const w = await yearSchool(t, SCHOOL);
    const before = await w.classes();
    const plan = await w.plan();
    assert.deepEqual(words(plan), [
        "5 Elm > 6 Elm: 5 stay Ada Bo",
        "6 Fir > archive: 6 leave Cyd Dov",
        "Robin > Robin: 1 stay Ebba; 2 to Wren Fenn",
        "Wren > Wren: 3 stay Gil; null stay Hale"
    ]);
    assert.deepEqual(plan.counts, { up: 5, go: 1, leave: 2, year_not_said: 1 });
    assert.deepEqual(plan.classes.map((c) => c.after), [2, 0, 1, 3]);
    assert.deepEqual(plan.classes[2].parts.map((p) => [p.year_group, p.becomes]), [[1, 2], [2, 3]]);
    assert.deepEqual([plan.problems, plan.without_class, plan.last_on, plan.on, plan.top_year], [[], [], null, day(0), 6]);
    assert.equal((await w.plan()).seen, plan.seen, "the same plan, the same sign of it");
    assert.notEqual((await w.plan({ top_year: 5 })).seen, plan.seen);
    assert.deepEqual(await w.classes(), before);

    /* another top year: an infant school's */
    const infant = await w.plan({ top_year: 2 });
    assert.deepEqual(words(infant).slice(2, 3), ["Robin > Robin: 1 stay Ebba; 2 leave Fenn"]);
    /* the office wants otherwise */
    const own = await w.plan({ classes: [{ class: w.id["5 Elm"], name: "Elm", parts: [{ year_group: 5, to: "stay" }] }, { class: w.id.Wren, parts: [{ year_group: 3, to: w.id.Robin }, { year_group: null, to: "leave" }] }] });
    assert.deepEqual(words(own), ["5 Elm > Elm: 5 stay Ada Bo", "6 Fir > archive: 6 leave Cyd Dov", "Robin > Robin: 1 stay Ebba; 2 to Wren Fenn", "Wren > Wren: 3 to Robin Gil; null leave Hale"]);
    /* a class sent to itself stays */
    assert.equal((await w.plan({ classes: [{ class: w.id.Wren, parts: [{ year_group: 3, to: w.id.Wren }] }] })).classes[3].parts[0].to, "stay");
});

test("all of it is done at once, as it was shown", async (t) => {
    const w = await yearSchool(t, SCHOOL);
    const group = must(await w.first.post("/api/v1/classes", { name: "Lunchtime catchers", kind: "group" }), 201).class.id;
    for (const name of ["Ada", "Cyd"]) {
        must(await w.first.post(`/api/v1/classes/${group}/pupils`, { pupil: w.child[name] }), 201);
    }
    const teacher = await makeStaff(w, "Tamsin", [], [{ class: w.id["6 Fir"], right: "teach" }, { class: w.id.Wren, right: "teach" }, { class: w.id["5 Elm"], right: "teach" }]);
    const card = async (klass, name) => (await makeCards(w, w.id[klass], "pupil")).find((c) => c.pupil.id === w.child[name]).code;
    const [ada, cyd, fenn] = [await card("5 Elm", "Ada"), await card("6 Fir", "Cyd"), await card("Robin", "Fenn")];
    const family = (await makeCards(w, w.id["6 Fir"], "family"))[0].code;
    const challenge = await setChallenge(teacher.client, await makeActivity(teacher.client, "successes"), [w.id["5 Elm"], w.id["6 Fir"]]);
    const [adaThere, cydThere] = [await signedIn(w.url, { card: ada }), await signedIn(w.url, { card: cyd })];
    for (const child of [adaThere, cydThere]) {
        must(await child.post("/api/v1/hand-ins", { id: uuid7(), challenge: challenge.id, attempts: [{ value: 6 }, { value: 5 }, { value: 7 }] }), 201);
    }
    const { seen } = await w.plan();
    assert.deepEqual(must(await w.move({ id: uuid7(), seen, backed_up: true }), 201), { on: day(0) });

    assert.deepEqual(await w.classes(), ["6 Elm 2", "Lunchtime catchers 1", "Robin 1", "Wren 3"]);
    assert.deepEqual(await w.list(w.id["5 Elm"]), ["Ada 6", "Bo 6"], "the class is the same, by its next name");
    assert.deepEqual(await w.list(w.id.Robin), ["Ebba 2"]);
    assert.deepEqual(await w.list(w.id.Wren), ["Fenn 3", "Gil 4", "Hale null"]);
    const left = must(await w.office.get(`/api/v1/pupils/${w.child.Cyd}`), 200).pupil;
    assert.deepEqual([left.left, left.year_group, left.classes.filter((c) => !c.to)], [true, 6, []]);

    assert.equal((await cydThere.get("/api/v1/me/challenges")).status, 401, "a leaver's open session is over");
    for (const code of [cyd, family]) {
        assert.equal((await new Client(w.url).post("/api/v1/session", { card: code })).status, 401, "and the cards with it");
    }
    assert.equal((await adaThere.get("/api/v1/me/challenges")).status, 200, "who stays goes on with the card of before");
    await signedIn(w.url, { card: fenn });
    const anew = must(await w.office.post(`/api/v1/classes/${w.id["5 Elm"]}/cards`, { holder: "pupil", replace: true }), 201).cards;
    assert.deepEqual(anew.map((c) => [c.pupil.display_name, c.pupil.class]), [["Ada", "6 Elm"], ["Bo", "6 Elm"]], "cards made anew name the class of now");
    assert.equal((await new Client(w.url).post("/api/v1/session", { card: ada })).status, 401, "and replace those of before");
    const record = (name) => teacher.client.get(`/api/v1/pupils/${w.child[name]}/record`);
    assert.equal(must(await record("Ada"), 200).hand_ins.length, 1, "old results stay the child's");
    assert.equal((await record("Cyd")).status, 404);
    must(await record("Fenn"), 200);                        /* came into the teacher's class */
    assert.deepEqual(must(await teacher.client.get(`/api/v1/classes/${w.id["6 Fir"]}/pupils`), 200).pupils, []);

    const actions = must(await w.office.get("/api/v1/audit"), 200).rows.map((r) => r.action);
    const count = (what) => actions.filter((a) => a === what).length;
    assert.deepEqual([count("year moved up"), count("class renamed"), count("class archived"), count("pupil left"), count("pupil moved")], [1, 1, 1, 2, 1]);
    assert.equal((await w.plan()).last_on, day(0));
});

test("the same request twice is done once; another under its id is refused; a second year is asked about", async (t) => {
    const w = await yearSchool(t, SCHOOL);
    const { seen } = await w.plan();
    const body = { id: uuid7(), seen, backed_up: true };
    const both = await Promise.all([w.move(body), w.move(body), w.move(body)]);
    assert.deepEqual(both.map((a) => a.status).sort(), [200, 200, 201]);
    assert.ok(both.every((a) => a.json.on === day(0)));
    const after = await w.list(w.id.Wren);
    assert.deepEqual(after, ["Fenn 3", "Gil 4", "Hale null"]);
    const different = await w.move({ ...body, seen: "0123456789abcdef" });
    assert.deepEqual([different.status, codes(different)], [409, [["", "different"]]]);
    const stale = await w.move({ ...body, id: uuid7() });
    assert.deepEqual([stale.status, codes(stale)], [409, [["/seen", "plan_changed"]]], "the plan of before is not the plan of now");
    const wishes = { classes: [{ class: w.id.Wren, parts: [{ year_group: 3, to: "stay" }, { year_group: 4, to: "stay" }, { year_group: null, to: "stay" }] }] };
    const next = { id: uuid7(), seen: (await w.plan(wishes)).seen, backed_up: true, ...wishes };
    const again = await w.move(next);
    assert.deepEqual([again.status, codes(again)], [409, [["/again", "moved_already"]]]);
    assert.deepEqual(await w.list(w.id.Wren), after);
    must(await w.move({ ...next, again: true }), 201);      /* said on purpose */
    assert.deepEqual(await w.list(w.id.Wren), ["Ebba 3", "Fenn 4", "Gil 5", "Hale null"]);
});

test("a plan that changed since it was looked at is not done", async (t) => {
    const w = await yearSchool(t, SCHOOL);
    const { seen } = await w.plan();
    const before = await w.classes();
    must(await w.first.post(`/api/v1/classes/${w.id.Wren}/pupils`, { display_name: "Ivory", year_group: 3 }), 201);
    const answer = await w.move({ id: uuid7(), seen, backed_up: true });
    assert.deepEqual([answer.status, codes(answer)], [409, [["/seen", "plan_changed"]]]);
    assert.deepEqual(await w.classes(), before.map((c) => c.replace("Wren 2", "Wren 3")));
    /* other wishes than those looked at are another plan too */
    const other = await w.move({ id: uuid7(), seen: (await w.plan()).seen, backed_up: true, top_year: 5 });
    assert.deepEqual(codes(other), [["/seen", "plan_changed"]]);
});

test("what stands in the way is told with names, and nothing is stored by half", async (t) => {
    const w = await yearSchool(t, { ...SCHOOL, "Swift": [["Fenn ", 3], ["Jude", 7]], "Y3/4 Hawk": [["Kit", 3]] });
    const before = [await w.classes(), await w.list(w.id.Wren)];
    const plan = await w.plan();
    assert.deepEqual(words(plan).filter((c) => /^Robin|Hawk/.test(c)), ["Robin > Robin: 1 stay Ebba; 2 ? Fenn", "Y3/4 Hawk > Y3/4 Hawk: 3 stay Kit"], "three classes of Year 3: the office chooses; a name of two year groups is left alone");
    assert.deepEqual(plan.problems, [["Robin", 2], ["Swift", 3]].map(([name, year_group]) => ({ class: w.id[name], year_group, code: "choose", names: [] })));
    const own = [
        { class: w.id.Robin, name: "6 elm", parts: [{ year_group: 2, to: w.id.Swift }] },
        { class: w.id.Wren, archived: true },
        { class: w.id.Swift, parts: [{ year_group: 3, to: "stay" }, { year_group: 7, to: "stay" }] }
    ];
    const bad = await w.plan({ classes: own });
    const told = bad.problems.map((p) => [Object.keys(w.id).find((n) => w.id[n] === p.class), p.year_group, p.code, p.names.length]);
    assert.deepEqual(told.sort(), [["5 Elm", null, "taken", 0], ["Robin", null, "taken", 0], ["Swift", null, "duplicate", 1], ["Swift", 7, "out_of_range", 0], ["Wren", null, "not_empty", 0]]);
    assert.equal(bad.problems.find((p) => p.code === "duplicate").names[0], "Fenn");
    const refused = await w.move({ id: uuid7(), seen: bad.seen, backed_up: true, classes: own });
    assert.equal(refused.status, 422);
    assert.deepEqual(codes(refused).sort(), [["/classes", "taken"], ["/classes/0/name", "taken"], ["/classes/1/archived", "not_empty"], ["/classes/2", "duplicate"], ["/classes/2/parts", "out_of_range"]].sort());
    assert.deepEqual([await w.classes(), await w.list(w.id.Wren)], before);
});

test("what is no plan is refused with its place", async (t) => {
    const w = await yearSchool(t, SCHOOL);
    const klass = (more) => ({ classes: [{ class: w.id.Wren, ...more }] });
    const part = (more) => klass({ parts: [{ year_group: 3, to: "stay", ...more }] });
    for (const [body, wanted] of [
        [{ top_year: "six" }, ["/top_year", "type"]], [{ top_year: 8 }, ["/top_year", "out_of_range"]], [{ top_year: -1 }, ["/top_year", "out_of_range"]],
        [{ classes: {} }, ["/classes", "type"]], [{ when: "now" }, ["/when", "unknown"]],
        [{ classes: [{}] }, ["/classes/0/class", "required"]], [{ classes: ["x"] }, ["/classes/0", "type"]], [{ classes: [{ class: BIG }] }, ["/classes/0/class", "not_found"]],
        [{ classes: [{ class: w.id.Wren }, { class: w.id.Wren }] }, ["/classes/1/class", "duplicate"]],
        [klass({ name: "" }), ["/classes/0/name", "required"]], [klass({ name: "x".repeat(41) }), ["/classes/0/name", "too_long"]], [klass({ archived: 1 }), ["/classes/0/archived", "type"]],
        [klass({ parts: {} }), ["/classes/0/parts", "type"]], [part({ year_group: 4 }), ["/classes/0/parts/0/year_group", "not_found"]], [part({ year_group: 9 }), ["/classes/0/parts/0/year_group", "year_group"]],
        [klass({ parts: [{ to: "stay" }] }), ["/classes/0/parts/0/year_group", "required"]],
        [part({ to: "away" }), ["/classes/0/parts/0/to", "choice"]], [part({ to: BIG }), ["/classes/0/parts/0/to", "not_found"]], [part({ to: null }), ["/classes/0/parts/0/to", "type"]],
        [part({ child: "x" }), ["/classes/0/parts/0/child", "unknown"]]
    ]) {
        const answer = await w.office.post("/api/v1/year/plan", body);
        assert.equal(answer.status, 422, JSON.stringify(body));
        assert.deepEqual(codes(answer), [wanted], JSON.stringify(body));
    }
    const good = { id: uuid7(), seen: (await w.plan()).seen, backed_up: true };
    for (const [body, wanted] of [
        [{ ...good, id: "1" }, ["/id", "not_a_uuid"]], [{ ...good, id: 1 }, ["/id", "type"]], [{ seen: good.seen, backed_up: true }, ["/id", "required"]],
        [{ ...good, seen: 3 }, ["/seen", "type"]], [{ id: good.id, backed_up: true }, ["/seen", "required"]],
        [{ ...good, backed_up: false }, ["/backed_up", "back_up_first"]], [{ id: good.id, seen: good.seen }, ["/backed_up", "required"]], [{ ...good, again: "yes" }, ["/again", "type"]]
    ]) {
        const answer = await w.move(body);
        assert.equal(answer.status, 422, JSON.stringify(body));
        assert.deepEqual(codes(answer), [wanted], JSON.stringify(body));
    }
    assert.deepEqual(await w.classes(), ["5 Elm 2", "6 Fir 2", "Robin 2", "Wren 2"]);
    const empty = await yearSchool(t, {});
    assert.deepEqual((await empty.plan()).classes, []);
});

test("a whole school of 20 classes moves up in one go", async (t) => {
    const school = {};
    for (let c = 0; c < 20; c += 1) {
        const year = c % 7;
        school[`${year} ${"Oak Ash Elm".split(" ")[Math.floor(c / 7)]}`] = [];
    }
    const w = await yearSchool(t, school);
    for (const [name, id] of Object.entries(w.id)) {
        const csv = "name,year group\r\n" + Array.from({ length: 30 }, (_, i) => `Child ${String.fromCharCode(65 + i % 26)}${i},${name[0]}`).join("\r\n") + "\r\n";
        must(await w.first.post(`/api/v1/classes/${id}/roster`, csv, { type: "text/csv" }), 201);
    }
    const plan = await w.plan();
    assert.deepEqual([plan.problems, plan.counts], [[], { up: 540, go: 0, leave: 60, year_not_said: 0 }]);
    const began = Date.now();
    must(await w.move({ id: uuid7(), seen: plan.seen, backed_up: true }), 201);
    assert.ok(Date.now() - began < 10000, "the writer is not held for long");
    assert.equal((await w.classes()).filter((c) => / 30$/.test(c)).length, 18);
    const tops = (await w.classes()).filter((c) => /^6 /.test(c));
    assert.deepEqual(tops, ["6 Ash 30", "6 Elm 30", "6 Oak 30"]);
});
