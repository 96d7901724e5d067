/* SPDX-License-Identifier: MIT
 * One list of error codes, and words for each who reads them. The list is ErrorCode of web/openapi.json, which
 * tests/contract holds every recorded answer to. Here:
 *
 *   what server/ can put into a problem's errors (found by following the code back to its literal, c-source.mjs)
 *   is in the list, and what is in the list can be sent;
 *   every code of the list, and every slug of server/base/err.c, has words for staff, and for children and families
 *   where a route of theirs can come to it;
 *   every word for a code or a slug has a code or a slug that its reader can meet.
 *
 * Who can meet what is worked out from the routing table: what their handlers can call. That is more than happens, so
 * tests/data/codes.csv says which of it no page of ours lets happen, and why. /quick has sentences of its own for
 * everything; the codes that it tells apart are held to the list too. With -v the list is printed, with its words. */
import { readFileSync } from "node:fs";
import { readTree, Tracer, reachable } from "./c-source.mjs";

const VERBOSE = process.argv[2] === "-v";
const bad = [];
const tree = readTree();
const where = (fn, line) => `${fn.file}:${line}`;
const read = (file) => readFileSync(file, "utf8");

/* What a value can be: text -> [{fn, line}]. */
function sources(trace) {
    const found = new Map();
    const say = (text, fn, line) => (text === "" ? null : found.set(text, (found.get(text) || []).concat({ fn, line })));
    const lost = (what, fn, line) => bad.push(`${where(fn, line)}: an error code comes from ${what}, which tests/lint/c-source.mjs ` +
        "cannot follow: give a literal, a parameter, a local variable or a member of a named struct");
    trace(new Tracer(tree, say, lost));
    return found;
}

const codes = sources((t) => t.member("blame", "code", "include/http/request.h"));
const bulk = sources((t) => t.filled(tree.named("accept_one", "server/handlers/assess.c")[0], 3));
const rows = sources((t) => t.member("roster_row", "refused", "include/base/roster_csv.h"));
const odd = sources((t) => t.member("roster_note", "code", "include/base/roster_csv.h"));
const files = sources((t) => t.member("roster_fault", "code", "include/base/roster_csv.h"));
const plans = sources((t) => t.member("year_problem", "code", "include/store/year.h"));
if (codes.size < 100) {
    bad.push(`tests/lint/codes.mjs: only ${codes.size} codes were found in server/`);
}

/* err.c: enum err -> slug, as pages spell it. */
const slugs = new Map([...read("server/base/err.c").matchAll(/\[(ERR_\w+)\] = \{\d+, "([^"]+)"/g)].map((m) => [m[2].replace(/_/g, "-"), m[1]]));
/* The codes of a refusal about the whole request: what is said is said by the slug. */
const isSlug = (code) => codes.has(code) && codes.get(code).every((s) => s.fn.file === "server/http/problem.c");

/* The list ---------------------------------------------------------------------------------------- */

const LIST = JSON.parse(read("web/openapi.json")).components.schemas.ErrorCode.enum;
const at = (found, code) => where(found.get(code)[0].fn, found.get(code)[0].line);
for (const code of codes.keys()) {
    if (!LIST.includes(code)) {
        bad.push(`${at(codes, code)}: "${code}" is not in the list: add it to ErrorCode of web/openapi.json, in the order of ` +
            "the alphabet, and give it words (DEVELOPERS.md, Add an error code)");
    }
}
LIST.filter((c) => !codes.has(c)).forEach((c) => bad.push(`web/openapi.json: ErrorCode lists "${c}", which nothing in server/ sends: take it out`));
LIST.filter((c, i) => i > 0 && LIST[i - 1] >= c).forEach((c) => bad.push(`web/openapi.json: ErrorCode: "${c}" is out of the order of the alphabet, or twice`));

/* Who can meet what ------------------------------------------------------------------------------- */

/* The entries of routes[] as token lists, those with pages of their own (.html) left out. */
function entries() {
    const list = tree.files.get("server/routes.c").list;
    const out = [];
    let depth = 0;
    for (let i = list.findIndex((t, k) => t === "routes" && list[k + 1] === "["); i < list.length && list[i] !== ";"; i += 1) {
        depth += list[i] === "{" ? 1 : list[i] === "}" ? -1 : 0;
        if (depth === 2 && list[i] === "{") {
            out.push([]);
        } else if (depth === 2) {
            out[out.length - 1].push(list[i]);
        }
    }
    return out.filter((e) => !e.includes("html"));
}

const ROUTES = entries();
const ALWAYS = tree.functions.filter((f) => /^server\/(http\/(exchange|json_body|request)|auth\/gate)/.test(f.file));
const MAY = { child: /^(P|SIGNED_IN|ANYONE)$/, family: /^(C|SIGNED_IN|ANYONE)$/ };

function meets(reader) {
    const own = ROUTES.filter((e) => e.slice(0, e.indexOf(")")).some((t) => MAY[reader].test(t)));
    const start = own.flatMap((e) => e.filter((t) => /^(h|scope)_/.test(t)).flatMap((t) => tree.named(t, "server/routes.c")));
    if (own.length < 5 || start.length < own.length) {
        bad.push(`tests/lint/codes.mjs: the routes of ${reader} were not found in server/routes.c`);
    }
    const functions = reachable(tree, start.concat(ALWAYS));
    const named = new Set([...functions].filter((f) => f.file !== "server/http/problem.c").flatMap((f) => f.body.filter((t) => /^ERR_/.test(t))));
    return {
        codes: new Set([...codes].filter(([c, at]) => !isSlug(c) && at.some((s) => functions.has(s.fn))).map(([c]) => c)),
        slugs: new Set([...slugs].filter(([, err]) => named.has(err)).map(([s]) => s))
    };
}

const MEETS = { staff: { codes: new Set(LIST), slugs: new Set(slugs.keys()) }, child: meets("child"), family: meets("family") };

/* tests/data/codes.csv: what a reader is spared. */
const SPARED = read("tests/data/codes.csv").trim().split("\n").slice(1).map((line) => {
    const [kind, code, readers, ...why] = line.split(",");
    return { kind, code, readers: readers.split(" "), why: why.join(",") };
});
const spared = (reader, kind, code) => SPARED.some((s) => s.kind === kind && s.code === code && s.readers.includes(reader));
for (const { kind, code, readers, why } of SPARED) {
    if ((kind !== "code" && kind !== "slug") || !why || readers.some((r) => !MEETS[r])) {
        bad.push(`tests/data/codes.csv: ${kind},${code}: a line is code or slug, the code, who is spared it (staff child family), and why`);
    }
    readers.filter((r) => MEETS[r] && !MEETS[r][kind + "s"].has(code)).forEach((r) =>
        bad.push(`tests/data/codes.csv: ${kind} ${code}: no route of ${r} comes to it: take ${r} out of the line`));
}

/* Words ------------------------------------------------------------------------------------------- */

const staffWords = read("web/js/staff/words.js") + "\nexport { SLUGS, CODES, WHOLE };";
const { SLUGS, CODES, WHOLE, sentenceFor } = await import("data:text/javascript," + encodeURIComponent(staffWords));
const ENGLISH = JSON.parse(read("web/msg/en.json"));
const STAFF = "web/js/staff/words.js";
/* The keys of the object that stands behind `head` in a module; its values are plain. */
function table(file, head) {
    const text = read(file);
    const from = text.indexOf(head + " {") + head.length + 1;
    let to = from;
    for (let depth = 0; to < text.length; to += 1) {
        depth += text[to] === "{" ? 1 : text[to] === "}" ? -1 : 0;
        if (depth === 0) {
            break;
        }
    }
    const keys = [...text.slice(from, to).replace(/"(?:[^"\\]|\\.)*"/g, '""').matchAll(/[{,]\s*(\w+):/g)].map((m) => m[1]);
    if (from < head.length + 1 || keys.length < 3) {
        bad.push(`${file}: the words behind "${head}" were not found (tests/lint/codes.mjs looks there)`);
    }
    return keys;
}

/* A reader's word for a code or slug, or undefined; and where it belongs. */
const WORDS = {
    staff: {
        code: (c) => (isSlug(c) ? SLUGS[c.replace(/_/g, "-")] : WHOLE[c] || CODES[c]),
        slug: (s) => SLUGS[s],
        place: (kind) => (kind === "slug" ? `SLUGS of ${STAFF}` : `CODES (behind a field's name) or WHOLE (a sentence of its own) of ${STAFF}`)
    },
    child: { code: (c) => ENGLISH["code." + c], slug: (s) => ENGLISH["childerror." + s],
        place: (kind, c) => `"${kind === "slug" ? "childerror." : "code."}${c}" in web/msg/en.json, pl.json and ur.json` },
    family: { code: (c) => ENGLISH["code." + c], slug: (s) => ENGLISH["error." + s],
        place: (kind, c) => `"${kind === "slug" ? "error." : "code."}${c}" in web/msg/en.json, pl.json and ur.json` }
};
for (const reader of Object.keys(WORDS)) {
    for (const kind of ["code", "slug"]) {
        for (const c of MEETS[reader][kind + "s"]) {
            if (!WORDS[reader][kind](c) && !spared(reader, kind, c)) {
                const from = codes.has(c) ? ` (${at(codes, c)})` : "";
                bad.push(`the ${kind} "${c}"${from} has no words for ${reader}: add them as ${WORDS[reader].place(kind, c)}` +
                    `${reader === "staff" ? "" : `; or, when no page of ours lets it happen, say so in tests/data/codes.csv: ${kind},${c},${reader},why`}`);
            }
        }
    }
}
/* The way that the staff pages take to the words. */
for (const code of LIST.filter((c) => WORDS.staff.code(c))) {
    if (/cannot be taken as it is|That did not work/.test(sentenceFor({ slug: isSlug(code) ? code : "bad-input" }, { code, pointer: "" }))) {
        bad.push(`${STAFF}: sentenceFor() does not find the words of "${code}"`);
    }
}

/* The other way round. */
const without = (file, keys, has, what) => keys.filter((k) => !has(k)).forEach((k) =>
    bad.push(`${file}: words for "${k}", ${what}: take them out, or name the code that is meant`));
without(STAFF + " CODES, WHOLE", Object.keys(CODES).concat(Object.keys(WHOLE)), (k) => codes.has(k) && !isSlug(k), "which is no code of the server");
without(STAFF + " SLUGS", Object.keys(SLUGS), (k) => slugs.has(k) || k === "offline", "which is no slug of server/base/err.c");
Object.keys(CODES).filter((k) => WHOLE[k]).forEach((k) => bad.push(`${STAFF}: "${k}" has words in CODES and in WHOLE: one place`));
/* Not codes: what stands around them, and a card refused before it is sent. */
const AROUND = ["cannot", "nearest_one", "nearest_two", "other"];
const keysOf = (prefix) => Object.keys(ENGLISH).filter((k) => k.startsWith(prefix)).map((k) => k.slice(prefix.length));
const met = (reader, kind, c) => MEETS[reader][kind + "s"].has(c) && !spared(reader, kind, c);
without("web/msg code.", keysOf("code."),
    (k) => AROUND.includes(k) || met("child", "code", k) || met("family", "code", k), "which neither children nor families can meet");
for (const [reader, prefix] of [["child", "childerror."], ["family", "error."]]) {
    without("web/msg " + prefix, keysOf(prefix), (k) => ["offline", "other"].includes(k) || met(reader, "slug", k),
        `which ${reader} cannot meet (or tests/data/codes.csv says so)`);
}

/* Lists of rows have codes and words of their own: what an import or a plan says of each line. */
function both(found, file, head, more = []) {
    const keys = file.endsWith(".c") ? [...read(file).split(head + "[] = {")[1].split("{NULL")[0].matchAll(/\{"(\w+)"/g)].map((m) => m[1]) : table(file, head);
    [...found.keys()].filter((c) => !keys.includes(c) && !more.includes(c)).forEach((c) =>
        bad.push(`${at(found, c)}: "${c}" has no words in ${file} (${head})`));
    without(`${file} (${head})`, keys, (k) => found.has(k), "which no row has");
}
both(rows, "web/js/staff/list.js", "const REFUSED =");
both(rows, "server/cmd/roster.c", "rows_refused");
both(odd, "web/js/staff/list.js", "const ODD =");
both(odd, "server/cmd/roster.c", "rows_odd");
both(files, "server/cmd/roster.c", "whole_file");
both(plans, "web/js/staff/year.js", "    return");
both(bulk, "web/js/staff/assess-child.js", "const NOT_MANY =", ["decided"]);

/* Where else an answer holds a code. */
const ANSWERS = {
    "server/handlers/assess.c": ["code"],
    "server/handlers/roster.c": ["row -> refused", "r -> odd [ i ] . code"],
    "server/handlers/year_view.c": ["b -> code"],
    "server/handlers/school.c": ["r -> code"] /* of the audit trail */
};
for (const fn of tree.functions) {
    fn.body.forEach((t, i) => {
        const printed = /\\"code\\":\\"%s/.test(t) ? "code" : null;
        const packed = t === '"code"' && fn.body[i + 2] === "json_string" ? fn.body.slice(i + 4, fn.body.indexOf(")", i)).join(" ") : null;
        const what = printed || packed;
        if (what && !(ANSWERS[fn.file] || []).includes(what)) {
            bad.push(`${where(fn, fn.lines[i])}: an answer has a code here (${what}): hold it to its words with both() in ` +
                "tests/lint/codes.mjs and name it in ANSWERS there");
        }
    });
}

/* /quick tells codes apart by name. */
for (const fn of tree.functions.filter((f) => /handlers\/quick/.test(f.file))) {
    fn.body.forEach((t, i) => {
        const comma = fn.body.indexOf(",", i);
        if (t === "strcmp" && fn.body[comma - 1] === "code" && fn.body[comma + 1][0] === '"') {
            const code = JSON.parse(fn.body[comma + 1]);
            if (!codes.has(code)) {
                bad.push(`${where(fn, fn.lines[i])}: asks for the code "${code}", which nothing sends`);
            }
        }
    });
}

if (VERBOSE) {
    for (const code of LIST) {
        console.log(`${code.padEnd(18)} ${at(codes, code)}`);
        const [kind, name] = isSlug(code) ? ["slug", code.replace(/_/g, "-")] : ["code", code];
        Object.keys(WORDS).filter((r) => met(r, kind, name)).forEach((r) => console.log(`    ${r.padEnd(7)} ${WORDS[r][kind](name)}`));
    }
}
bad.forEach((b) => console.log(b));
const count = (reader) => [...MEETS[reader].codes].filter((c) => met(reader, "code", c)).length;
console.log(`${LIST.length} error codes, ${slugs.size} slugs; children can meet ${count("child")} codes, families ${count("family")}`);
process.exit(bad.length ? 1 : 0);
