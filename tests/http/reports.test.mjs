/* SPDX-License-Identifier: MIT
 * Report drafts over HTTP: written and read by those who teach or read the class, by nobody else at any address;
 * prose is mended and not refused; the second of two writers is told; nothing that was not shared is given;
 * formula-safe as CSV; gone when the reports are done. All names are invented. */

import test from "node:test";
import assert from "node:assert/strict";
import { parse } from "csv-parse/sync";
import { startSchool } from "../lib/server.mjs";
import { makeWorld, must } from "../lib/world.mjs";

test("report drafts", async (t) => {
    const school = await startSchool();
    t.after(() => school.stop());
    const w = await makeWorld(school, school.account);
    const { teach, read } = { teach: w.staff.teach.client, read: w.staff.read.client };
    const [ondi, perrin, quill] = w.a.pupils;
    const unit = w.challenge.unit.id;
    const path = `/api/v1/units/${unit}/reports`;
    const page = async (client = teach) => must(await client.get(`${path}?class=${w.a.id}`), 200);
    const list = async (client = teach) => (await page(client)).rows;
    const put = (pupil, body, client = teach) => client.put(`${path}/${pupil.id}`, body);
    /* over whatever is there */
    const write = async (pupil, text, client = teach) => put(pupil, { text, version: (await list()).find((r) => r.pupil === pupil.id).version }, client);
    const first = (answer) => [answer.status, answer.json.errors[0].pointer, answer.json.errors[0].code];

    await t.test("nobody has one to begin with; both kinds of teachers write", async () => {
        assert.deepEqual((await list()).map((r) => [r.display_name, r.text, r.written_on]), [["Ondi", "", null], ["Perrin", "", null], ["Quill", "", null]]);
        must(await write(ondi, "Ondi showed a smooth swing."), 200);
        must(await write(perrin, "Perrin keeps eyes on one spot.", read), 200);
        must(await write(ondi, "  Ondi   showed “a smooth swing”; next: soft knees. "), 200);
        const rows = await list(read);
        assert.deepEqual(rows.map((r) => [r.written_by, r.by_you]), [["Tamsin", false], ["Runa", true], [null, false]]);
        assert.deepEqual(rows.map((r) => r.text), ["Ondi showed “a smooth swing”; next: soft knees.", "Perrin keeps eyes on one spot.", ""]);
        assert.match(rows[0].written_on, /^\d{4}-\d\d-\d\d$/);
    });
    await t.test("too long, no text, an unknown member", async () => {
        assert.deepEqual(first(await put(quill, { text: "x".repeat(601) })), [422, "/text", "too_long"]);
        assert.equal((await put(quill, { text: 5 })).status, 422);
        assert.deepEqual(first(await put(quill, { text: "x", mood: "y" })), [422, "/mood", "unknown"]);
        assert.deepEqual(first(await put(quill, { text: "x", version: 3 })), [422, "/version", "type"]);
        assert.deepEqual((await list())[2].text, "");
    });
    await t.test("600 characters of any script, whatever they weigh", async () => {
        for (const sign of ["x", "ł", "ک", "🦘"]) {       /* 1 to 4 bytes of UTF-8 (RFC 3629, 3) */
            assert.equal(must(await write(quill, sign.repeat(600)), 200).text, sign.repeat(600), sign);
            assert.deepEqual(first(await write(quill, sign.repeat(601))), [422, "/text", "too_long"], sign);
        }
        const padded = "  " + "x".repeat(599) + "\r\n\r\n   ";
        assert.equal(must(await write(quill, padded), 200).text, "x".repeat(599), "what is mended away does not count");
        must(await write(quill, ""), 200);
    });
    await t.test("newlines stay, tabs and other signs are mended, none refuses the text", async () => {
        const kept = async (text) => {
            const said = must(await write(quill, text), 200);
            assert.equal((await list())[2].text, said.text);
            return [said.text, said.signs_left_out];
        };
        assert.deepEqual(await kept("Swings well.\r\n\r\nNext:\tsoft  knees.\rHolds.\n"), ["Swings well.\n\nNext: soft knees.\nHolds.", false]);
        assert.deepEqual(await kept("a\u0001b\u001b[31mc\u007f\u009f d\u202ee\u2066f\u2069"), ["ab[31mc def", true], "C0, DEL, C1, bidi");
        assert.deepEqual(await kept("one\u2028two\u000bthree\u0085four"), ["one\ntwo\nthree\nfour", false], "The Unicode Standard, 5.8");
        must(await write(quill, " \n\t "), 200);
        assert.deepEqual([(await list())[2].text, (await list())[2].version], ["", null], "white space alone is no draft");
    });
    await t.test("the second of two writers is told, and nothing is written over", async () => {
        const seen = (await list())[2];
        assert.equal(seen.version, null);
        const mine = must(await put(quill, { text: "From Tamsin.", version: null }), 200);
        assert.deepEqual(first(await put(quill, { text: "From Runa.", version: null }, read)), [409, "/version", "changed"]);
        assert.deepEqual(first(await put(quill, { text: "From Runa." }, read)), [409, "/version", "changed"], "no version: as if there had been none");
        let now = (await list(read))[2];
        assert.deepEqual([now.text, now.version, now.written_by], ["From Tamsin.", mine.version, "Tamsin"]);
        const theirs = must(await put(quill, { text: "From Tamsin.\nFrom Runa.", version: now.version }, read), 200);
        assert.notEqual(theirs.version, mine.version);
        assert.deepEqual(first(await put(quill, { text: "", version: mine.version })), [409, "/version", "changed"], "nor taken away");
        assert.deepEqual(must(await put(quill, { text: " From Tamsin.\r\nFrom Runa. ", version: mine.version }), 200), theirs, "a repeat is no other text");
        now = (await list())[2];
        assert.deepEqual([now.text, now.written_by], ["From Tamsin.\nFrom Runa.", "Runa"]);
        must(await put(quill, { text: "", version: theirs.version }), 200);
        assert.deepEqual(first(await put(quill, { text: "Again.", version: theirs.version }, read)), [409, "/version", "changed"], "taken away meanwhile");
        assert.equal((await list())[2].text, "");
    });
    await t.test("what was not shared with families is in no answer of it", async () => {
        const facts = async (client) => (await list(client)).map((r) => r.facts.assessment);
        const none = { state: "none", word: null };
        const assess = (pupil, body) => teach.put(`/api/v1/units/${unit}/assessments/${pupil.id}`, { reason: "seen_in_lessons", ...body });
        const words = (await page()).band_words;
        assert.deepEqual(await facts(), [none, none, none]);
        must(await assess(ondi, { band: 2 }), 200);
        must(await assess(perrin, { band: 1, shared: true }), 200);
        for (const client of [teach, read]) {
            assert.deepEqual(await facts(client), [{ state: "not_shared", word: null }, { state: "shared", word: words[1] }, none]);
            const rows = JSON.stringify((await page(client)).rows);
            assert.ok(!rows.includes(words[2]) && !rows.includes('"band"'));
        }
        must(await teach.post(`/api/v1/units/${unit}/share`, { class: w.a.id, pupils: [ondi.id] }), 200);
        assert.deepEqual((await facts())[0], { state: "shared", word: words[2] });
        must(await assess(ondi, { band: 0 }), 200);
        assert.deepEqual((await facts())[0], { state: "not_shared", word: null }, "a change of mind is not shared by the one before");
        assert.ok(!JSON.stringify((await list())[0]).includes(words[2]), "nor does the one before stand for it");
        must(await teach.post(`/api/v1/units/${unit}/share`, { class: w.a.id, pupils: [ondi.id] }), 200);
        must(await teach.post(`/api/v1/units/${unit}/second-views`, { class: w.a.id, staff: w.staff.read.id, pupils: [ondi.id] }), 201);
        assert.deepEqual((await facts(read))[0], { state: "second_view_open", word: null }, "who owes a second view is told nothing");
        assert.deepEqual((await facts())[0], { state: "shared", word: words[0] });
        const csv = (await read.get(`/api/v1/exports/reports.csv?unit=${unit}&class=${w.a.id}`)).text;
        assert.ok(words.every((word) => !csv.includes(word)), "the file has what was written, and that says none");
    });
    await t.test("the facts are what was seen, point by point", async () => {
        const cues = w.activity.cues;
        must(await teach.post(`/api/v1/units/${unit}/seen`, { marks: [{ pupil: quill.id, cue: cues[2].id, seen: true }, { pupil: quill.id, cue: cues[0].id, seen: true }, { pupil: quill.id, cue: cues[1].id, seen: false }] }), 204);
        const { points, rows, unit: of } = await page();
        assert.deepEqual([points, of.id], [cues.map((c) => c.text), unit]);
        assert.deepEqual([rows[2].facts.seen, rows[2].facts.not_seen], [[cues[0].text, cues[2].text], [cues[1].text]]);
        assert.deepEqual([rows[1].facts.seen, rows[1].facts.not_seen], [[], []]);
    });
    await t.test("nobody else, by any address", async () => {
        for (const who of ["help", "help_over", "other_teach", "pe_lead", "safeguarding", "office"]) {
            const { client } = w.staff[who];
            assert.equal((await client.get(`${path}?class=${w.a.id}`)).status, 404, who);
            assert.equal((await put(ondi, { text: "x" }, client)).status, 404, who);
            assert.equal((await client.post(`${path}/done?class=${w.a.id}`, {})).status, 404, who);
            assert.equal((await client.get(`/api/v1/exports/reports.csv?unit=${unit}&class=${w.a.id}`)).status, 404, who);
        }
        for (const who of ["pe_lead", "office"]) {
            assert.doesNotMatch(must(await w.staff[who].client.get(`/api/v1/exports/pupil.json?pupil=${ondi.id}`), 200) && (await w.staff[who].client.get(`/api/v1/exports/pupil.json?pupil=${ondi.id}`)).text, /smooth swing|report_drafts/, who);
        }
        assert.equal((await put(w.otherPupil, { text: "x" })).status, 404, "another class's child");
        assert.equal((await w.child.get(`${path}?class=${w.a.id}`)).status, 404, "a child");
        assert.match((await teach.get(`/api/v1/exports/pupil.json?pupil=${ondi.id}`)).text, /"report_drafts":\[\{"unit":.*smooth swing/);
    });
    await t.test("as CSV, safe in a spreadsheet", async () => {
        must(await write(quill, "=HYPERLINK(\"x\") is no report"), 200);
        must(await write(perrin, "Keeps \"eyes\" on one spot,\r\nand holds.\t"), 200);
        const answer = await read.get(`/api/v1/exports/reports.csv?unit=${unit}&class=${w.a.id}`);
        const rows = parse(answer.bytes, { columns: true });
        assert.deepEqual(rows.map((r) => r.pupil), ["Ondi", "Perrin", "Quill"]);
        assert.equal(rows[0].report, "Ondi showed “a smooth swing”; next: soft knees.");
        assert.equal(rows[1].report, "Keeps \"eyes\" on one spot,\nand holds.", "RFC 4180, 2.6 and 2.7: a line break within quotes");
        assert.equal(rows[2].report, "'=HYPERLINK(\"x\") is no report", "OWASP, CSV injection");
        assert.deepEqual(first(await read.get(`/api/v1/exports/reports.csv?class=${w.a.id}`)), [422, "/unit", "required"]);
        assert.equal((await read.get(`/api/v1/exports/reports.csv?class=${w.a.id}&unit=4611686018427387903`)).status, 404);
    });
    await t.test("an empty text takes one away; done takes all of the class away", async () => {
        must(await write(quill, ""), 200);
        assert.equal((await list())[2].text, "");
        assert.equal((await teach.post(`${path}/done?class=${w.a.id}`, { sure: true })).status, 422);
        assert.equal((await list()).filter((r) => r.text).length, 2);
        assert.deepEqual(must(await teach.post(`${path}/done?class=${w.a.id}`, {}), 200), { deleted: 2 });
        assert.ok((await list()).every((r) => r.text === "" && r.written_on === null && r.version === null));
    });
});
