/* SPDX-License-Identifier: MIT
 * A pile of sheets: one class and challenge, a row a child, typed with the keyboard alone. Kept from the
 * first key on (paper-kept.js), stored row by row (paper-row.js). Sorted by name, never by a result. */

import { get } from "../api.js";
import { el, fill, banner } from "../dom.js";
import { field } from "../field.js";
import { start, titled, rightOn, action } from "./shell.js";
import { count } from "./words.js";
import { distance, deviceDay, dayOf } from "../words.js";
import { keptRows } from "./paper-kept.js";
import { PaperRow } from "./paper-row.js";

/* pupil id -> what came in already. Helpers see that something did, not what. */
async function sentAlready(challenge, klass, right) {
    const sent = {};
    if (right === "help") {
        const grid = await get("/classes/" + klass + "/grid?all=1");
        grid.pupils.forEach((p) => {
            const cell = p.cells.find((c) => c.challenge === challenge);
            sent[p.id] = cell && cell.state !== "not_yet" && cell.state !== "could_not" ? [{ id: null, done_on: null, values: [], channel: cell.state === "on_paper" ? "paper" : "web" }] : [];
        });
        return sent;
    }
    const results = await get("/challenges/" + challenge + "/results?class=" + klass);
    results.rows.forEach((r) => {
        sent[r.pupil.id] = r.hand_ins.filter((h) => h.state !== "set_aside" && !h.could_not)
            .map((h) => ({ id: h.id, done_on: h.done_on, values: h.attempts.map((a) => a.value), channel: h.channel }));
    });
    return sent;
}

function hint(activity) {
    const tries = activity.throws ? "a total, or each throw with spaces between (" + (activity.kind === "zones" ? "5 2 0 2" : "1 0 1 1") + ")" : "a number";
    return "Type " + tries + ". Enter goes on and, at the end of the row, stores it. Enter on an empty row goes to the next child. Arrows go up and down. A whole column can be pasted.";
}

/* Cells of what was pasted: lines by tabs. */
function cells(text) {
    return text.replace(/\r/g, "").replace(/\n+$/, "").split("\n").map((line) => line.split("\t"));
}

start(async ({ session, params, body }) => {
    const id = encodeURIComponent(params.get("id") || "");
    const { challenge, activity } = await get("/challenges/" + id);
    const may = challenge.classes.filter((c) => ["teach", "help"].indexOf(rightOn(session, c.id)) >= 0);
    const klass = may.find((c) => c.id === params.get("class")) || may[0];
    titled(activity.name, "Challenge " + challenge.number + " · sheets of paper");
    if (!klass) {
        fill(body, el("p", null, "Only those who teach or help in one of its classes can enter sheets."));
        return;
    }
    const right = rightOn(session, klass.id);
    const [{ pupils }, sent] = await Promise.all([get("/classes/" + klass.id + "/pupils"), sentAlready(challenge.id, klass.id, right)]);
    const last = dayOf(challenge.closes_at);
    const today = deviceDay();
    const doneOn = field({ label: "Done on", type: "date", name: "done_on", value: today < last ? today : last, max: today, hint: "for all sheets below" });
    const far = activity.distances_mm.length ? field({ label: "Distance", name: "distance", value: String(activity.reference_mm || activity.distances_mm[0]), hint: "for all sheets below",
        choices: activity.distances_mm.map((d) => ({ value: String(d), text: distance(d) })) }) : null;
    const standing = el("p", { class: "saved-line", role: "status" });
    const page = { challenge, activity, kept: keptRows(session.id || session.display_name, challenge.id, klass.id), mayUndo: right === "teach",
        doneOn: () => doneOn.control.value, far: () => far.control.value };
    let rows = [];
    page.next = (row) => {
        const open = rows.slice(rows.indexOf(row) + 1).find((r) => !r.stored);
        const to = open ? open.fields[0].input : all;
        to.focus();
    };
    page.beside = (row, by, i) => {
        const other = rows[rows.indexOf(row) + by];
        if (other) {
            other.fields[i].input.focus();
            other.fields[i].input.select();
        }
    };
    page.paste = (event, row, i) => {
        const got = cells(event.clipboardData.getData("text/plain"));
        if (got.length < 2 && got[0].length < 2) {
            return;
        }
        event.preventDefault();
        const from = rows.indexOf(row);
        got.forEach((line, down) => line.forEach((text, right_) => {
            const target = rows[from + down];
            if (target && !target.stored && target.fields[i + right_]) {
                target.fields[i + right_].input.value = text.trim();
                target.typed();
            }
        }));
        all.focus();
    };
    page.told = () => {
        const stored = rows.filter((r) => r.stored).length;
        const waiting = rows.filter((r) => !r.stored && !r.empty()).length;
        standing.textContent = count(stored, "sheet", "sheets") + " stored here" + (waiting ? ", " + waiting + " typed and not stored yet: kept on this device until they are" : "") + ".";
        all.disabled = !waiting;
    };
    const all = action("Store all that is typed", async () => {
        for (const row of rows) {
            await row.store(false);
        }
    });
    rows = pupils.filter((p) => !p.left).sort((a, b) => a.display_name.localeCompare(b.display_name, "en-GB")).map((p) => new PaperRow(page, p, sent[p.id] || []));
    const head = (text) => el("th", { scope: "col" }, text);
    const first = rows[0];
    fill(body,
        may.length > 1 ? el("p", null, "Class: ", may.map((c) => [el("a", { href: "/staff/paper?id=" + challenge.id + "&class=" + c.id, "aria-current": c === klass ? "page" : null }, c.name), " "])) : el("p", { class: "quiet" }, klass.name),
        el("p", { class: "marks-note" }, hint(activity)),
        el("div", { class: "field-row" }, doneOn, far),
        rows.length ? el("div", { class: "table-box", tabindex: "0", role: "region", "aria-label": "Sheets" }, el("table", { class: "table sheet-table" },
            el("thead", null, el("tr", null, head("Pupil"), first.fields.map((f, i) => head("Try " + (i + 1))), first.version ? head("Version") : null, first.far ? head("Distance") : null, head("Could not"), head("How it stands"))),
            el("tbody", null, rows.map((r) => r.node)))) : banner("careful", el("p", null, "No pupil in this class yet.")),
        standing, el("div", { class: "buttons" }, all, el("a", { class: "button-second", href: "/staff/challenge?id=" + challenge.id + "&class=" + klass.id }, "To the results")));
    page.told();
    if (first) {
        (rows.find((r) => !r.stored) || first).fields[0].input.focus();
    }
});
