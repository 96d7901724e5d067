/* SPDX-License-Identifier: MIT
 * Children at home on devices whose way to the school can be cut, and a count at the server of all
 * that they sent: what is lost, what is there twice, what is under another child. */

import assert from "node:assert/strict";
import { launch, visitor, SIZES } from "./browser.mjs";
import { startBehindRelay } from "./cut.mjs";
import { signedIn } from "./client.mjs";
import { makeClass, makeCards, makeActivity, setChallenge, must } from "./world.mjs";
import { comeIn, makeTries, keptText, sendAgain } from "./child.mjs";

export const GAME = "Line skips";

/* A class of children with these names, one card each, and one challenge. */
export async function makeHome(name, names) {
    const [school, browser] = [await startBehindRelay(), await launch()];
    const first = await signedIn(school.url, school.account);
    await first.get("/api/v1/session");
    const klass = await makeClass({ first }, name, names);
    const cards = await makeCards({ first }, klass.id, "pupil");
    const challenge = await setChallenge(first, await makeActivity(first, "timed_count", {}), [klass.id]);
    return new Home({ school, relay: school.relay, browser, first, klass, cards, challenge });
}

class Home {
    constructor(parts) {
        Object.assign(this, parts);
        this.used = 0;
        this.expected = new Map(); /* pupil id -> the values that the server has to have, once each */
        this.sum = { scenes: 0, lost: 0, doubled: 0, wrong: 0 };
    }

    stop() {
        return Promise.all([this.school.stop(), this.browser.close()]);
    }

    child(card) {
        this.used += 1;
        return { card, code: card.code, picture: card.picture, pupil: card.pupil.id, value: 30 + this.used };
    }

    /* A child who has not played yet, with a number of tries of its own. */
    another() {
        return this.child(this.cards.pop());
    }

    async device(options) {
        const v = await visitor(this.browser, this.school.url, SIZES.small, options);
        await v.page.goto("/");
        return v;
    }

    /* The child is at the button that sends. */
    async ready(v, child, game = GAME) {
        await comeIn(v.page, child.code);
        await makeTries(v.page, child.value, game);
    }

    /* The connection is back. What waits may go by itself at any moment from here on: whatever a
     * scene changes at the server it changes before, while sending alone is cut off ("before"). */
    async again(v, done) {
        this.relay.set("open");
        await sendAgain(v.page, done);
    }

    /* Every hand-in there is: [{pupil, value, after_date, done_on}] */
    async rows(which = this.challenge) {
        /* The relay has just thrown everybody out: the connection that was kept may be one of them. */
        const ask = () => this.first.get(`/api/v1/challenges/${which.id}/results`);
        const answer = must(await ask().catch(ask), 200);
        return answer.rows.flatMap((r) => r.hand_ins.map((h) => ({ pupil: r.pupil.id, value: h.attempts.length ? h.attempts[0].value : h.could_not, after_date: h.after_date, done_on: h.done_on })));
    }

    async of(child) {
        return (await this.rows()).filter((r) => r.pupil === child.pupil);
    }

    owes(child) {
        this.expected.set(child.pupil, (this.expected.get(child.pupil) || []).concat(child.value));
    }

    /* Holds all that the server has against all that was sent so far. */
    async count(scene) {
        const { sum, expected } = this;
        sum.scenes += 1;
        sum.lost = sum.doubled = sum.wrong = 0;
        const found = await this.rows();
        for (const [pupil, values] of expected) {
            for (const value of values) {
                const n = found.filter((r) => r.pupil === pupil && r.value === value).length;
                sum.lost += n === 0 ? 1 : 0;
                sum.doubled += n > 1 ? n - 1 : 0;
            }
        }
        sum.wrong += found.filter((r) => !(expected.get(r.pupil) || []).includes(r.value)).length;
        assert.deepEqual([sum.lost, sum.doubled, sum.wrong], [0, 0, 0], `${scene}: lost, doubled, under another child`);
    }

    figures(what) {
        const { sum, expected } = this;
        console.log(`# ${what}: ${sum.scenes} scenes, ${[...expected.values()].flat().length} hand-ins, ${sum.lost} lost, ${sum.doubled} doubled, ${sum.wrong} under another child`);
        return sum.scenes;
    }
}

export async function nothingKept(v) {
    assert.ok(!/"(send|draft)\//.test(await keptText(v.page)), "nothing waits on the device");
}
