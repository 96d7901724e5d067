/* SPDX-License-Identifier: MIT
 * Report sentences of a class in a unit: offered, written, kept as they are typed, copied or taken out, and
 * deleted when the reports are done. Beside them one line a child for parents' evening, and the class at
 * the end of the unit. By name, never by a result. */

import { get, put, post } from "../api.js";
import { el, fill, announce, banner, choices } from "../dom.js";
import { start, titled, rightOn, action, notice, showError } from "./shell.js";
import { count, sentenceFor } from "./words.js";
import { factsOf, sentences, oneLine } from "./report-words.js";

const MOST = 600;
const PAUSE_MS = 600;
const AGAIN_MS = 5000;
const NOTHING = "Nothing has been decided or seen in lessons yet, so there is nothing to write from.";

/* One child: what is offered, what is written, and how it stands. */
class Draft {
    constructor(page, facts, row) {
        this.page = page;
        this.row = row;
        this.saved = row.text;
        this.timer = 0;
        this.says = el("span", { class: "small quiet", "aria-live": "polite" });
        this.box = el("textarea", { id: "r" + row.pupil, rows: "3", maxlength: String(MOST), value: row.text, oninput: () => this.later(PAUSE_MS) });
        const offered = sentences(facts);
        this.node = el("article", { class: "panel" }, el("label", { for: this.box.id }, el("strong", null, row.display_name)),
            el("p", { class: "small" }, el("span", { class: "quiet" }, offered ? "Offered: " : ""), offered || NOTHING),
            this.box, el("div", { class: "buttons" },
                offered ? el("button", { type: "button", class: "button-second", onclick: () => this.use(offered), "aria-label": "Use what is offered for " + row.display_name }, "Use what is offered") : null,
                el("button", { type: "button", class: "button-plain", onclick: () => this.copy(), "aria-label": "Copy " + row.display_name }, "Copy"), this.says));
    }

    /* What stands there already is not thrown away. */
    use(offered) {
        const text = this.box.value.trim();
        this.box.value = text && text.indexOf(offered) < 0 ? (text + " " + offered).slice(0, MOST) : offered;
        this.box.focus();
        this.later(0);
    }

    async copy() {
        await copyText(this.box.value.trim());
        fill(this.says, "Copied");
    }

    waits() {
        return this.box.value.trim() !== this.saved;
    }

    later(ms) {
        window.clearTimeout(this.timer);
        fill(this.says, this.waits() ? "Not kept yet …" : "");
        this.timer = window.setTimeout(() => this.keep(), ms);
    }

    async keep() {
        const text = this.box.value.trim();
        if (text === this.saved) {
            return;
        }
        try {
            await put(this.page.path + "/" + this.row.pupil, { text });
            this.saved = text;
            fill(this.says, this.waits() ? "Not kept yet …" : "Kept");
        } catch (error) {
            fill(this.says, "Not kept. " + sentenceFor(error, error.errors && error.errors[0]));
            if (error.offline || error.status >= 500 || error.status === 429) {
                this.later(AGAIN_MS);
            }
        }
    }
}

async function copyText(text) {
    if (!navigator.clipboard) {
        throw new Error("no clipboard");
    }
    await navigator.clipboard.writeText(text);
    announce("Copied.");
}

function evening(page) {
    return el("div", null, el("p", { class: "no-print" }, "One line a child, from what was decided and seen. Keep it to yourself: each family hears of its own child only."),
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
    const decided = counts(page.facts.map((f) => f.band || "not decided"));
    const seen = counts(page.facts.flatMap((f) => f.seen));
    const not = counts(page.facts.flatMap((f) => f.notSeen));
    const points = Array.from(new Set(page.data.cues.map((c) => c.text)));
    return el("div", null, el("p", null, count(page.facts.length, "child", "children") + ". These are exact numbers of a class: they stay with those who teach it, and are not for publishing."),
        el("h2", null, "Teacher assessments"), el("table", { class: "table" }, el("tbody", null, page.data.band_words.concat("not decided").map((w) => el("tr", null, el("th", { scope: "row" }, w), el("td", null, String(decided.get(w) || 0)))))),
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

function doneBox(page) {
    const sure = el("div");
    const ask = () => {
        fill(sure, banner("careful", el("p", null, "This deletes every sentence here for good. Have you pasted them or saved the CSV file?"),
            el("div", { class: "buttons" }, action("Yes, delete them", async () => {
                const { deleted } = await post(page.path + "/done?class=" + page.classId, {});
                await page.load();
                notice(count(deleted, "draft was", "drafts were") + " deleted.");
            }), el("button", { type: "button", class: "button-second", onclick: () => fill(sure) }, "No"))));
        sure.querySelector("button").focus();
    };
    return el("section", { class: "panel" }, el("h2", null, "When the reports are done"), el("p", null, "Thrice keeps these sentences only until then."), el("button", { type: "button", class: "button-second", onclick: ask }, "The reports are done"), sure);
}

function writing(page) {
    const copyAll = action("Copy all", () => copyText(page.drafts.filter((d) => d.box.value.trim()).map((d) => d.row.display_name + "\t" + d.box.value.trim()).join("\n")), { class: "button-second" });
    return el("div", null, el("div", { class: "buttons" }, copyAll, el("a", { class: "button-second", href: "/api/v1/exports/reports.csv?unit=" + page.data.unit.id + "&class=" + page.classId }, "Save as CSV")),
        page.drafts.map((d) => d.node), doneBox(page));
}

start(async ({ session, params, body }) => {
    const unit = encodeURIComponent(params.get("unit") || "");
    const classId = encodeURIComponent(params.get("class") || "");
    const right = rightOn(session, params.get("class"));
    titled("Reports");
    if (right !== "teach" && right !== "read") {
        fill(body, el("p", null, "Report sentences are written by those who teach or read the class."));
        return;
    }
    const page = { classId, path: "/units/" + unit + "/reports" };
    const place = el("div");
    const views = choices({ legend: "Show", name: "view", row: true, picked: ["write"], onchange: ([v]) => draw(v), choices: [{ value: "write", text: "sentences" }, { value: "evening", text: "one line a child" }, { value: "class", text: "the class" }, { value: "sheets", text: "report sheets" }] });
    const draw = (view) => fill(place, view === "evening" ? evening(page) : view === "class" ? summary(page) : view === "sheets" ? reportSheets(page) : writing(page));
    page.load = async () => {
        const [data, { rows }] = await Promise.all([get("/units/" + unit + "/assess?class=" + classId), get(page.path + "?class=" + classId)]);
        page.data = data;
        page.facts = data.rows.map((r) => factsOf(r, data));
        page.drafts = rows.map((r) => new Draft(page, page.facts[data.rows.findIndex((x) => x.pupil.id === r.pupil)] || { name: r.display_name, seen: [], notSeen: [] }, r));
        draw(views.values()[0]);
    };
    await page.load();
    titled("Reports", page.data.unit.name);
    fill(body, el("p", { class: "no-print" }, "Two or three sentences a child, to begin from. They are put together from the teacher assessment and what was seen in lessons, never from how often a home sent. Change them as you know the child; they are kept as you type."),
        el("div", { class: "no-print" }, views), page.drafts.length ? place : el("p", null, "No pupil in this class yet."),
        el("p", { class: "no-print" }, el("a", { href: "/staff/assess?unit=" + unit + "&class=" + classId }, "Assess this unit"), " · ", el("a", { href: "/staff/class?id=" + classId }, "Who's done it")));
    window.addEventListener("beforeunload", (event) => {
        if (page.drafts.some((d) => d.waits())) {
            event.preventDefault();
            event.returnValue = "";
        }
    });
}).catch(showError);
