/* SPDX-License-Identifier: MIT
 * Class lists from the wild. Every case of csv-spectrum (npm, BSD-2-Clause) with each of its columns taken
 * for the names, in each separator and encoding that schools' programs write; the Big List of Naughty
 * Strings (npm, MIT) as names. A value comes in as it stands and goes out as CSV byte for byte, read by
 * an independent reader (npm csv-parse, MIT), or is refused with a reason that the page has words for. */

import test from "node:test";
import assert from "node:assert/strict";
import { readFileSync, readdirSync } from "node:fs";
import { createRequire } from "node:module";
import { dirname, join } from "node:path";
import { parse } from "csv-parse/sync";
import { startSchool } from "../lib/server.mjs";
import { signedIn } from "../lib/client.mjs";
import { must } from "../lib/world.mjs";

const require = createRequire(import.meta.url);
const spectrum = dirname(require.resolve("csv-spectrum"));
const naughty = require("big-list-of-naughty-strings");
const REFUSALS = ["required", "too_long", "control_character", "bidi", "not_text", "formula", "duplicate"];
const LONGEST = 40;

/* Its own JSON disagrees with its CSV in this one cell; the CSV is what a school would send. */
const MENDED = { location_coordinates: { "Contact Phone Number": "2095257564" } };

const CASES = readdirSync(join(spectrum, "csvs")).map((file) => {
    const name = file.replace(/\.csv$/, "");
    const bytes = readFileSync(join(spectrum, "csvs", file), "utf8");
    const json = JSON.parse(readFileSync(join(spectrum, "json", name + ".json"), "utf8"));
    return { name, text: bytes, rows: [].concat(json).map((row) => ({ ...row, ...MENDED[name] })) };
});

const utf16be = (text) => Buffer.from("\ufeff" + text, "utf16le").swap16();
/* Windows-1252 for the signs that Latin-1 has, the euro sign and curly quotes (Unicode's mapping CP1252.TXT); null
 * for a text with others. */
function windows1252(text) {
    const more = { "\u20ac": 0x80, "\u2018": 0x91, "\u2019": 0x92, "\u201c": 0x93, "\u201d": 0x94, "\u2013": 0x96, "\u0160": 0x8a, "\u0161": 0x9a, "\u017d": 0x8e, "\u017e": 0x9e };
    const codes = Array.from(text, (c) => more[c] || (c.codePointAt(0) < 0x80 || (c.codePointAt(0) >= 0xa0 && c.codePointAt(0) < 0x100) ? c.codePointAt(0) : -1));
    return codes.includes(-1) ? null : Buffer.from(codes);
}
const ENCODINGS = { "UTF-8": (s) => Buffer.from(s), "UTF-8 with a mark": (s) => Buffer.from("\ufeff" + s), "UTF-16, little end first": (s) => Buffer.from("\ufeff" + s, "utf16le"),
    "UTF-16, big end first": utf16be, "Windows-1252": windows1252 };

const quoted = (s) => "\"" + s.replace(/"/g, "\"\"") + "\"";
const written = (columns, rows, separator, end) => [columns, ...rows].map((cells) => cells.map((c) => (/["\r\n,;\t]/.test(c) ? quoted(c) : c)).join(separator)).join(end) + end;

async function office(t) {
    const school = await startSchool();
    t.after(() => school.stop());
    const first = await signedIn(school.url, school.account);
    await first.get("/api/v1/session");
    let made = 0;
    const klass = async () => must(await first.post("/api/v1/classes", { name: "List " + (made += 1) }), 201).class.id;
    const send = (id, bytes, query) => first.request("POST", `/api/v1/classes/${id}/roster${query}`, bytes, { type: "text/csv" });
    const out = async (id) => parse((await first.get(`/api/v1/exports/roster.csv?class=${id}`)).bytes, { columns: true, bom: true, relax_column_count: false });
    return { first, klass, send, out };
}

/* What a name is in the list: in Unicode's composed form, trimmed, a run of spaces one space; nothing
 * else is ever changed. */
const kept = (value) => value.normalize("NFC").replace(/\p{Zs}+/gu, " ").replace(/^ | $/g, "");
const unguarded = (cell) => (/^'[=+\-@\t\r\uff1d\uff0b\uff0d\uff20]/.test(cell) ? cell.slice(1) : cell);

/* The list goes in; who is taken is there, and goes out, as written; who is not has a reason. */
async function bothWays(w, bytes, values, what) {
    const id = await w.klass();
    const looked = must(await w.send(id, bytes, "?dry_run=1"), 200);
    assert.equal(looked.rows, values.length, `${what}: rows`);
    const taken = looked.pupils.map((p) => p.display_name);
    const why = looked.refused.map((r) => r.code);
    assert.deepEqual(why.filter((code) => !REFUSALS.includes(code)), [], what);
    assert.equal(taken.length + why.length, values.length, what);
    const left = values.map(kept);
    for (const name of taken) {
        assert.ok(left.includes(name), `${what}: ${JSON.stringify(name)} is in the file`);
        left.splice(left.indexOf(name), 1);
    }
    if (taken.length) {
        must(await w.send(id, bytes, "?partial=1"), 201);
    }
    const list = must(await w.first.get(`/api/v1/classes/${id}/pupils`), 200).pupils.map((p) => p.display_name);
    assert.deepEqual(list.slice().sort(), taken.slice().sort(), `${what}: stored`);
    assert.deepEqual((await w.out(id)).map((row) => unguarded(row["display name"])).sort(), taken.slice().sort(), `${what}: out again`);
    return { taken, left, why };
}

test("csv-spectrum: each case, each column as the names, each separator and encoding", async (t) => {
    const w = await office(t);
    assert.equal(CASES.length, 12, "the cases of csv-spectrum 2.0.0");
    for (const one of CASES) {
        await t.test(one.name, async () => {
            const columns = Object.keys(one.rows[0]);
            for (const [i, column] of columns.entries()) {
                const heads = columns.map((c, k) => (k === i ? "Name" : "Extra " + k));
                const values = one.rows.map((row) => String(row[column]));
                const as = [["as it stands", one.text.replace(/^[^\r\n]*/, heads.join(","))]];
                for (const [words, separator] of [["semicolons", ";"], ["tabs", "\t"]]) {
                    as.push([words, written(heads, one.rows.map((row) => columns.map((c) => String(row[c]))), separator, i % 2 ? "\n" : "\r\n")]);
                }
                const answers = [];
                for (const [words, text] of as) {
                    for (const [encoding, encode] of Object.entries(ENCODINGS)) {
                        const bytes = encode(text);
                        if (bytes) {
                            answers.push(await bothWays(w, bytes, values, `${one.name}, ${column}, ${words}, ${encoding}`));
                        }
                    }
                }
                answers.forEach((a) => assert.deepEqual(a, answers[0], `${one.name}, ${column}: the same in every form`));
                const fits = (v) => kept(v) !== "" && !/[\r\n]/.test(v) && Array.from(v).length <= LONGEST;
                assert.deepEqual(answers[0].left.filter(fits), [], `${one.name}, ${column}: what fits is taken`);
            }
        });
    }
});

test("a line break inside quotes is one row; the break is refused, not cut", async (t) => {
    const w = await office(t);
    const { taken, why } = await bothWays(w, "Name,Note\r\n\"Once upon\r\na time\",x\r\nOndi,\"two\r\nlines, and a \"\"word\"\"\"\r\n", ["Once upon\r\na time", "Ondi"], "quoted breaks");
    assert.deepEqual([taken, why], [["Ondi"], ["control_character"]]);
});

test("the naughty strings as names: in and out byte for byte, or refused with a reason", async (t) => {
    const w = await office(t);
    assert.equal(naughty.length, 461, "the strings of version 1.0.0");
    const some = Array.from(new Set(naughty.map((s) => s.normalize("NFC"))));
    const { taken, why } = await bothWays(w, written(["Name", "Year"], some.map((s) => [s, "3"]), ",", "\r\n"), some, "naughty strings");
    t.diagnostic(`${taken.length} taken, ${why.length} refused: ${REFUSALS.map((code) => code + " " + why.filter((x) => x === code).length).join(", ")}`);
    assert.ok(taken.length >= 190, String(taken.length));
    /* Its own list again: the same children, so none is new. */
    const id = await w.klass();
    const again = must(await w.send(id, written(["Name"], taken.map((s) => [s]), ";", "\n"), "?dry_run=1"), 200);
    assert.deepEqual(again.pupils.map((p) => p.display_name), taken);
});
