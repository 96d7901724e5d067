/* SPDX-License-Identifier: MIT
 * Unit end: what was seen, what the tries point to, and the teacher's assessment. Accepting many is
 * offered only where something was seen and the suggestion is at least fairly sure; the server holds
 * the rule. Nothing reaches a family before it is shared. */

import { get, post, put } from "../api.js";
import { el, fill } from "../dom.js";
import { start, titled, rightOn, has, action, notice, showError, clearError } from "./shell.js";
import { OVERRIDES, dayWords, count } from "./words.js";
import { suggestionBox, owesView } from "./suggestion.js";

const NOT_MANY = { nothing_seen: "nothing seen in lessons yet", not_sure: "not sure enough", to_check: "something is to check", no_suggestion: "nothing suggested" };

function seenBoxes(data, row, unit, mayRecord) {
    if (!data.cues.length) {
        return null;
    }
    return el("details", null, el("summary", null, count(Object.values(row.evidence.seen).filter(Boolean).length, "teaching point", "teaching points") + " seen"),
        el("ul", { class: "plain" }, data.cues.map((cue) => {
            const value = row.evidence.seen[cue.id];
            const select = el("select", { "aria-label": cue.text + ", " + row.pupil.display_name, disabled: !mayRecord },
                el("option", { value: "", selected: value === undefined }, "not looked"), el("option", { value: "1", selected: value === true }, "seen"),
                el("option", { value: "0", selected: value === false }, "looked, not seen"));
            select.addEventListener("change", async () => {
                if (select.value !== "") {
                    clearError();
                    try {
                        await post("/units/" + unit + "/seen", { pupil: row.pupil.id, cue: cue.id, seen: select.value === "1" });
                    } catch (error) {
                        select.value = value === undefined ? "" : value ? "1" : "0";
                        showError(error);
                    }
                }
            });
            return el("li", { class: "seen" }, el("span", { class: "small" }, cue.text), select);
        })));
}

function evidence(data, row, unit, mayRecord) {
    const e = row.evidence;
    const lines = [count(e.hand_ins, "hand-in counts", "hand-ins count")];
    if (e.waiting) {
        lines.push(count(e.waiting, "waits for a check", "wait for a check"));
    }
    if (e.questions_answered) {
        lines.push(e.questions_right + " of " + e.questions_answered + " questions right");
    }
    return el("td", { "data-label": "Evidence" }, el("ul", { class: "small plain" }, lines.map((l) => el("li", null, l))), seenBoxes(data, row, unit, mayRecord));
}

function decision(data, row, unit, mayDecide, redraw) {
    if (row.second_view) {
        return el("td", { "data-label": "Teacher assessment" }, el("span", { class: "quiet" }, "kept from you, too"));
    }
    const a = row.assessment;
    const now = a ? el("p", null, el("strong", null, a.word), el("span", { class: "small quiet" }, " " + a.by + ", " + dayWords(a.on) + (a.in_bulk ? ", accepted in bulk" : "") + (a.shared ? ", shared" : ", not shared"))) : null;
    if (!mayDecide) {
        return el("td", { "data-label": "Teacher assessment" }, now || el("span", { class: "quiet" }, "none yet"));
    }
    const band = el("select", { "aria-label": "Assessment of " + row.pupil.display_name }, el("option", { value: "" }, "choose"),
        data.band_words.map((word, i) => el("option", { value: String(i), selected: a ? a.band === i : false }, word)));
    const why = el("select", { "aria-label": "Why it differs, " + row.pupil.display_name, hidden: true }, el("option", { value: "" }, "why it differs"), Object.keys(OVERRIDES).map((k) => el("option", { value: k }, OVERRIDES[k])));
    const differs = () => {
        const pointed = data.band_words.indexOf(row.suggestion.word);
        why.hidden = band.value === "" || pointed < 0 || Number(band.value) === pointed;
        if (why.hidden) {
            why.value = "";
        }
    };
    band.addEventListener("change", differs);
    return el("td", { "data-label": "Teacher assessment" }, now, el("div", { class: "decide no-print" }, band, action(a ? "Change" : "Decide", async () => {
        if (band.value === "") {
            band.focus();
            return;
        }
        const body = { band: Number(band.value) };
        if (why.value) {
            body.reason = why.value;
        }
        if (a && a.shared) {
            body.shared = true;
        }
        await put("/units/" + unit + "/assessments/" + row.pupil.id, body);
        await redraw();
        notice("Recorded for " + row.pupil.display_name + ".");
    }, { class: "button-second" }), why), row.bulk_ok || a ? null : el("p", { class: "small quiet no-print" }, "One by one: " + (NOT_MANY[row.bulk_no] || "")));
}

start(async ({ session, params, body }) => {
    const unit = encodeURIComponent(params.get("unit") || "");
    const classId = params.get("class") || "";
    const right = rightOn(session, classId);
    const klass = (await get("/classes")).classes.find((c) => c.id === classId);
    const mayDecide = right === "teach" || has(session, "pe_lead");
    const redraw = async () => {
        const data = await get("/units/" + unit + "/assess?class=" + encodeURIComponent(classId));
        titled(data.unit.name, "Assess" + (klass ? " · " + klass.name : ""));
        const many = data.rows.filter((r) => r.bulk_ok && !r.assessment);
        const unshared = data.rows.filter((r) => r.assessment && !r.assessment.shared);
        fill(body,
            el("p", null, "What the tries point to comes from practice at home. Add what you saw in lessons, then decide. ", el("span", { class: "quiet" }, data.note)),
            mayDecide ? el("div", { class: "buttons no-print" },
                many.length ? action("Accept " + count(many.length, "suggestion", "suggestions"), async () => {
                    const answer = await post("/units/" + unit + "/assessments", { pupils: many.map((r) => r.pupil.id) });
                    await redraw();
                    notice(count(answer.accepted.length, "suggestion was", "suggestions were") + " accepted in bulk; the record says so.");
                }) : null,
                unshared.length ? action("Share " + unshared.length + " with families", async () => {
                    const answer = await post("/units/" + unit + "/share", { class: classId, pupils: unshared.map((r) => r.pupil.id) });
                    await redraw();
                    notice(count(answer.shared, "assessment is", "assessments are") + " now on the family's page.");
                }, { class: "button-second" }) : null) : null,
            data.rows.length ? el("div", { class: "table-box", tabindex: "0", role: "region", "aria-label": "Assessments" }, el("table", { class: "table stack" },
                el("thead", null, el("tr", null, ["Pupil", "Evidence", "What the tries point to", "Teacher assessment"].map((h, i) => el("th", { scope: "col", class: i ? null : "pin" }, h)))),
                el("tbody", null, data.rows.map((r) => el("tr", null,
                    el("th", { scope: "row", class: "pin" }, el("a", { href: "/staff/pupil?id=" + r.pupil.id + "&class=" + classId }, r.pupil.display_name)),
                    evidence(data, r, unit, mayDecide), el("td", { "data-label": "What the tries point to" }, r.second_view ? owesView() : suggestionBox(r.suggestion)), decision(data, r, unit, mayDecide, redraw)))))) : el("p", null, "No pupil in this class."),
            el("p", { class: "no-print" }, el("a", { href: "/staff/class?id=" + classId }, "Back to who's done it")));
    };
    await redraw();
});
