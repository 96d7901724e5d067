/* SPDX-License-Identifier: MIT
 * One child's sheet as a row: a field a try, how it was done, and how the row stands. Enter goes on; at
 * the end of the row, or on an empty field behind what was typed, it stores the row and goes to the next
 * child. The id of the hand-in is made with the first key and kept, so a repeat is stored once. */

import { post, uuid7 } from "../api.js";
import { el, fill, announce } from "../dom.js";
import { COULD_NOT, VERSIONS, sentenceFor, dayWords } from "./words.js";
import { distance, shortValue } from "../words.js";
import { readTry } from "./paper-read.js";

const AGAIN_MS = 5000;

function select(label, choices, value) {
    const node = el("select", { "aria-label": label }, choices.map((c) => el("option", { value: c.value }, c.text)));
    node.value = value;
    return node;
}

export class PaperRow {
    /* page: {challenge, activity, kept, mayUndo, doneOn(), far(), next(row), told()} */
    constructor(page, pupil, sent) {
        this.page = page;
        this.pupil = pupil;
        this.sent = sent;           /* what is there already: [{id, done_on, values, channel}] */
        this.stored = null;         /* id of what this row has stored */
        this.busy = false;
        this.agreed = { second: false, surprising: false };
        this.make();
        this.bring(page.kept.get(pupil.id));
    }

    make() {
        const { activity } = this.page;
        const name = this.pupil.display_name;
        this.says = el("td", { class: "sheet-says", role: "status" });
        this.fields = Array.from({ length: activity.attempts }, (x, i) => {
            const wrong = el("span", { class: "wrong", id: "w" + this.pupil.id + "-" + i });
            const input = el("input", { type: "text", class: "sheet-try", autocomplete: "off", maxlength: "60", inputmode: activity.throws ? "text" : "decimal",
                "aria-label": name + ", try " + (i + 1), "aria-describedby": wrong.id, oninput: () => this.typed(), onkeydown: (e) => this.key(e, i),
                onpaste: (e) => this.page.paste(e, this, i) });
            return { input, wrong };
        });
        const versions = activity.versions.map((v) => ({ value: v.id, text: VERSIONS[v.kind] }));
        this.version = versions.length > 1 ? select(name + ", version", versions, activity.versions[0].id) : null;
        this.far = activity.distances_mm.length ? select(name + ", distance", [{ value: "", text: "as above" }].concat(activity.distances_mm.map((d) => ({ value: String(d), text: distance(d) }))), "") : null;
        this.could = select(name + ", could not", [{ value: "", text: "–" }].concat(Object.keys(COULD_NOT).map((k) => ({ value: k, text: COULD_NOT[k] }))), "");
        [this.version, this.far, this.could].filter(Boolean).forEach((s) => {
            s.addEventListener("change", () => this.typed());
            s.addEventListener("keydown", (e) => {
                if (e.key === "Enter") {
                    e.preventDefault();
                    this.store(true);
                }
            });
        });
        this.node = el("tr", { class: "sheet-row" }, el("th", { scope: "row", class: "pin" }, name),
            this.fields.map((f, i) => el("td", { "data-head": "Try " + (i + 1) }, f.input, f.wrong)),
            this.version ? el("td", { "data-head": "Version" }, this.version) : null, this.far ? el("td", { "data-head": "Distance" }, this.far) : null,
            el("td", { "data-head": "Could not" }, this.could), this.says);
        this.say();
    }

    /* What was typed here before and is not stored. */
    bring(row) {
        if (!row) {
            return;
        }
        this.fields.forEach((f, i) => { f.input.value = row.typed[i] || ""; });
        [["version", this.version], ["far", this.far], ["could", this.could]].forEach(([name, node]) => {
            if (node && row[name] && Array.from(node.options).some((o) => o.value === row[name])) {
                node.value = row[name];
            }
        });
        this.look();
        if (this.sent.some((s) => s.id === row.id)) {       /* it had arrived when the page was closed */
            this.isStored(row.id);
            return;
        }
        this.id = row.id;
        this.say("Typed before, not stored yet.");
    }

    isStored(id) {
        this.stored = id;
        this.page.kept.drop(this.pupil.id);
        this.shut(true);
        this.say("Stored. ", this.page.mayUndo ? el("button", { type: "button", class: "button-plain", "aria-label": "Undo, " + this.pupil.display_name, onclick: () => this.undo() }, "Undo") : null);
    }

    texts() {
        return this.fields.map((f) => f.input.value);
    }

    empty() {
        return !this.could.value && this.texts().every((t) => t.trim() === "");
    }

    typed() {
        if (this.stored) {
            return;
        }
        this.agreed = { second: false, surprising: false };
        if (this.empty()) {
            this.id = null;
            this.page.kept.drop(this.pupil.id);
        } else {
            this.id = this.id || uuid7();
            this.page.kept.put(this.pupil.id, { id: this.id, typed: this.texts(), version: this.version && this.version.value, far: this.far && this.far.value, could: this.could.value });
        }
        const right = this.look();
        this.say(this.empty() || !right ? "" : "Not stored yet: Enter stores it.");
        this.page.told();
    }

    /* Marks what cannot be; true when nothing is wrong. */
    look() {
        let right = true;
        this.read = this.fields.map((f) => {
            const got = readTry(f.input.value, this.page.activity);
            f.wrong.textContent = got.wrong;
            f.input.setAttribute("aria-invalid", got.wrong ? "true" : "false");
            right = right && !got.wrong;
            return got;
        });
        return right;
    }

    say(words, ...more) {
        const before = this.sent.length && !this.stored ? el("span", { class: "small quiet" }, this.sentWords()) : null;
        fill(this.says, words ? el("span", null, words) : null, more, before);
    }

    sentWords() {
        return this.sent.map((s) => (s.channel === "paper" ? "On paper " : "Sent ") + (s.done_on ? dayWords(s.done_on) : "before") +
            (s.values.length ? ": " + s.values.map((v) => shortValue(v, this.page.activity.unit)).join(", ") : "")).join("; ");
    }

    key(event, i) {
        const to = { ArrowDown: 1, ArrowUp: -1 }[event.key];
        if (to) {
            event.preventDefault();
            this.page.beside(this, to, i);
        } else if (event.key === "Enter") {
            event.preventDefault();
            this.enter(i);
        }
    }

    enter(i) {
        if (this.stored || this.empty()) {
            this.page.next(this);
            return;
        }
        if (!this.look()) {
            const bad = this.read.findIndex((r) => r.wrong);
            this.fields[bad].input.focus();
            this.fields[bad].input.select();
            announce(this.read[bad].wrong);
            return;
        }
        const last = i === this.fields.length - 1 || this.fields[i].input.value.trim() === "";
        if (last) {
            this.store(true);
        } else {
            this.fields[i + 1].input.focus();
        }
    }

    ask(words, yes, no, agreed) {
        const button = el("button", { type: "button", class: "button", onclick: () => { this.agreed[agreed] = true; this.store(true); } }, yes);
        const other = el("button", { type: "button", class: "button-second", onclick: () => this.leave(agreed) }, no);
        this.say(words, button, other);
        button.focus();
        announce(words);
    }

    /* The other answer: the same sheet is let go, a surprising score is looked at again. */
    leave(agreed) {
        if (agreed === "surprising") {
            this.say();
            this.fields[0].input.focus();
            return;
        }
        this.fields.forEach((f) => { f.input.value = ""; });
        this.could.value = "";
        this.typed();
        this.page.next(this);
    }

    body() {
        const mm = this.far ? Number(this.far.value || this.page.far()) : 0;
        const body = { id: this.id, pupil: this.pupil.id, channel: "paper", done_on: this.page.doneOn(),
            attempts: this.read.filter((r) => r.attempt).map((r) => (mm ? { ...r.attempt, distance_mm: mm } : r.attempt)),
            version: this.version ? this.version.value : this.page.activity.versions[0].id };
        if (this.could.value) {
            body.could_not = this.could.value;
        }
        if (this.agreed.surprising) {
            body.confirmed = true;
        }
        return body;
    }

    /* `on`: to the next child at once; what does not go well is said in this row. */
    async store(on) {
        if (this.busy || this.stored || this.empty() || !this.look()) {
            return;
        }
        if (this.sent.length && !this.agreed.second) {
            this.ask(this.pupil.display_name + " is there already (" + this.sentWords() + "). Same sheet, or a second go?", "Second go: store it", "Same sheet: leave it", "second");
            return;
        }
        this.busy = true;
        this.say("Storing …");
        if (on) {
            this.page.next(this);
        }
        try {
            const answer = await post("/challenges/" + this.page.challenge.id + "/hand-ins", this.body());
            this.isStored(answer.id);
        } catch (error) {
            this.failed(error);
        } finally {
            this.busy = false;
            this.page.told();
        }
    }

    failed(error) {
        if (error.slug === "confirm" || (error.code && error.code("confirm"))) {
            this.ask("Surprising for " + this.pupil.display_name + ". Is it right?", "Yes, store it", "No, change it", "surprising");
        } else if (error.offline || error.status === 429 || error.status >= 500) {
            this.say("Not stored yet: no answer. It is tried again.");
            window.setTimeout(() => this.store(false), Math.max(AGAIN_MS, (error.retryAfter || 0) * 1000));
        } else if (error.errors) {
            this.say(error.errors.length ? error.errors.map((e) => sentenceFor(error, e)).join(" ") : sentenceFor(error));
            announce(this.pupil.display_name + ": not stored");
        } else {
            throw error;
        }
    }

    shut(yes) {
        this.fields.forEach((f) => { f.input.readOnly = yes; });
        [this.version, this.far, this.could].filter(Boolean).forEach((s) => { s.disabled = yes; });
        this.node.classList.toggle("sheet-stored", yes);
    }

    /* Sets aside what was stored; what was typed is there again, as another hand-in. */
    async undo() {
        try {
            await post("/hand-ins/" + this.stored + "/set-aside", { reason: "mistyped" });
        } catch (error) {
            this.say(sentenceFor(error));
            return;
        }
        this.stored = null;
        this.id = null;
        this.shut(false);
        this.typed();
        this.say("Set aside. Change it and store it again, or leave it.");
        this.fields[0].input.focus();
    }
}
