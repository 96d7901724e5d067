/* SPDX-License-Identifier: MIT
 * "Who's done it": class x challenges, looked at again every few seconds while the page is seen.
 * An unchanged grid costs the server a 304. */

import { get } from "../api.js";
import { el, fill, announce } from "../dom.js";
import { start, titled, rightOn, has, showError } from "./shell.js";
import { openSignIn } from "./sign-in-window.js";
import { STATES, dayWords, count } from "./words.js";
import { shortValue } from "../words.js";

const AGAIN_MS = 5000;

function stateCell(cell, challenge) {
    const best = cell.best === null || cell.best === undefined ? null : el("span", { class: "cell-best" }, shortValue(cell.best, challenge.unit));
    /* nobody is waited for in a cancelled one */
    const state = challenge.cancelled && cell.state === "not_yet" ? el("span", { class: "quiet" }, "–", el("span", { class: "only-read" }, " cancelled, nothing sent"))
        : el("span", { class: "state state-" + cell.state }, STATES[cell.state]);
    return el("td", null, el("span", { class: "cell" }, state, best));
}

function countWords(challenge) {
    return challenge.handed_in + " of " + challenge.of;
}

function headCell(challenge, results, klass) {
    const name = results ? el("a", { href: "/staff/challenge?id=" + challenge.id }, challenge.name) : challenge.name;
    return el("th", { scope: "col" }, el("span", { class: "quiet" }, "No. " + challenge.number), el("br"), name, el("br"),
        challenge.cancelled ? el("strong", { class: "small" }, "cancelled") : el("span", { class: "small quiet" }, "due " + dayWords(challenge.due_at)), el("br"),
        el("span", { class: "small grid-count" }, countWords(challenge)), klass && !challenge.cancelled ? el("span", { class: "small no-print" }, " · ", el("a", { href: "/staff/sheets?id=" + challenge.id + "&class=" + klass }, "Sheets"),
            challenge.handed_in < challenge.of ? [" · ", el("a", { href: "/staff/catchup?id=" + challenge.id + "&class=" + klass }, "Catch up")] : null) : null);
}

function table(grid, results, sheets) {
    return el("div", { class: "table-box grid-box", tabindex: "0", role: "region", "aria-label": "Who's done it" },
        el("table", { class: "table dense" },
            el("caption", { class: "only-read" }, "Hand-ins with the best of each, by pupil and challenge"),
            el("thead", null, el("tr", null, el("th", { scope: "col", class: "pin" }, "Pupil"), grid.challenges.map((c) => headCell(c, results, sheets ? grid.class.id : null)))),
            el("tbody", null, grid.pupils.map((p) => el("tr", null,
                el("th", { scope: "row", class: "pin" }, results ? el("a", { href: "/staff/pupil?id=" + p.id + "&class=" + grid.class.id }, p.display_name) : p.display_name),
                p.cells.map((cell, i) => stateCell(cell, grid.challenges[i])))))));
}

/* The same children and challenges: only what differs is drawn anew, so that a large grid answers the hand
 * while it changes. False when the whole has to be drawn. */
function redrawCells(box, before, grid) {
    const names = (g) => JSON.stringify([g.pupils.map((p) => [p.id, p.display_name]), g.challenges.map((c) => [c.id, c.name, c.due_at, c.cancelled])]);
    if (!box || names(before) !== names(grid)) {
        return false;
    }
    const counts = box.querySelectorAll(".grid-count");
    grid.challenges.forEach((c, i) => {
        if (counts[i].textContent !== countWords(c)) {
            counts[i].textContent = countWords(c);
        }
    });
    const rows = box.querySelector("tbody").rows;
    grid.pupils.forEach((p, r) => p.cells.forEach((cell, i) => {
        const old = before.pupils[r].cells[i];
        if (old.state !== cell.state || old.best !== cell.best) {
            rows[r].cells[i + 1].replaceWith(stateCell(cell, grid.challenges[i]));
        }
    }));
    return true;
}

function emptyWords(grid, classId, teach) {
    if (!grid.pupils.length) {
        return el("p", null, "No pupil in this class yet. ", teach ? el("a", { href: "/staff/list?class=" + classId }, "Bring in the class list") : null);
    }
    if (!grid.challenges.length) {
        return el("p", null, "Nothing is set for this class now. ", teach ? el("a", { href: "/staff/set?class=" + classId }, "Set an activity") : null);
    }
    return null;
}

function tools(session, classId, all, units) {
    const right = rightOn(session, classId);
    const teach = right === "teach";
    const office = has(session, "office");
    const link = (href, text) => el("a", { class: "button-second", href }, text);
    const assess = teach || right === "read" || has(session, "pe_lead")
        ? units.map((u) => link("/staff/assess?unit=" + u.id + "&class=" + classId, "Assess: " + u.name)) : [];
    return el("div", { class: "tools no-print" },
        teach ? el("a", { class: "button", href: "/staff/set?class=" + classId }, "Set a challenge") : null,
        right || has(session, "pe_lead") ? link("/staff/board?id=" + classId, "Board view") : null,
        assess[0] || null,
        teach || right === "help" ? link("/staff/hall?class=" + classId, "In the hall") : null,
        right || has(session, "pe_lead") ? link("/staff/seen?class=" + classId, "Teaching points seen") : null,
        el("details", null, el("summary", null, "More"), el("div", { class: "buttons" },
            assess.slice(1),
            teach || has(session, "pe_lead") ? units.map((u) => link("/staff/second?unit=" + u.id + "&class=" + classId, "Second view: " + u.name)) : null,
            teach || right === "read" || has(session, "pe_lead") ? units.map((u) => link("/staff/next?unit=" + u.id + "&class=" + classId, "Next lesson: " + u.name)) : null,
            teach || right === "read" ? units.map((u) => link("/staff/reports?unit=" + u.id + "&class=" + classId, "Reports: " + u.name)) : null,
            teach || right === "read" || has(session, "pe_lead") ? link("/staff/statements?class=" + classId, "Statements") : null,
            teach || office ? link("/staff/list?class=" + classId, "Class list") : null,
            teach || office ? link("/staff/cards?class=" + classId, "Cards") : null,
            link("/staff/class?id=" + classId + (all ? "" : "&all=1"), all ? "Current challenges only" : "The whole year"),
            teach ? openSignIn(classId) : null,
            teach ? el("a", { class: "button-plain", href: "/api/v1/exports/results.csv?class=" + classId }, "Results as CSV") : null)));
}

async function unitsOf(session, classId) {
    const right = rightOn(session, classId);
    if (right !== "teach" && right !== "read" && !has(session, "pe_lead")) {
        return [];
    }
    const { challenges } = await get("/challenges?state=all&class=" + classId);
    const units = new Map();
    challenges.forEach((c) => units.set(c.unit.id, c.unit));
    return Array.from(units.values()).slice(0, 3);
}

start(async ({ session, params, body }) => {
    const id = params.get("id") || "";
    const all = params.get("all") === "1";
    const path = "/classes/" + encodeURIComponent(id) + "/grid" + (all ? "?all=1" : "");
    const right = rightOn(session, id);
    const results = right === "teach" || right === "read" || has(session, "pe_lead");
    let etag = null;
    let last = null;
    const place = el("div");
    const draw = (grid) => {
        if (last && redrawCells(place.querySelector(".table-box"), last, grid)) {
            last = grid;
            return;
        }
        const focus = document.activeElement && place.contains(document.activeElement) ? document.activeElement.getAttribute("href") : null;
        const old = place.querySelector(".table-box");
        const scroll = old ? [old.scrollLeft, old.scrollTop] : [0, 0];
        fill(place, emptyWords(grid, id, right === "teach") || table(grid, results, results || right === "help"));
        if (place.querySelector(".table-box")) {
            place.querySelector(".table-box").scrollLeft = scroll[0];
            place.querySelector(".table-box").scrollTop = scroll[1];
        }
        const again = focus && Array.from(place.querySelectorAll("a")).find((a) => a.getAttribute("href") === focus);
        if (again) {
            again.focus();
        }
        last = grid;
    };
    const look = async () => {
        const grid = await get(path, { etag, onetag: (tag) => { etag = tag; } });
        if (grid) {
            const before = last;
            draw(grid);
            if (before) {
                announce("The grid has changed.");
            }
        }
    };
    await look();
    titled(last.class.name, "Who's done it");
    fill(body, tools(session, id, all, await unitsOf(session, id)), el("p", { class: "small quiet grid-note" }, "Hand-ins, not an attendance record. Not sending never lowers anything."), place,
        el("p", { class: "small quiet no-print" }, count(last.pupils.length, "pupil", "pupils") + ". The page looks again every few seconds."));
    window.setInterval(() => {
        if (document.visibilityState === "visible") {
            look().catch((error) => {
                if (!error.offline) {
                    showError(error);
                }
            });
        }
    }, AGAIN_MS);
});
