/* SPDX-License-Identifier: MIT
 * What the child's page weighs on the wire, from the server as built (brotli): the first page at most
 * 20 kB, the whole way at most 60 kB, and nothing from anywhere else. The files are found by following
 * the page, its styles and its modules; a real browser then goes the whole way and asks for no other. */

import test from "node:test";
import assert from "node:assert/strict";
import http from "node:http";
import { startSchool } from "../lib/server.mjs";
import { launch, visitor, SIZES } from "../lib/browser.mjs";
import { signedIn } from "../lib/client.mjs";
import { makeClass, makeCards, makeActivity, setChallenge } from "../lib/world.mjs";
import { comeIn, makeTries, press, title } from "../lib/child.mjs";

const FIRST = 20000,
    WHOLE = 60000; /* bytes; headers are not counted */

/* {bytes as sent, text} */
function ask(origin, path, coding) {
    return new Promise((yes, no) => {
        http.get(origin + path, { headers: { "Accept-Encoding": coding } }, (answer) => {
            const parts = [];
            answer.on("data", (d) => parts.push(d));
            answer.on("end", () => yes({ status: answer.statusCode, body: Buffer.concat(parts) }));
        }).on("error", no);
    });
}

/* What a file of that kind names, as paths. */
function named(path, text) {
    const found = path.endsWith(".css")
        ? [...text.matchAll(/url\("?([^)"]+)"?\)/g)]
        : path.endsWith(".js")
          ? [...text.matchAll(/(?:from|import)\s*"(\.[^"]+)"/g)]
          : [];
    return found.map((m) => new URL(m[1], "http://a" + path).pathname);
}

/* path -> bytes of these and all that they name, but not what is in `but`. */
async function weigh(origin, paths, but = new Map()) {
    const seen = new Map();
    const queue = [...paths];
    while (queue.length) {
        const path = queue.pop();
        if (seen.has(path) || but.has(path)) {
            continue;
        }
        const sent = await ask(origin, path, "br");
        assert.equal(sent.status, 200, path);
        seen.set(path, sent.body.length);
        queue.push(...named(path, (await ask(origin, path, "identity")).body.toString("utf8")));
    }
    return seen;
}

const sum = (sizes) => [...sizes.values()].reduce((a, b) => a + b, 0);
const linked = (html) => [...html.matchAll(/(?:href|src)="(\/s\/[^"]+)"/g)].map((m) => m[1]);
const english = (path) => !/chalkhand-pl/.test(path); /* only where a Polish letter is shown */

test("the first page weighs at most 20 kB, the whole way at most 60 kB", async (t) => {
    const [school, browser] = [await startSchool(), await launch()];
    t.after(() => Promise.all([school.stop(), browser.close()]));
    const html = (await ask(school.url, "/", "identity")).body.toString("utf8");
    const [early, late] = html.match(/([\s\S]*)<template id="rest">([\s\S]*?)<\/template>/).slice(1);
    const tail = html.slice(html.indexOf("</template>"));
    const first = await weigh(school.url, ["/", ...linked(early + tail)]);
    const words = linked(early).find((p) => p.endsWith("/msg/en.card.json"));
    const rest = await weigh(school.url, [...linked(late), words.replace("card", "child")], first);
    const all = new Map([...first, ...rest].filter(([path]) => english(path)));
    const early_bytes = sum(new Map([...first].filter(([path]) => english(path))));
    console.log(`# first page ${early_bytes} bytes in ${first.size} files, the whole way ${sum(all)} bytes in ${all.size} files`);
    [...all].sort((a, b) => b[1] - a[1]).slice(0, 12).forEach(([path, n]) => console.log(`#   ${n} ${path.replace(/^\/s\/[^/]+/, "")}`));
    assert.ok(early_bytes > 5000 && early_bytes <= FIRST, `first page: ${early_bytes} bytes`);
    assert.ok(sum(all) > 20000 && sum(all) <= WHOLE, `the whole way: ${sum(all)} bytes`);

    const teacher = await signedIn(school.url, school.account);
    await teacher.get("/api/v1/session");
    const klass = await makeClass({ first: teacher }, "3 Alder", ["Ondi"]);
    const [card] = await makeCards({ first: teacher }, klass.id, "pupil");
    await setChallenge(teacher, await makeActivity(teacher, "timed_count", { name: "Line skips" }), [klass.id]);
    const v = await visitor(browser, school.url, SIZES.small, { serviceWorkers: "block" });
    const asked = new Set();
    v.page.on("request", (r) => {
        const url = new URL(r.url());
        asked.add(url.origin === school.url ? url.pathname : r.url());
    });
    const files = () => [...asked].filter((p) => !p.startsWith("/api/"));
    await v.page.goto("/", { waitUntil: "networkidle" });
    assert.deepEqual(files().filter((p) => !first.has(p)), [], "asked for by the first page");
    await comeIn(v.page, card.code);
    await makeTries(v.page, 31, "Line skips");
    await press(v.page, "Send my tries");
    await title(v.page, "Thank you");
    await press(v.page, "My bests");
    await title(v.page, "My bests");
    assert.deepEqual(files().filter((p) => !all.has(p)), [], "asked for by the way");
    const modules = (paths) => paths.filter((path) => path.endsWith(".js")).map((path) => path.replace(/^\/s\/[^/]+/, ""));
    assert.deepEqual(modules(files()).sort(), ["/js/pupil/door.js", "/js/pupil/journey.js", "/js/pupil/main.js"], "three modules, none in two of them");
    assert.deepEqual([...all.keys()].filter((p) => !asked.has(p)), [], "weighed, but not asked for");
    await v.close();
});
