/* SPDX-License-Identifier: MIT
 * Holds every exchange that the HTTP and browser tests recorded against web/openapi.json with an
 * independent validator (Ajv, JSON Schema 2020-12). Fails on an answer that the document does not
 * describe, and on an operation or a status of the document that no test has seen. What the document
 * has no operation for is a static file of web/, or refused as not there: 404, 405. */

import test from "node:test";
import assert from "node:assert/strict";
import { readFileSync, existsSync } from "node:fs";
import { fileURLToPath } from "node:url";
import Ajv2020 from "ajv/dist/2020.js";
import addFormats from "ajv-formats";
import { lint, createConfig } from "@redocly/openapi-core";

const file = fileURLToPath(new URL("../../web/openapi.json", import.meta.url));
const doc = JSON.parse(readFileSync(file, "utf8"));
const recorded = process.env.THRICE_RECORD || fileURLToPath(new URL("../out/exchanges.jsonl", import.meta.url));

const ajv = new Ajv2020({ strict: false, allErrors: true });
addFormats(ajv);
ajv.addSchema({ $id: "openapi", components: doc.components });

function absolute(schema) {
    return JSON.parse(JSON.stringify(schema).replaceAll('"#/components/', '"openapi#/components/'));
}

/* Paths as patterns, fixed ones first. */
const patterns = Object.keys(doc.paths).map((path) => ({
    path, regex: new RegExp("^" + path.replace(/[.]/g, "\\.").replace(/\{[a-z_]+\}/g, "([^/]+)") + "$"), holes: (path.match(/\{/g) || []).length
})).sort((a, b) => a.holes - b.holes);

const compiled = new Map();
function validator(key, schema) {
    if (!compiled.has(key)) {
        compiled.set(key, ajv.compile(absolute(schema)));
    }
    return compiled.get(key);
}

function resolve(response) {
    return response.$ref ? doc.components.responses[response.$ref.split("/").pop()] : response;
}

function exchanges() {
    return readFileSync(recorded, "utf8").trim().split("\n").map((line) => JSON.parse(line));
}

function problemsOf(x, operation, path) {
    const declared = operation.responses[String(x.status)] || operation.responses.default;
    const where = `${x.method} ${path} ${x.status}`;
    if (!declared) {
        return [`${where}: a status that the document does not know: ${x.text.slice(0, 200)}`];
    }
    const content = resolve(declared).content;
    if (!content) {
        return x.text === "" || x.status === 303 ? [] : [`${where}: a body where none is described`];
    }
    const type = x.type.split(";")[0].trim();
    if (!content[type]) {
        return [`${where}: content type ${x.type || "(none)"}`];
    }
    if (!/json/.test(type)) {
        return [];
    }
    const check = validator(`${x.method} ${path} ${operation.responses[String(x.status)] ? x.status : "default"} ${type}`, content[type].schema);
    if (check(JSON.parse(x.text))) {
        return [];
    }
    return [`${where}: ${ajv.errorsText(check.errors, { separator: "; " })} in ${x.text.slice(0, 300)}`];
}

function requestProblems(x, operation, path) {
    if (x.status >= 300 || x.requestType !== "application/json" || !operation.requestBody) {
        return [];
    }
    const content = operation.requestBody.content["application/json"];
    const check = content && validator(`${x.method} ${path} request`, content.schema);
    return !check || check(x.request) ? [] : [`${x.method} ${path}: took a body that the document does not allow: ${ajv.errorsText(check.errors)}`];
}

/* The pages and files of web/, at the addresses that server/embed.sh gives them. */
function isFile(path) {
    const names = { "/": "index.html", "/c": "family.html", "/staff": "staff/index.html" };
    const named = /^\/s\/[^/]+\//.test(path) ? path.replace(/^\/s\/[^/]+\//, "").replace(/\.(card|child)\.json$/, ".json") : path.slice(1);
    return [names[path], named, named + ".html"].some((f) => f && /\.[a-z0-9]+$/.test(f) && existsSync(fileURLToPath(new URL("../../web/" + f, import.meta.url))));
}

/* Of an exchange that is no operation of the document. */
function strangerProblems(x, path) {
    const known = patterns.some((p) => p.regex.test(path));
    if (x.method === "GET" && (x.status === 200 || x.status === 304) && !path.startsWith("/api/") && isFile(path)) {
        return [];
    }
    if (x.status !== (known ? 405 : 404)) {
        return [`${x.method} ${path} ${x.status}: web/openapi.json has no such operation: describe it there (paths), as server/routes.c has it`];
    }
    const check = validator("problem", { $ref: "#/components/schemas/Problem" });
    return !/json/.test(x.type) || check(JSON.parse(x.text)) ? [] : [`${x.method} ${path} ${x.status}: ${ajv.errorsText(check.errors)}`];
}

test("the OpenAPI document lints clean", async () => {
    const found = await lint({ ref: file, config: await createConfig({ extends: ["recommended"] }) });
    assert.deepEqual(found.map((p) => `${p.ruleId}: ${p.message}`), []);
});

test("every recorded exchange is as the document says", () => {
    assert.ok(existsSync(recorded), "no exchanges were recorded: run the HTTP tests first");
    const wrong = new Map();    /* one example of each kind */
    let count = 0;
    for (const x of exchanges()) {
        const path = x.path.split("?")[0];
        const found = patterns.find((p) => p.regex.test(path));
        const operation = found && doc.paths[found.path][x.method.toLowerCase()];
        if (!operation) {
            strangerProblems(x, path).forEach((p) => wrong.set(p.replace(/\/\d+/g, "/N"), p));
            continue;
        }
        count += 1;
        problemsOf(x, operation, found.path).concat(requestProblems(x, operation, found.path)).forEach((p) => wrong.set(p.split(" in {")[0].replace(/\/\d+/g, "/N"), p));
    }
    console.log(`# ${count} exchanges held against the document`);
    assert.deepEqual(Array.from(wrong.values()).slice(0, 40), []);
    assert.ok(count > 100);
});

test("every operation and status of the document was seen", () => {
    const seen = new Set();
    for (const x of exchanges()) {
        const found = patterns.find((p) => p.regex.test(x.path.split("?")[0]));
        if (found) {
            seen.add(`${x.method.toLowerCase()} ${found.path} ${x.status}`);
        }
    }
    const missing = [];
    for (const [path, item] of Object.entries(doc.paths)) {
        for (const [method, operation] of Object.entries(item)) {
            for (const status of Object.keys(operation.responses)) {
                if (/^\d{3}$/.test(status) && !seen.has(`${method} ${path} ${status}`)) {
                    missing.push(`${method} ${path} ${status}`);
                }
            }
        }
    }
    assert.deepEqual(missing, []);
});
