/* SPDX-License-Identifier: MIT
 * Every script that a browser is sent parses as ECMAScript 2018, the language of browsers of that
 * year and since: newer syntax would leave an old console's or phone's page without its script.
 * Held by acorn, a parser of its own. Modules, but the worker, which is fetched as a plain script.
 * Run from the top of the repository. */
import { readFileSync, readdirSync } from "node:fs";
import { parse } from "acorn";

const EDITION = 2018;
const WORKER = "web/sw.js";

function scripts(dir) {
    return readdirSync(dir, { withFileTypes: true }).flatMap((e) =>
        e.isDirectory() ? scripts(dir + "/" + e.name) : /\.m?js$/.test(e.name) ? [dir + "/" + e.name] : []
    );
}

function complaint(text, sourceType) {
    try {
        parse(text, { ecmaVersion: EDITION, sourceType });
        return null;
    } catch (error) {
        return error;
    }
}

/* The parser refuses what came after, else its silence about the files says nothing. */
const LATER = ["a?.b;", "a ?? b;", "class A { b = 1; }", "import('./a.js');", "try { a(); } catch { b(); }", "1_000;", "1n;"];
const NOW = ["const { a, ...rest } = b;", "async function a() { for await (const b of c) { d(b); } }", "export const a = /(?<=b)\\p{L}/u;"];
for (const text of LATER.filter((s) => !complaint(s, "module")).concat(NOW.filter((s) => complaint(s, "module")))) {
    console.log(`tests/lint/parse.mjs: the parser is not one of ECMAScript ${EDITION}: ${text}`);
    process.exitCode = 1;
}

const files = scripts("web").sort();
for (const file of files) {
    const error = complaint(readFileSync(file, "utf8"), file === WORKER ? "script" : "module");
    if (error) {
        console.log(`${file}:${error.loc.line}: no ECMAScript ${EDITION}: ${error.message}`);
        process.exitCode = 1;
    }
}
if (!files.includes(WORKER)) {
    console.log(`${WORKER}: not found`);
    process.exitCode = 1;
}
console.log(`${files.length} scripts read as ECMAScript ${EDITION}`);
