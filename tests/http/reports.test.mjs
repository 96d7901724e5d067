/* SPDX-License-Identifier: MIT
 * Report drafts over HTTP: written and read by those who teach or read the class, by nobody else at any address;
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
    const write = (pupil, text, client = teach) => client.put(`${path}/${pupil.id}`, { text });
    const list = async (client = teach) => must(await client.get(`${path}?class=${w.a.id}`), 200).rows;
    const first = (answer) => [answer.status, answer.json.errors[0].pointer, answer.json.errors[0].code];

    await t.test("nobody has one to begin with; both kinds of teachers write", async () => {
        assert.deepEqual((await list()).map((r) => [r.display_name, r.text, r.written_on]), [["Ondi", "", null], ["Perrin", "", null], ["Quill", "", null]]);
        must(await write(ondi, "Ondi showed a smooth swing."), 204);
        must(await write(perrin, "Perrin keeps eyes on one spot.", read), 204);
        must(await write(ondi, "  Ondi   showed “a smooth swing”; next: soft knees. "), 204);
        const rows = await list(read);
        assert.deepEqual(rows.map((r) => r.text), ["Ondi showed “a smooth swing”; next: soft knees.", "Perrin keeps eyes on one spot.", ""]);
        assert.match(rows[0].written_on, /^\d{4}-\d\d-\d\d$/);
    });
    await t.test("too long, no text, a line break, an unknown member", async () => {
        assert.deepEqual(first(await write(quill, "x".repeat(601))), [422, "/text", "too_long"]);
        assert.equal((await write(quill, 5)).status, 422);
        assert.equal((await write(quill, "two\nlines")).status, 422);
        assert.deepEqual(first(await teach.put(`${path}/${quill.id}`, { text: "x", mood: "y" })), [422, "/mood", "unknown"]);
        assert.deepEqual((await list())[2].text, "");
    });
    await t.test("nobody else, by any address", async () => {
        for (const who of ["help", "help_over", "other_teach", "pe_lead", "safeguarding", "office"]) {
            const { client } = w.staff[who];
            assert.equal((await client.get(`${path}?class=${w.a.id}`)).status, 404, who);
            assert.equal((await write(ondi, "x", client)).status, 404, who);
            assert.equal((await client.post(`${path}/done?class=${w.a.id}`, {})).status, 404, who);
            assert.equal((await client.get(`/api/v1/exports/reports.csv?unit=${unit}&class=${w.a.id}`)).status, 404, who);
        }
        for (const who of ["pe_lead", "office"]) {
            assert.doesNotMatch(must(await w.staff[who].client.get(`/api/v1/exports/pupil.json?pupil=${ondi.id}`), 200) && (await w.staff[who].client.get(`/api/v1/exports/pupil.json?pupil=${ondi.id}`)).text, /smooth swing|report_drafts/, who);
        }
        assert.equal((await write(w.otherPupil, "x")).status, 404, "another class's child");
        assert.equal((await w.child.get(`${path}?class=${w.a.id}`)).status, 404, "a child");
        assert.match((await teach.get(`/api/v1/exports/pupil.json?pupil=${ondi.id}`)).text, /"report_drafts":\[\{"unit":.*smooth swing/);
    });
    await t.test("as CSV, safe in a spreadsheet", async () => {
        must(await write(quill, "=HYPERLINK(\"x\") is no report"), 204);
        const answer = await read.get(`/api/v1/exports/reports.csv?unit=${unit}&class=${w.a.id}`);
        const rows = parse(answer.bytes, { columns: true });
        assert.deepEqual(rows.map((r) => r.pupil), ["Ondi", "Perrin", "Quill"]);
        assert.equal(rows[0].report, "Ondi showed “a smooth swing”; next: soft knees.");
        assert.equal(rows[2].report, "'=HYPERLINK(\"x\") is no report", "OWASP, CSV injection");
        assert.deepEqual(first(await read.get(`/api/v1/exports/reports.csv?class=${w.a.id}`)), [422, "/unit", "required"]);
        assert.equal((await read.get(`/api/v1/exports/reports.csv?class=${w.a.id}&unit=4611686018427387903`)).status, 404);
    });
    await t.test("an empty text takes one away; done takes all of the class away", async () => {
        must(await write(quill, ""), 204);
        assert.equal((await list())[2].text, "");
        assert.equal((await teach.post(`${path}/done?class=${w.a.id}`, { sure: true })).status, 422);
        assert.equal((await list()).filter((r) => r.text).length, 2);
        assert.deepEqual(must(await teach.post(`${path}/done?class=${w.a.id}`, {}), 200), { deleted: 2 });
        assert.ok((await list()).every((r) => r.text === "" && r.written_on === null));
    });
});
