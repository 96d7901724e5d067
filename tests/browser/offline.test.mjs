/* SPDX-License-Identifier: MIT
 * The pupil's page with no connection, in a real browser against the real server. The school, the
 * children and the activities are invented. */

import test from "node:test";
import assert from "node:assert/strict";
import { startSchool, startServer } from "../lib/server.mjs";
import { launch, visitor, look, SIZES } from "../lib/browser.mjs";
import { shellKept } from "../lib/child.mjs";
import { signedIn } from "../lib/client.mjs";
import { must } from "../lib/world.mjs";

test("the page opens with no connection, the server gone", async (t) => {
    const [school, browser] = [await startSchool(), await launch()];
    t.after(() => Promise.all([school.stop(), browser.close()]));
    const v = await visitor(browser, school.url, SIZES.small);
    await v.page.goto("/");
    await v.page.locator("#card").waitFor();
    await shellKept(v.page);
    const kept = await v.page.evaluate(async () => {
        const names = await caches.keys();
        const paths = [];
        for (const name of names) {
            paths.push(...(await (await caches.open(name)).keys()).map((r) => new URL(r.url).pathname));
        }
        return { names, paths };
    });
    assert.equal(kept.names.length, 1);
    /* what the school says came after the page was kept; a number set apart for invention */
    const says = "Tell a grown-up. Or ring 01632 960179";
    const office = await signedIn(school.url, school.account);
    const { school: row } = must(await office.get("/api/v1/school"), 200);
    must(await office.put("/api/v1/school", { school: { ...row, away_phone: says } }), 200);
    await v.page.goto("/help");
    await v.page.getByText(says).first().waitFor();
    await look(v, "help");
    assert.deepEqual(kept.paths.filter((p) => !/^\/($|privacy$|help$|s\/[0-9a-f]{16}\/(css|js|img|fonts?|msg)\/)/.test(p)), [], "no answer of the API, no page of staff");
    assert.deepEqual(v.trouble, []);
    /* Gone for everybody: setOffline() alone leaves a worker its network. */
    assert.equal(await school.server.stop(), 0);
    for (const path of ["/", "/quick"]) {
        await v.page.goto(path);
        await v.page.locator("#card").waitFor();
    }
    await v.page.goto("/help");
    await v.page.getByText(says).first().waitFor();
    await v.page.goto("/privacy");
    await v.page.locator("h1").first().waitFor();
    school.server = await startServer(school.data, { listen: `127.0.0.1:${school.port}` });
    await v.page.goto("/quick");
    await v.page.locator("#code").waitFor();
    assert.deepEqual(v.trouble.filter((line) => !/ERR_CONNECTION_REFUSED/.test(line)), []);
    v.trouble.length = 0;
    await v.page.goto("/");
    await v.page.locator("#card").waitFor();
    await look(v, "card with the page kept");
});
