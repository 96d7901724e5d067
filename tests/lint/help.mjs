/* SPDX-License-Identifier: MIT
 * Every staff page with a module says what it is for in two or three sentences, and no page that is not there does. Run
 * from the top of the repository. */
import { readFileSync, readdirSync } from "node:fs";

const code = readFileSync("web/js/staff/help-words.js", "utf8");
const { HELP } = await import("data:text/javascript," + encodeURIComponent(code));
const pages = readdirSync("web/staff").filter((f) => f.endsWith(".html") && readFileSync("web/staff/" + f, "utf8").includes("/js/staff/")).map((f) => (f === "index.html" ? "" : f.replace(".html", "")));
const bad = [];
for (const page of pages) {
    const words = HELP[page];
    const sentences = words ? words.split(/[.!?](?:\s|$)/).filter((s) => s.trim()) : [];
    if (sentences.length < 2 || sentences.length > 3) {
        bad.push(`web/js/staff/help-words.js: ${page || "index"} has ${sentences.length} sentences, two or three are wanted`);
    }
    sentences.filter((s) => s.split(/\s+/).length > 30).forEach((s) => bad.push(`web/js/staff/help-words.js: ${page}: long: ${s}`));
}
Object.keys(HELP).filter((name) => !pages.includes(name)).forEach((name) => bad.push(`web/js/staff/help-words.js: there is no page ${name}`));
bad.forEach((b) => console.log(b));
process.exit(bad.length ? 1 : 0);
