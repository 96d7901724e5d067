/* SPDX-License-Identifier: MIT
 * One child's row at unit end. The bands are numbered boxes, so that a class can be gone through by
 * keyboard: a digit chooses, Enter records and goes on, up and down move between children. Nothing
 * is recorded by choosing alone. */

import { put } from "../api.js";
import { el, fill } from "../dom.js";
import { action, showError, clearError } from "./shell.js";
import { OVERRIDES, SURE, dayWords, count } from "./words.js";
import { owesView } from "./suggestion.js";
import { strandsDrawing, strandsLine, strandsList } from "./strands.js";

const NOT_MANY = {
    nothing_seen: "nothing was seen in lessons yet", not_sure: "the suggestion is not sure enough", to_check: "something is to check",
    no_suggestion: "nothing is suggested", second_view_open: "you still owe a second view"
};

function evidenceLine(data, row) {
    const e = row.evidence;
    const seen = Object.values(e.seen).filter(Boolean).length;
    const parts = [count(e.hand_ins, "hand-in", "hand-ins")];
    if (e.waiting) {
        parts.push(e.waiting + " to check");
    }
    parts.push(Object.keys(e.seen).length ? seen + " of " + Object.keys(e.seen).length + " points seen" : "nothing looked for yet");
    if (e.questions_answered) {
        parts.push(e.questions_right + " of " + e.questions_answered + " questions");
    }
    return parts.join(" · ");
}

function suggestionCell(s) {
    const head = [el("strong", null, s.word && s.label !== "not_enough" ? s.word : s.word ? "between bands" : "no suggestion"),
        s.label ? el("span", { class: "sure sure-" + s.label }, SURE[s.label]) : null];
    return el("div", { class: "unit-said" },
        el("details", null, el("summary", null, head, el("span", { class: "unit-why" }, "why")),
            strandsList(s), el("ul", { class: "small" }, s.reasons.map((r) => el("li", null, r)))),
        el("p", { class: "small" + (s.label && s.label !== "not_enough" ? " unit-fold" : "") }, s.sentence),
        s.remark && s.label !== "not_enough" ? el("p", { class: "small unit-remark" }, s.remark) : null,
        strandsLine(s) ? el("p", { class: "small quiet unit-fold" }, strandsLine(s)) : null);
}

function nowWords(a) {
    return [el("strong", null, a.word), el("span", { class: "small quiet" }, " " + a.by + ", " + dayWords(a.on) + (a.in_bulk ? ", accepted in bulk" : "") + (a.shared ? ", shared" : ", not shared"))];
}

/* The boxes: a radio group with one stop for Tab. */
function boxes(page, child) {
    const group = el("div", { class: "bands", role: "radiogroup", "aria-label": "Assessment of " + child.row.pupil.display_name });
    child.boxes = page.data.band_words.map((word, i) => {
        const box = el("button", { type: "button", role: "radio", class: "band-box", title: word, "aria-label": i + ", " + word }, String(i));
        box.addEventListener("click", () => page.choose(child, i));
        group.appendChild(box);
        return box;
    });
    group.addEventListener("keydown", (event) => keys(page, child, event));
    return group;
}

function keys(page, child, event) {
    const at = child.boxes.indexOf(document.activeElement);
    if (event.ctrlKey || event.altKey || event.metaKey || at < 0) {
        return;
    }
    const last = child.boxes.length - 1;
    if (/^[0-9]$/.test(event.key) && Number(event.key) <= last) {
        page.choose(child, Number(event.key));
        child.boxes[Number(event.key)].focus();
    } else if (event.key === "ArrowDown" || event.key === "ArrowUp") {
        page.move(child, event.key === "ArrowDown" ? 1 : -1);
    } else if (event.key === "ArrowRight" || event.key === "ArrowLeft") {
        child.boxes[Math.min(last, Math.max(0, at + (event.key === "ArrowRight" ? 1 : -1)))].focus();
    } else if (event.key === " ") {
        page.choose(child, at);
    } else if (event.key === "Enter") {
        if (child.chosen === null) {
            page.choose(child, at);
        }
        page.record(child, true);
    } else {
        return;
    }
    event.preventDefault();
}

function marked(page, child) {
    const a = child.row.assessment;
    const chosen = child.chosen !== null ? child.chosen : a ? a.band : null;
    const pointed = child.row.suggestion ? child.row.suggestion.band : null;
    child.boxes.forEach((box, i) => {
        box.setAttribute("aria-checked", chosen === i ? "true" : "false");
        box.tabIndex = i === (chosen === null ? pointed || 0 : chosen) ? 0 : -1;
        box.classList.toggle("band-pointed", i === pointed && child.row.suggestion.label !== "not_enough");
    });
    child.why.hidden = child.chosen === null || pointed === null || child.chosen === pointed;
    child.button.hidden = child.chosen === null;
    fill(child.word, child.chosen === null ? null : page.data.band_words[child.chosen] + ", not recorded yet");
}

function decisionCell(page, child) {
    const row = child.row;
    const a = row.assessment;
    if (row.second_view) {
        return el("td", { "data-label": "Teacher assessment" }, el("span", { class: "quiet" }, "kept from you, too"));
    }
    if (!page.mayDecide) {
        return el("td", { "data-label": "Teacher assessment" }, a ? nowWords(a) : el("span", { class: "quiet" }, "none yet"));
    }
    child.why = el("select", { "aria-label": "Why it differs, " + row.pupil.display_name, hidden: true },
        el("option", { value: "" }, "why it differs"), Object.keys(OVERRIDES).map((k) => el("option", { value: k }, OVERRIDES[k])));
    child.word = el("span", { class: "small" });
    child.button = action(a ? "Change" : "Decide", () => page.record(child, false), { class: "button-second", hidden: true });
    const group = boxes(page, child);
    marked(page, child);
    child.mark = () => marked(page, child);
    return el("td", { "data-label": "Teacher assessment" }, el("div", { class: "decide no-print" }, group, child.button, child.why), el("p", { class: "no-print unit-word", role: "status" }, child.word),
        a ? el("p", { class: "unit-now" }, nowWords(a)) : row.bulk_ok ? null : el("p", { class: "small quiet no-print unit-fold" }, "One by one, because " + (NOT_MANY[row.bulk_no] || "of its state") + "."),
        a ? null : el("p", { class: "only-print" }, "not decided"));
}

/* Draws (again) the row of child.row into child.node. */
export function drawChild(page, child) {
    const { row } = child;
    const s = row.suggestion;
    child.chosen = null;
    fill(child.node,
        el("th", { scope: "row", class: "pin" }, el("a", { href: "/staff/pupil?id=" + row.pupil.id + "&class=" + page.classId }, row.pupil.display_name),
            el("span", { class: "small quiet unit-evidence" }, evidenceLine(page.data, row))),
        el("td", { "data-label": "What the tries point to" }, row.second_view ? owesView() : suggestionCell(s)),
        el("td", { class: "unit-fold", "data-label": "Strands" }, row.second_view ? null : strandsDrawing(s, page.data.band_words)),
        decisionCell(page, child));
}

/* Stores what was chosen for the child. */
export async function recordChild(page, child) {
    const a = child.row.assessment;
    const body = { band: child.chosen };
    if (child.why.value && !child.why.hidden) {
        body.reason = child.why.value;
    }
    if (a && a.shared) {
        body.shared = true;
    }
    clearError();
    try {
        child.row.assessment = await put("/units/" + page.unit + "/assessments/" + child.row.pupil.id, body);
    } catch (error) {
        showError(error);
        return false;
    }
    drawChild(page, child);
    return true;
}
