/* SPDX-License-Identifier: MIT
 * What is worked out about luck, bands and the class is for staff. Every address that children and
 * families may read (tests/data/access.csv) is read in the demo school, with all switches on, and
 * every key and every word of the answers is looked at. A family may see what a teacher has decided
 * and shared: that is looked at apart. */

import test from "node:test";
import assert from "node:assert/strict";
import { readFileSync } from "node:fs";
import { startDemo } from "../lib/server.mjs";
import { signedIn } from "../lib/client.mjs";
import { must } from "../lib/world.mjs";

const KEYS = /^(p|p_.*|.*prob.*|gain.*|label|span|likelier|suggestion.*|bands?|band_.*|category|crosses|estimate.*|class_view|figures|icc.*|five_numbers|typical_error.*|participation|to_check|tells|second_view.*|own_target|met|seen|statements?|taking_part|lesson_answers?|fresh_start|from_day)$/;
const WORDS = /\b(luck|probabl[ey]|probability|chance|ESTIMATE|usual ups and downs|clear gain|lower than|worse|p-value|fairly sure|leaning|not enough to (say|tell)|tells? children apart|ICC|typical error)\b/i;

/* [path, key or text] of everything in an answer. */
function walk(value, path, found) {
    if (Array.isArray(value)) {
        value.forEach((v, i) => walk(v, `${path}/${i}`, found));
    } else if (value && typeof value === "object") {
        for (const [k, v] of Object.entries(value)) {
            found.keys.push([`${path}/${k}`, k]);
            walk(v, `${path}/${k}`, found);
        }
    } else if (typeof value === "string") {
        found.texts.push([path, value]);
    }
    return found;
}

function paths(who) {
    return readFileSync(new URL("../data/access.csv", import.meta.url), "utf8").trim().split("\n").slice(1).map((l) => l.split(","))
        .filter(([method, path, allowed]) => method === "GET" && allowed.split(" ").includes(who) && !/openapi|healthz/.test(path)).map(([, path]) => path);
}

test("nothing of it reaches children or families", async (t) => {
    const school = await startDemo();
    t.after(() => school.stop());
    const staff = school.demo.staff[0];
    const lead = await signedIn(school.url, { name: staff.name, passphrase: staff.passphrase });
    await lead.get("/api/v1/session");
    must(await lead.put("/api/v1/school", { switches: { single_bands: true, distance_estimates: true, class_figures: true } }), 200);
    const { band_words } = must(await lead.get("/api/v1/school"), 200);

    async function read(who, card, pupil, shared) {
        const client = await signedIn(school.url, { card });
        const challenges = who === "pupil" ? must(await client.get("/api/v1/me/challenges"), 200).challenges.map((c) => c.id) : [];
        const found = { keys: [], texts: [] };
        let read = 0;
        for (const path of paths(who)) {
            for (const challenge of path.includes("{challenge}") ? challenges : [""]) {
                const at = path.replace("{challenge}", challenge).replace("{pupil}", pupil);
                const answer = must(await client.get(at), 200);
                if (shared) {
                    shared(answer);
                }
                walk(answer, at, found);
                read += 1;
            }
        }
        return { ...found, read };
    }

    await t.test("children", async () => {
        let all = 0;
        for (const p of school.demo.pupils.filter((_, i) => i % 9 === 0)) {
            const { keys, texts, read: n } = await read("pupil", p.code, p.id);
            all += n;
            assert.deepEqual(keys.filter(([, k]) => KEYS.test(k)), []);
            assert.deepEqual(texts.filter(([, s]) => WORDS.test(s)), []);
            assert.deepEqual(texts.filter(([, s]) => band_words.some((w) => s.includes(w))), []);
        }
        assert.ok(all > 30, `${all} answers were read`);
    });

    await t.test("families, but for what a teacher has shared", async () => {
        let assessments = 0;
        const take = (answer) => {
            if (answer && Array.isArray(answer.assessments)) {   /* a page of HTML has none */
                assessments += answer.assessments.length;
                answer.assessments.forEach((a) => assert.ok(!("suggestion" in a) || a.suggestion === null));
                delete answer.assessments;
            }
        };
        let all = 0;
        for (const c of school.demo.carers) {
            const { keys, texts, read: n } = await read("carer", c.code, c.pupil_id, take);
            all += n;
            assert.deepEqual(keys.filter(([, k]) => KEYS.test(k)), []);
            assert.deepEqual(texts.filter(([, s]) => WORDS.test(s)), []);
            assert.deepEqual(texts.filter(([, s]) => band_words.some((w) => s.includes(w))), []);
        }
        assert.ok(all >= 4, `${all} answers were read, ${assessments} shared assessments`);
    });

    await t.test("the search would have found it: staff's own answers are full of it", async () => {
        const klass = staff.classes[0];
        const { challenges } = must(await lead.get(`/api/v1/classes/${klass.id}/grid`), 200);
        const found = walk(must(await lead.get(`/api/v1/challenges/${challenges.find((c) => c.handed_in > 5).id}/results`), 200), "", { keys: [], texts: [] });
        assert.ok(found.keys.some(([, k]) => KEYS.test(k)) && found.texts.some(([, s]) => WORDS.test(s)));
    });
});
