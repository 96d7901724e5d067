/* SPDX-License-Identifier: MIT
 * A card that has ended, at a child's and at a family's browser: what is said, and that tries which wait
 * stay until the new card comes. All names are invented. */

import test from "node:test";
import assert from "node:assert/strict";
import { look, visitor, SIZES } from "../lib/browser.mjs";
import { makeHome, nothingKept, GAME } from "../lib/home.mjs";
import { must } from "../lib/world.mjs";
import { title, press, sees, shellKept, typeCard, comeIn, comeInOffline, makeTries, keptText } from "../lib/child.mjs";

const ENDED = "This card no longer works. Ask school for a new one.";
const KEPT = ENDED + " 1 to send stays here for its card.";

let home;
test.before(async () => {
    home = await makeHome("4 Larch", ["Ondi", "Perrin", "Quill", "Rafe"]);
});
test.after(() => home.stop());

const keyOf = (card) => card.url.split("#")[1];
const cancel = async (card) => must(await home.first.del(`/api/v1/cards/${card.id}`), 204);
const make = async (pupil, holder) => must(await home.first.post(`/api/v1/pupils/${pupil}/cards`, { holder }), 201).cards[0];

for (const [size, box] of Object.entries(SIZES)) {
    test(`a child's card that has ended, typed and scanned, ${size}`, async () => {
        const old = await make(home.cards[0].pupil.id, "pupil");
        await cancel(old);
        const v = await visitor(home.browser, home.school.url, box);
        await v.page.goto("/");
        await typeCard(v.page, old.code);
        await sees(v.page, ENDED);
        await look(v, `child's card ended, typed, ${size}`);
        await v.page.goto("/#" + keyOf(old));
        await sees(v.page, ENDED);
        await look(v, `child's card ended, scanned, ${size}`);
        assert.doesNotMatch(await v.page.locator("#main").textContent(), /Ondi|to send/);
        assert.deepEqual(v.trouble, []);
        await v.close();
    });

    test(`a family's card that has ended, typed and scanned, ${size}`, async () => {
        const pupil = home.cards[1].pupil.id;
        const [old, other] = [await make(pupil, "family"), await make(pupil, "family")];
        await cancel(old);
        const v = await visitor(home.browser, home.school.url, box);
        await v.page.goto("/c");
        await v.page.locator("#main input").first().fill(old.code);
        await press(v.page, "Open the page");
        await sees(v.page, ENDED);
        await look(v, `family's card ended, typed, ${size}`);
        await v.page.goto("/c#" + keyOf(old));
        await sees(v.page, ENDED);
        await look(v, `family's card ended, scanned, ${size}`);
        await v.page.locator("#main input").first().fill(other.code);
        await press(v.page, "Open the page");
        await title(v.page, "Perrin");
        await v.page.getByRole("button", { name: "Open another family card" }).click();
        await v.page.locator("#main input").first().fill(old.code);
        await press(v.page, "Open the page");
        await sees(v.page, ENDED);
        await press(v.page, "Back");
        await title(v.page, "Perrin");
        assert.deepEqual(v.trouble, []);
        await v.close();
        await cancel(other);
    });
}

test("cancelled while tries waited: they stay, it is said, and the new card sends them", async () => {
    const [child, v] = [home.another(), await home.device()];
    await home.ready(v, child);
    home.relay.set("cut");
    await press(v.page, "Send my tries");
    await sees(v.page, "1 to send");
    home.relay.set("open");
    await cancel(child.card);
    await v.page.goto("/");
    await typeCard(v.page, child.code);
    await sees(v.page, KEPT);
    v.trouble.splice(0, 99, ...v.trouble.filter((l) => !/ERR_/.test(l))); /* of the cut connection */
    await look(v, "child's card ended, tries wait");
    await v.page.goto("/#" + keyOf(child.card));
    await sees(v.page, KEPT);
    assert.match(await keptText(v.page), /"send\//);
    assert.deepEqual(await home.of(child), []);
    await comeIn(v.page, (await make(child.pupil, "pupil")).code);
    await sees(v.page, /^Thank you|^Sent/);
    home.owes(child);
    await home.count("cancelled meanwhile");
    await nothingKept(v);
    await v.close();
});

test("used without a connection after it was cancelled: the same", async () => {
    const [child, v] = [home.another(), await home.device()];
    await shellKept(v.page);
    await comeIn(v.page, child.code);
    await title(v.page, "Today");
    while (!(await keptText(v.page)).includes(`detail/${child.pupil}/`)) {
        await v.page.waitForTimeout(50);
    }
    await press(v.page, "Finish");
    await press(v.page, "Stop now. Keep my things here.");
    await cancel(child.card);
    home.relay.set("cut");
    await comeInOffline(v.page, child.card);
    await makeTries(v.page, child.value, GAME);
    await press(v.page, "Send my tries");
    await sees(v.page, "1 to send");
    home.relay.set("open");
    await v.page.goto("/");
    await typeCard(v.page, child.code);
    await sees(v.page, KEPT);
    const fresh = await make(child.pupil, "pupil");
    await comeIn(v.page, fresh.code);
    await title(v.page, "Are these your tries?");
    await press(v.page, "Yes, send them");
    await sees(v.page, "Sent");
    home.owes(child);
    await home.count("cancelled before, used offline");
    await nothingKept(v);
    await v.close();
});
