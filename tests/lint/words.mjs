/* SPDX-License-Identifier: MIT
 * Words of the pupil's and the family's pages: none stands in the code, every message that is used
 * is there, every message that is there is used, and the languages have the same blanks. A message
 * that a language lacks is listed and read in English. Run from the top of the repository. */
import { readFileSync, readdirSync } from "node:fs";
import { dirname, join } from "node:path";

const bad = [];
const ENGLISH = JSON.parse(readFileSync("web/msg/en.json", "utf8"));
const FREE = ["api.js", "dom.js", "field.js", "session.js"]; /* hold no words for a reader */

const modules = ["web/js", "web/js/pupil"].flatMap((dir) =>
    readdirSync(dir)
        .filter((f) => f.endsWith(".js") && !FREE.includes(f))
        .map((f) => dir + "/" + f)
);

/* The code without its comments, line for line; the literals with what stands before each. */
function bare(text) {
    return text.replace(/\/\*[\s\S]*?\*\//g, (c) => c.replace(/[^\n]/g, ""));
}

/* Something read aloud: words with a space between, or one word with a capital. Names of classes,
 * selectors, strokes of a drawing, headers and keys of a keyboard are none. */
const NAMES = /^(SCRIPT|lane-[a-z -]+|Enter|Escape|English|Polski|اردو|Thrice| - Thrice|BKT RMW HZV CDFG)$|^[a-z]+\.[a-z0-9_.-]*$/;
const SAID = /\p{L}{2,}[,.:!?]* \p{L}|^ ?\p{Lu}\p{L}+[.!?: ]*$|\p{L}{2,}[.!?]$/u;

function literals(file) {
    const text = bare(readFileSync(file, "utf8"));
    for (const m of text.matchAll(/"((?:[^"\\\n]|\\.)*)"|`([^`]*)`/g)) {
        const value = JSON.parse('"' + (m[1] ?? m[2].replace(/["\n]/g, " ")) + '"');
        const before = text.slice(Math.max(0, m.index - 60), m.index).replace(/\s+/g, " ");
        const line = text.slice(0, m.index).split("\n").length;
        const whole = text.split("\n")[line - 1];
        if (NAMES.test(value) || /\bfrom $|\bimport $/.test(before) || !SAID.test(value)) {
            continue;
        }
        if (/class: ?(\(|"|$)|querySelector|viewBox|\.js"|["']class["']/.test(whole + before.slice(-24)) && value === value.toLowerCase()) {
            continue;
        }
        if (/^[MLQCZ\d .,-]+$/i.test(value) && /\d/.test(value)) {
            continue;
        }
        bad.push(`${file}:${line}: words in the code: ${value}`);
    }
    return text;
}

const used = new Set();
const stems = new Set();
const code = modules.map((f) => [f, literals(f)]);
for (const [file, text] of code) {
    for (const m of text.matchAll(/"([a-z]+\.[a-z0-9_-]*)"/g)) {
        if (/\.(js|json)$/.test(m[1])) {
            continue;
        }
        if (m[1] in ENGLISH) {
            used.add(m[1]);
        } else if (Object.keys(ENGLISH).some((k) => k.startsWith(m[1]) && m[1] !== k)) {
            stems.add(m[1]);
        } else if (!m[1].startsWith("thrice.")) {
            bad.push(`${file}: no message ${m[1]}`);
        }
    }
}
/* Asked for by the server, which reads the same files. */
const server = readdirSync("server/handlers").filter((f) => f.endsWith(".c"));
for (const f of server) {
    const text = bare(readFileSync("server/handlers/" + f, "utf8"));
    for (const m of text.matchAll(/"([a-z]+\.[a-z0-9_-]+)"/g)) {
        if (m[1] in ENGLISH) {
            used.add(m[1]);
        } else if (f.startsWith("quick")) {
            bad.push(`server/handlers/${f}: no message ${m[1]}`);
        }
    }
}
for (const key of Object.keys(ENGLISH)) {
    if (!used.has(key) && ![...stems].some((s) => key.startsWith(s))) {
        bad.push(`web/msg/en.json: nothing uses ${key}`);
    }
}

/* The child's page is sent two cuts of the words (server/embed.sh): the card's before the card, and no
 * adults' words ever. "error" is the stem for adults of a function that both use. */
const OTHERS = /^(family|familynext|told|quick|figure)$/;
function closure(file, seen = new Set()) {
    if (!seen.has(file)) {
        seen.add(file);
        for (const m of readFileSync(file, "utf8").matchAll(/(?:from|import) "(\.[^"]+)"/g)) {
            closure(join(dirname(file), m[1]), seen);
        }
    }
    return seen;
}
const early = closure("web/js/pupil/main.js");
for (const file of closure("web/js/pupil/journey.js", new Set(early))) {
    for (const m of bare(readFileSync(file, "utf8")).matchAll(/"([a-z]+)\.[a-z0-9_-]*"/g)) {
        const message = m[0].slice(1, -1) in ENGLISH || stems.has(m[0].slice(1, -1));
        if (message && (OTHERS.test(m[1]) || (early.has(file) && !/^(card|lang)$/.test(m[1])))) {
            bad.push(`${file}: ${m[0]} is not among the words that are there by then`);
        }
    }
}

/* Where to be is said as how far from what is aimed at, never as the change, which can be read as so
 * much nearer or farther (our own rule). */
const PLACED = /^(next|familynext)\.(closer|same|further|sit)$|^step\.(closer|same|further)$/;
const TARGET = { en: / \{far\} from the target/, pl: / \{far\} od celu/, ur: /نشانے سے \{far\} دور/ };

/* Languages */
const forms = (m) => (typeof m === "string" ? [m] : Object.values(m));
const blanks = (m) => [...new Set(forms(m).flatMap((w) => w.match(/\{\w+\}/g) || []))].sort().join(" ");
const PLURALS = { en: ["one", "other"], pl: ["one", "few", "many", "other"], ur: ["one", "other"] };

/* The starter activities' own texts, as the C source has them. */
function starterTexts() {
    const texts = new Set();
    for (const f of readdirSync("server/store").filter((n) => /^starter_.*\.c$/.test(n))) {
        const text = bare(readFileSync("server/store/" + f, "utf8")).replace(/#include.*/g, "");
        for (const m of text.matchAll(/"(?:[^"\\]|\\.)*"(?:\s*"(?:[^"\\]|\\.)*")*/g)) {
            texts.add([...m[0].matchAll(/"((?:[^"\\]|\\.)*)"/g)].map((p) => p[1]).join(""));
        }
    }
    return texts;
}

const starters = starterTexts();
if (starters.size < 100) {
    bad.push(`server/store/starter_*.c: only ${starters.size} texts were found`);
}
for (const file of readdirSync("web/msg").sort()) {
    const name = file.replace(/\.json$/, "");
    const table = JSON.parse(readFileSync("web/msg/" + file, "utf8"));
    const lacking = [];
    if (!PLURALS[name]) {
        bad.push(`web/msg/${file}: not a language of web/js/msg.js`);
        continue;
    }
    for (const key of Object.keys(table)) {
        const m = table[key];
        if (key === "texts") {
            continue;
        }
        if (PLACED.test(key) && !TARGET[name].test(m)) {
            bad.push(`web/msg/${file}: ${key} does not say how far from the target`);
        }
        if (!(key in ENGLISH)) {
            bad.push(`web/msg/${file}: ${key} is no message of the English file`);
        } else if (blanks(m) !== blanks(ENGLISH[key]) && !(typeof m === "string" && /\|/.test(m))) {
            bad.push(`web/msg/${file}: ${key} has ${blanks(m) || "no blanks"}, the English ${blanks(ENGLISH[key]) || "none"}`);
        }
        if (typeof m !== "string" && PLURALS[name].some((f) => !(f in m))) {
            bad.push(`web/msg/${file}: ${key} lacks a plural form`);
        }
        if (typeof m === "string" && String(ENGLISH[key]).includes("|") && m.split("|").length !== ENGLISH[key].split("|").length) {
            bad.push(`web/msg/${file}: ${key} is a list of another length`);
        }
    }
    if (name === "en") {
        continue;
    }
    for (const key of Object.keys(ENGLISH)) {
        if (!(key in table)) {
            lacking.push(key);
        }
    }
    const texts = table.texts || {};
    for (const text of starters) {
        if (!(text in texts)) {
            bad.push(`web/msg/${file}: no translation of the starter text "${text}"`);
        }
    }
    for (const text of Object.keys(texts)) {
        if (!starters.has(text)) {
            bad.push(`web/msg/${file}: no starter says "${text}"`);
        }
    }
    console.log(`${name}: ${Object.keys(ENGLISH).length - lacking.length} of ${Object.keys(ENGLISH).length} messages, ${Object.keys(texts).length} texts`);
    lacking.forEach((key) => console.log(`${name} lacks ${key}: read in English`));
}

bad.forEach((b) => console.log(b));
process.exit(bad.length ? 1 : 0);
