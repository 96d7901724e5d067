/* SPDX-License-Identifier: MIT
 * Report sentences of a class in a unit: offered, written, kept as they are typed, copied or taken out, and
 * deleted when the reports are done. Beside them one line a child for parents' evening, and the class at
 * the end of the unit. By name, never by a result. What is not shared with families is marked so everywhere. */

import { get, post, sessionEnded } from "../api.js";
import { el, fill, banner, choices } from "../dom.js";
import { current } from "../session.js";
import { start, titled, rightOn, action, notice, showError, clearError, beforeSignIn, beforeSignOut, whenBack } from "./shell.js";
import { count, InputError } from "./words.js";
import { factsOf, oneLine, assessmentWords } from "./report-words.js";
import { Draft, copyText } from "./report-draft.js";
import { keptText } from "./kept-text.js";
import { signInAgain } from "./sign-in-again.js";

const FLUSH_MS = 4000;

function evening(page) {
    return el("div", null, el("p", { class: "no-print" }, "One line a child, from what was decided, shared and seen. Keep it to yourself: each family hears of its own child only."),
        el("div", { class: "table-box", tabindex: "0", role: "region", "aria-label": "One line a child" }, el("table", { class: "table evening" },
            el("thead", null, el("tr", null, ["Pupil", "Assessment", "Seen in lessons", "Next step"].map((h) => el("th", { scope: "col" }, h)))),
            el("tbody", null, page.facts.map((f) => el("tr", null, el("th", { scope: "row" }, f.name), oneLine(f).map((t) => el("td", null, t))))))),
        el("div", { class: "buttons no-print" }, el("button", { type: "button", class: "button-second", onclick: () => window.print() }, "Print")));
}

function counts(list) {
    const found = new Map();
    list.forEach((t) => found.set(t, (found.get(t) || 0) + 1));
    return found;
}

/* The class at the end of the unit: exact, so for the class's own teachers only. */
function summary(page) {
    const decided = counts(page.facts.map(assessmentWords));
    const words = page.data.band_words.concat(Array.from(decided.keys()).filter((w) => page.data.band_words.indexOf(w) < 0 && w !== "not decided"), "not decided");
    const seen = counts(page.facts.flatMap((f) => f.seen));
    const not = counts(page.facts.flatMap((f) => f.notSeen));
    const { points } = page.data;
    return el("div", null, el("p", null, count(page.facts.length, "child", "children") + ". These are exact numbers of a class: they stay with those who teach it, and are not for publishing."),
        el("h2", null, "Teacher assessments"), el("table", { class: "table" }, el("tbody", null, words.map((w) => el("tr", null, el("th", { scope: "row" }, w), el("td", null, String(decided.get(w) || 0)))))),
        el("h2", null, "Teaching points"), points.length ? el("table", { class: "table" },
            el("thead", null, el("tr", null, ["Point", "Seen", "Looked for, not seen", "Not looked for"].map((h) => el("th", { scope: "col" }, h)))),
            el("tbody", null, points.map((t) => el("tr", null, el("th", { scope: "row" }, t), [seen.get(t) || 0, not.get(t) || 0, page.facts.length - (seen.get(t) || 0) - (not.get(t) || 0)].map((n) => el("td", null, String(n))))))) : el("p", null, "No activity in this unit yet."),
        el("div", { class: "buttons no-print" }, el("button", { type: "button", class: "button-second", onclick: () => window.print() }, "Print")));
}

/* A page of A4 for each child with sentences: what stands there, and nothing else. */
function reportSheets(page) {
    const some = page.drafts.filter((d) => d.box.value.trim());
    return el("div", null, el("p", { class: "no-print" }, some.length ? count(some.length, "sheet", "sheets") + ", one for each child with sentences. Look at each before it goes home, and give it to the right family." : "No sentences yet. Write some first."),
        some.map((d) => el("article", { class: "report-sheet" }, el("h2", null, d.row.display_name), el("p", null, "Physical education · " + page.data.unit.name), el("p", { class: "report-text" }, d.box.value.trim()),
            el("p", { class: "small quiet" }, "Written by the teacher. What comes from home is practice, and not sending lowers nothing."))),
        some.length ? el("div", { class: "buttons no-print" }, el("button", { type: "button", class: "button-second", onclick: () => window.print() }, "Print")) : null);
}

/* Deletes all of the class's, unless somebody has written what this page does not show. */
async function deleteSeen(page) {
    const { rows } = await get(page.path + "?class=" + page.classId);
    const shown = new Map(page.drafts.map((d) => [d.row.pupil, d.version]));
    const unseen = rows.filter((r) => r.text && r.version !== shown.get(r.pupil));
    if (unseen.length) {
        throw new InputError("Nothing is deleted: the text about " + names(unseen.map((row) => ({ row }))) + " was changed since this page was loaded, and you have not seen it. Load the page again first.");
    }
    return post(page.path + "/done?class=" + page.classId, {});
}

function doneBox(page) {
    const sure = el("div");
    const ask = () => {
        fill(sure, banner("careful", el("p", null, "This deletes every sentence here for good. Have you pasted them or saved the CSV file?"),
            el("div", { class: "buttons" }, action("Yes, delete them", async () => {
                await Promise.all(page.drafts.map((d) => d.end()));
                const { deleted } = await deleteSeen(page).catch((error) => {
                    page.drafts.forEach((d) => d.begin());
                    throw error;
                });
                await Promise.all(page.drafts.map((d) => page.kept.drop(d.place)));
                await page.load();
                notice(count(deleted, "draft was", "drafts were") + " deleted.");
            }), el("button", { type: "button", class: "button-second", onclick: () => fill(sure) }, "No"))));
        sure.querySelector("button").focus();
    };
    return el("section", { class: "panel" }, el("h2", null, "When the reports are done"), el("p", null, "Thrice keeps these sentences only until then."), el("button", { type: "button", class: "button-second", onclick: ask }, "The reports are done"), sure);
}

/* A cell of several lines, as spreadsheets write one to the clipboard; a plain text stands as it is. */
function oneCell(text) {
    return text.indexOf("\n") < 0 ? text : "\"" + text.replace(/"/g, "\"\"") + "\"";
}

/* The file has what the server has, so what was just typed goes there first. */
function csvLink(page) {
    const href = "/api/v1/exports/reports.csv?unit=" + page.data.unit.id + "&class=" + page.classId;
    const saveFirst = async (event) => {
        const waiting = () => page.drafts.filter((d) => d.waits());
        if (!waiting().length) {
            return;
        }
        event.preventDefault();
        clearError();
        await page.flush();
        if (waiting().length) {
            showError(new InputError("The file would lack what is not saved yet: look at " + names(waiting()) + " first."));
        } else {
            window.location.assign(href);
        }
    };
    return el("a", { class: "button-second", href, onclick: saveFirst }, "Save as CSV");
}

function writing(page) {
    const copyAll = action("Copy all", () => copyText(page.drafts.filter((d) => d.box.value.trim()).map((d) => d.row.display_name + "\t" + oneCell(d.box.value.trim())).join("\n")), { class: "button-second" });
    return el("div", null, el("div", { class: "buttons" }, copyAll, csvLink(page)),
        page.drafts.map((d) => d.node), doneBox(page));
}

function names(drafts) {
    const list = drafts.map((d) => d.row.display_name);
    return list.length < 2 ? list.join("") : list.slice(0, -1).join(", ") + " and " + list[list.length - 1];
}

/* Typed here about a child who has no box on this page any more: to be read and taken elsewhere, or thrown away. */
function boxless(page, place, value) {
    const node = banner("careful", el("p", null, "This was kept on this device and has not reached the server. The child is no longer in this class, so it has no box here:"),
        el("p", { class: "report-text" }, value.text),
        el("div", { class: "buttons" }, action("Copy this text", () => copyText(value.text), { class: "button-second" }),
            action("Delete it from this device", async () => {
                await page.kept.drop(place);
                node.remove();
            }, { class: "button-careful" })));
    return node;
}

/* What this person typed on this device and the server never got, back in its box. */
async function offerBack(page) {
    const kept = new Map((await page.kept.all().catch(() => [])).map((k) => [k.place, k.value]));
    const boxes = page.drafts.map((d) => d.place);
    const lone = Array.from(kept).filter(([place, value]) => value.where === page.where && boxes.indexOf(place) < 0);
    lone.filter(([, value]) => !value.text).forEach(([place]) => page.kept.drop(place)); /* it took a text away: nothing to read */
    const back = page.drafts.filter((d) => kept.has(d.place) && d.restore(kept.get(d.place), d.row));
    const two = back.filter((d) => d.clash);
    fill(page.back, lone.filter(([, value]) => value.text).map(([place, value]) => boxless(page, place, value)), back.length ? banner("careful", el("p", null, "What you typed for " + names(back) + " had not reached the server. It was kept on this device and is back in its box."),
        two.length ? el("p", null, "For " + names(two) + " another text is there by now: choose below.") : null) : null);
}

/* The server refuses this page: perhaps the person has signed in anew beside it, perhaps somebody else has. */
async function whose(session) {
    const now = await current(undefined, true).catch(() => session);
    if (now && now.staff === session.staff) {
        await current().catch(() => null); /* the new token is this page's too */
    } else {
        sessionEnded();
    }
}

/* Nothing that was typed is left behind unsaid: by closing the page, by its session's end, by signing out. */
function watch(page) {
    const unsafe = () => page.drafts.some((d) => d.unsafe());
    window.addEventListener("beforeunload", (event) => {
        if (unsafe()) {
            event.preventDefault();
            event.returnValue = "";
        }
    });
    beforeSignIn(() => page.drafts.forEach((d) => d.end()));
    whenBack(page.flush);
    beforeSignOut(async () => {
        await Promise.race([page.flush(), new Promise((done) => window.setTimeout(done, FLUSH_MS))]);
        if (unsafe()) {
            throw new InputError("Something you typed is not saved yet, and this browser cannot keep it. Stay signed in until it says Saved.");
        }
    });
}

start(async ({ session, params, body }) => {
    const unit = params.get("unit") || "";
    const classId = encodeURIComponent(params.get("class") || "");
    const right = rightOn(session, params.get("class"));
    titled("Reports");
    if (right !== "teach" && right !== "read") {
        fill(body, el("p", null, "Report sentences are written by those who teach or read the class."));
        return;
    }
    const page = { classId, path: "/units/" + encodeURIComponent(unit) + "/reports", kept: await keptText(session), where: window.location.pathname + window.location.search, drafts: [],
        place: (pupil) => ["report", unit, pupil].join(" "), whose: () => whose(session), back: el("div", { class: "no-print" }) };
    const place = el("div");
    const views = choices({ legend: "Show", name: "view", row: true, picked: ["write"], onchange: ([v]) => draw(v), choices: [{ value: "write", text: "sentences" }, { value: "evening", text: "one line a child" }, { value: "class", text: "the class" }, { value: "sheets", text: "report sheets" }] });
    const draw = (view) => fill(place, view === "evening" ? evening(page) : view === "class" ? summary(page) : view === "sheets" ? reportSheets(page) : writing(page));
    page.flush = () => Promise.all(page.drafts.map((d) => d.flush()));
    page.load = async () => {
        page.data = await get(page.path + "?class=" + classId);
        page.facts = page.data.rows.map((r) => factsOf(r, page.data.unit));
        page.drafts = page.data.rows.map((r, i) => new Draft(page, page.facts[i], r));
        draw(views.values()[0]);
    };
    await page.load();
    await offerBack(page);
    watch(page);
    titled("Reports", page.data.unit.name);
    fill(body, page.back, el("p", { class: "no-print" }, "Two or three sentences a child, to begin from. They are put together from the teacher assessments that are shared with families and what was seen in lessons, never from how often a home sent. Change them as you know the child; they are kept as you type."),
        el("div", { class: "no-print" }, views), page.drafts.length ? place : el("p", null, "No pupil in this class yet."),
        el("p", { class: "no-print" }, el("a", { href: "/staff/assess?unit=" + encodeURIComponent(unit) + "&class=" + classId }, "Assess this unit"), " · ", el("a", { href: "/staff/class?id=" + classId }, "Who's done it")));
}, { again: signInAgain }).catch(showError);
