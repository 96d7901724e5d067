/* SPDX-License-Identifier: MIT
 * The routing table (`thrice routes`) and web/openapi.json name the same operations, both ways: the API, /healthz and
 * /quick. Static files (pages, /s/) are in neither; openapi.json is the one file that the document lists.
 * THRICE=DIR/thrice: of another build folder. */
import { execFileSync } from "node:child_process";
import { existsSync, readFileSync } from "node:fs";

const THRICE = process.env.THRICE || "build/thrice";
const FILES = ["GET /api/v1/openapi.json"];
const bad = [];

if (!existsSync(THRICE)) {
    console.log(`${THRICE}: not built, so its routes cannot be held against web/openapi.json: run make first`);
    process.exit(1);
}
const printed = execFileSync(THRICE, ["routes"], { encoding: "utf8" }).trim().split("\n").map((line) => line.split("\t"));
const routes = printed.map(([method, path]) => `${method} ${path.replace(/:([a-z_]+)/g, "{$1}")}`);
const doc = JSON.parse(readFileSync("web/openapi.json", "utf8"));
const METHODS = ["get", "put", "post", "delete", "patch", "head", "options", "trace"];
const described = Object.entries(doc.paths).flatMap(([path, item]) =>
    Object.keys(item).filter((m) => METHODS.includes(m)).map((m) => `${m.toUpperCase()} ${path}`)
);
if (routes.length < 50) {
    bad.push(`${THRICE} routes: only ${routes.length} routes were printed`);
}
for (const r of routes.filter((x) => !described.includes(x))) {
    const [method, path] = r.split(" ");
    bad.push(`${r}: in server/routes.c, not in web/openapi.json: describe it there, paths["${path}"].${method.toLowerCase()}, with every status it can answer`);
}
for (const d of described.filter((x) => !routes.includes(x) && !FILES.includes(x))) {
    bad.push(`${d}: in web/openapi.json, not in the routing table: add it to server/routes.c and build, or take it out of the document`);
}
FILES.filter((f) => !described.includes(f)).forEach((f) => bad.push(`${f}: not in web/openapi.json`));
bad.forEach((b) => console.log(b));
console.log(`${routes.length} routes, ${described.length} operations`);
process.exit(bad.length ? 1 : 0);
