/* SPDX-License-Identifier: MIT
 * Unit end: what the tries point to and how sure that is, the strands, and the teacher's assessment.
 * Accepting many is offered only where something was seen and the suggestion is at least fairly
 * sure; the server holds the rule. Nothing reaches a family before it is shared. */

import { get, post } from "../api.js";
import { el, fill, announce } from "../dom.js";
import { start, titled, rightOn, has, action, notice } from "./shell.js";
import { count } from "./words.js";
import { rulesBox } from "./assess-rules.js";
import { drawChild, recordChild } from "./assess-child.js";

function links(page) {
    const query = "?unit=" + page.unit + "&class=" + encodeURIComponent(page.classId);
    const activities = new Map();
    page.data.rows.forEach((r) => (r.suggestion ? r.suggestion.lines : []).forEach((l) => activities.set(l.activity.id, l.activity.name)));
    const link = (href, text) => el("a", { href }, text);
    return el("p", { class: "unit-links no-print" },
        link("/staff/seen" + query, "Teaching points seen"), link("/staff/next" + query, "Next lesson"),
        page.mayDecide ? link("/staff/second" + query, "Second view") : null,
        page.mayWrite ? link("/staff/reports" + query, "Reports") : null,
        link("/staff/class?id=" + encodeURIComponent(page.classId), "Who's done it"),
        link("/staff/statements?class=" + encodeURIComponent(page.classId), "Statements"),
        page.mayDecide && activities.size ? el("span", { class: "unit-lines" }, el("span", null, "Band lines:"), Array.from(activities).map(([id, name]) => link("/staff/lines?activity=" + id + "&class=" + encodeURIComponent(page.classId), name))) : null);
}

function many(page) {
    const ready = page.data.rows.filter((r) => r.bulk_ok && !r.assessment);
    const unshared = page.data.rows.filter((r) => r.assessment && !r.assessment.shared);
    return el("div", { class: "buttons no-print" },
        ready.length ? action("Accept " + count(ready.length, "suggestion", "suggestions"), async () => {
            const answer = await post("/units/" + page.unit + "/assessments", { pupils: ready.map((r) => r.pupil.id) });
            await page.load();
            notice(count(answer.accepted.length, "suggestion was", "suggestions were") + " accepted in bulk; the record says so.");
        }) : null,
        unshared.length ? action("Share " + unshared.length + " with families", async () => {
            const answer = await post("/units/" + page.unit + "/share", { class: page.classId, pupils: unshared.map((r) => r.pupil.id) });
            await page.load();
            notice(count(answer.shared, "assessment is", "assessments are") + " now on the family's page." + (answer.left ? " " + count(answer.left, "was", "were") + " left: give the second view that you were asked for first." : ""));
        }, { class: "button-second" }) : null);
}

function summary(page) {
    const decided = page.data.rows.filter((r) => r.assessment).length;
    return count(page.data.rows.length, "child", "children") + ", " + decided + " decided.";
}

function table(page) {
    page.children = page.data.rows.map((row) => ({ row, node: el("tr") }));
    page.children.forEach((child) => drawChild(page, child));
    return el("div", { class: "table-box", tabindex: "0", role: "region", "aria-label": "Assessments" }, el("table", { class: "table stack unit-end" },
        el("thead", null, el("tr", null, ["Pupil", "What the tries point to", "Strands", "Teacher assessment"].map((h, i) => el("th", { scope: "col", class: i ? null : "pin" }, h)))),
        el("tbody", null, page.children.map((c) => c.node))));
}

function draw(page) {
    const { data } = page;
    const words = data.band_words;
    page.top = el("div", null, many(page));
    page.count = el("p", { class: "small quiet" }, summary(page));
    fill(page.body,
        el("p", null, "What the tries point to comes from practice at home. Add ", el("a", { href: "/staff/seen?unit=" + page.unit + "&class=" + encodeURIComponent(page.classId) }, "what you saw in lessons"), ", then decide. ", el("span", { class: "quiet" }, data.note), " ", el("a", { class: "no-print", href: "/staff/words" }, "What the words mean")),
        links(page), rulesBox(data.unit, page.mayDecide, async () => {
            await page.load();
            notice("The unit is judged by these rules now.");
        }),
        page.mayDecide ? page.top : null,
        data.rows.length ? [page.count,
            el("p", { class: "small quiet fold-note no-print" }, "“why” opens what is said of a child, the strands and the reasons."),
            el("p", { class: "small bands-key" }, words.map((w, i) => el("span", null, el("span", { class: "band-box band-still" }, String(i)), " " + w))),
            page.mayDecide ? el("p", { class: "small quiet no-print", id: "keys" }, "By keyboard, on a child's boxes: 0 to " + (words.length - 1) + " chooses, Enter records and goes on, ↑ and ↓ move between children. A dashed box is what the tries point to.") : null,
            table(page)] : el("p", null, "No pupil in this class."));
}

/* What the rows of a page can ask of it. */
function pageOf(parts) {
    const page = parts;
    page.load = async () => {
        page.data = await get("/units/" + page.unit + "/assess?class=" + encodeURIComponent(page.classId));
        titled(page.data.unit.name, "Assess" + (page.klass ? " · " + page.klass.name : ""));
        draw(page);
    };
    page.choose = (child, band) => {
        child.chosen = band;
        child.mark();
    };
    page.move = (child, by) => {
        for (let i = page.children.indexOf(child) + by; i >= 0 && i < page.children.length; i += by) {
            if (page.children[i].boxes) {
                const to = page.children[i].boxes.find((b) => b.tabIndex === 0);
                to.focus();
                to.scrollIntoView({ block: "nearest" });
                return true;
            }
        }
        return false;
    };
    page.record = async (child, goOn) => {
        if (!await recordChild(page, child)) {
            return;
        }
        fill(page.top, many(page));
        fill(page.count, summary(page));
        announce("Recorded for " + child.row.pupil.display_name + ": " + child.row.assessment.word + ".");
        if (!goOn || !page.move(child, 1)) {
            child.boxes.find((b) => b.tabIndex === 0).focus();
        }
    };
    return page;
}

start(async ({ session, params, body }) => {
    const classId = params.get("class") || "";
    const klass = (await get("/classes")).classes.find((c) => c.id === classId);
    const mayDecide = rightOn(session, classId) === "teach" || has(session, "pe_lead");
    const mayWrite = ["teach", "read"].indexOf(rightOn(session, classId)) >= 0;
    await pageOf({ body, classId, klass, mayDecide, mayWrite, unit: encodeURIComponent(params.get("unit") || "") }).load();
});
