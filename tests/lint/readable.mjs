/* SPDX-License-Identifier: MIT
 * How hard the English words are to read. Run from the top of the repository.
 *
 *   sentences  a child's have at most 12 words
 *   Spache     children of 5 to 7: at most 3 a screen (Spache 1953, revised 1974: 0.121 words a
 *              sentence + 0.082 per cent of different words that are not on the list + 0.659). The
 *              list is that of the package `spache`; a form of a listed word counts as listed, as
 *              the method has it. The activity's own words are known: the lesson teaches them. The
 *              formula counts a strange word once in a sample of about 100 words; a screen may be
 *              longer, so here it counts each time, which is stricter.
 *   Flesch-Kincaid  children of 8 to 11: at most 5 a screen; families: at most 7 (Kincaid, Fishburne,
 *              Rogers and Chissom 1975: 0.39 words a sentence + 11.8 syllables a word - 15.59)
 *
 * A screen is the messages of one prefix, and of those that stand on it. Samples of single words say nothing: a screen's messages
 * are read as one text, each message at least one sentence. Names, numbers and blanks are one
 * known word of one syllable; a word with a hyphen is one word in the length of a sentence and two
 * in the grades. Prints every figure. */
import { readFileSync, readdirSync } from "node:fs";
import { createRequire } from "node:module";

const require = createRequire(new URL("../package.json", import.meta.url));
const { pathToFileURL } = require("node:url");
const load = (name) => import(pathToFileURL(require.resolve(name)).href);
const [{ spache }, { spacheFormula }, { fleschKincaid }, { syllable }] = await Promise.all(["spache", "spache-formula", "flesch-kincaid", "syllable"].map(load));

const bad = [];
const LISTED = new Set(spache);
const ENGLISH = JSON.parse(readFileSync("web/msg/en.json", "utf8"));
/* Not sentences: parts of dates and numbers, and what stands between words. */
const NO_TEXT = /^(date|number|value|picture|lang)\./;
const FAMILY = /^(family|familynext|told|number|error)\./;
/* Stand on another prefix's screen. */
const STANDS_ON = { kind: "version", kindnote: "version", reason: "could", felt: "how", place: "how", counted: "how", state: "today", due: "today" };
/* Read by a grown-up on a child's screen. */
const GROWN_UP = new Set(["card.family"]);

/* A message of several forms is read in the form for many. */
const text = (m) => (typeof m === "string" ? m : m.other);
/* A blank stands for a short word or a number. */
const plain = (m) => text(m).replace(/\|/g, ". ").replace(/\{\w+\}/g, "one");
const sentences = (s) => s.split(/[.!?:](?:\s+|$)/).map((p) => p.trim()).filter((p) => /\p{L}/u.test(p));
const joined = (s) => s.match(/[\p{L}\p{N}][\p{L}\p{N}'’-]*/gu) || [];
const wordsOf = (s) => joined(s).flatMap((w) => w.split("-")).filter(Boolean);

/* The words an activity teaches, of every starter. */
const TAUGHT = new Set();
for (const f of readdirSync("server/store").filter((n) => /^starter_.*\.c$/.test(n))) {
    const code = readFileSync("server/store/" + f, "utf8").replace(/\/\*[\s\S]*?\*\//g, "").replace(/#include.*/g, "");
    for (const m of code.matchAll(/"((?:[^"\\]|\\.)*)"/g)) {
        wordsOf(m[1].toLowerCase()).forEach((w) => TAUGHT.add(w));
    }
}

/* The list's word that this is a form of: plural, past, -ing, -er, -est, -ly, 's, n't and the like. */
function roots(word) {
    const w = word.replace(/’/g, "'");
    const out = [w, w.replace(/'(s|ll|re|ve|d|m)$/, ""), w.replace(/n't$/, ""), w.replace(/'t$/, "")];
    for (const end of ["s", "es", "ed", "d", "ing", "er", "r", "est", "ly", "n", "en"]) {
        if (w.endsWith(end) && w.length > end.length + 1) {
            const stem = w.slice(0, -end.length);
            out.push(stem, stem + "e", stem.replace(/(.)\1$/, "$1"), stem.replace(/i$/, "y"));
        }
    }
    return out;
}
const known = (w) => /^\d/.test(w) || roots(w).some((r) => LISTED.has(r) || TAUGHT.has(r));

function measure(messages) {
    const parts = messages.flatMap((m) => sentences(plain(m)));
    const words = parts.flatMap((p) => wordsOf(p.toLowerCase()));
    const strange = words.filter((w) => !known(w));
    const counts = { sentence: parts.length, word: words.length, syllable: words.reduce((n, w) => n + Math.max(1, syllable(w)), 0), unfamiliarWord: strange.length };
    return { ...counts, strange, spache: spacheFormula(counts), fk: fleschKincaid(counts) };
}

/* The two formulas as published, worked by hand: 2.279 and 2.47. */
const near = (a, b) => Math.abs(a - b) < 5e-4;
if (!near(spacheFormula({ sentence: 10, word: 100, unfamiliarWord: 5 }), 2.279) || !near(fleschKincaid({ sentence: 10, word: 100, syllable: 120 }), 2.47)) {
    bad.push("the formulas do not give their worked values");
}

const screens = new Map();
for (const key of Object.keys(ENGLISH)) {
    if (!NO_TEXT.test(key) && !GROWN_UP.has(key)) {
        const own = key.split(".")[0];
        const prefix = STANDS_ON[own] || own;
        screens.set(prefix, (screens.get(prefix) || []).concat(key));
    }
}
const one = (x) => x.toFixed(1);
for (const [prefix, keys] of [...screens].sort()) {
    const family = FAMILY.test(prefix + ".");
    const got = measure(keys.map((k) => ENGLISH[k]));
    const longest = Math.max(...keys.flatMap((k) => sentences(plain(ENGLISH[k])).map((p) => joined(p).length)));
    console.log(`${family ? "family" : "child "} ${prefix.padEnd(10)} ${String(got.sentence).padStart(3)} sentences, longest ${String(longest).padStart(2)} words, Spache ${one(got.spache)}, Flesch-Kincaid ${one(got.fk)}${process.argv[2] === "-v" ? " strange: " + [...new Set(got.strange)].join(" ") : ""}`);
    if (family) {
        if (got.fk > 7) {
            bad.push(`${prefix}: Flesch-Kincaid ${one(got.fk)}, at most 7`);
        }
        continue;
    }
    for (const key of keys) {
        sentences(plain(ENGLISH[key])).filter((p) => joined(p).length > 12).forEach((p) => bad.push(`${key}: ${joined(p).length} words, at most 12: ${p}`));
    }
    if (got.spache > 3) {
        bad.push(`${prefix}: Spache ${one(got.spache)}, at most 3; not on the list: ${[...new Set(got.strange)].join(" ")}`);
    }
    if (got.fk > 5) {
        bad.push(`${prefix}: Flesch-Kincaid ${one(got.fk)}, at most 5`);
    }
}
bad.forEach((b) => console.log(b));
process.exit(bad.length ? 1 : 0);
