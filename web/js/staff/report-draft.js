/* SPDX-License-Identifier: MIT
 * The report text of one child on the page: typed, kept sealed on the device at once, sent after a pause, and kept
 * there until the server has it. It goes over what was seen here and nothing else: where somebody else has written
 * meanwhile, both texts stand side by side until the person has chosen.
 *
 * page: {path, classId, place(pupil), kept, where, whose()}; row: as the server gives it. */

import { get, put } from "../api.js";
import { el, fill, announce } from "../dom.js";
import { sentenceFor, dayWords } from "./words.js";
import { sentences, heldBack, nothingToOffer } from "./report-words.js";

const MOST = 600;
const PAUSE_MS = 600;
const AGAIN_MS = 5000;
const SENT_MOST = 5;

const maybeLater = (error) => error.offline || error.status === 429 || error.status >= 500;

/* What JSON or the server's reader cannot carry: NUL, and half a pair of surrogates. */
const carried = (text) => text.replace(/[\u0000\p{Surrogate}]/gu, "").trim();

/* The server mends white space; a text is the same one with and without. */
const plain = (text) => text.normalize("NFC").replace(/\s+/g, " ").trim();
const alike = (a, b) => plain(a) === plain(b);

function button(text, label, work, kind) {
    return el("button", { type: "button", class: kind || "button-second", "aria-label": label, onclick: work }, text);
}

export class Draft {
    constructor(page, facts, row) {
        this.page = page;
        this.row = row;
        this.place = page.place(row.pupil);
        this.hold(row);
        this.sent = []; /* went off, and no answer came */
        this.timer = 0;
        this.job = null;
        this.clash = null;
        this.over = false;
        this.seals = 0;
        this.sealed = true;
        this.says = el("span", { class: "small quiet", "aria-live": "polite" });
        this.box = el("textarea", { id: "r" + row.pupil, rows: "4", maxlength: String(MOST), value: row.text, oninput: () => this.later(PAUSE_MS), onblur: () => this.tidy() });
        this.other = el("div", { class: "draft-other" });
        this.node = el("article", { class: "panel draft" }, el("label", { for: this.box.id }, el("strong", null, row.display_name)),
            this.offer(facts), el("div", { class: "draft-texts" }, this.box, this.other),
            el("div", { class: "buttons" }, this.useButton, button("Copy", "Copy " + row.display_name, () => this.copy(), "button-plain"), this.says));
    }

    offer(facts) {
        const offered = sentences(facts);
        const held = heldBack(facts);
        this.useButton = offered ? button("Use what is offered", "Use what is offered for " + this.row.display_name, () => this.use(offered)) : null;
        return [el("p", { class: "small" }, offered ? el("span", { class: "quiet" }, "Offered: ") : null, offered || nothingToOffer(facts)),
            held ? el("p", { class: "small not-shared" }, held) : null];
    }

    /* What the server holds, as far as is known here; `as`: how it was typed here before it was mended. */
    hold({ text, version }, as) {
        this.text = text;
        this.version = version;
        this.as = as === undefined ? text : as;
    }

    typed() {
        return carried(this.box.value);
    }

    waits() {
        const typed = this.typed();
        return typed !== this.text && typed !== this.as;
    }

    /* Would be lost with the page. */
    unsafe() {
        return !this.over && this.waits() && !this.sealed;
    }

    say(...words) {
        fill(this.says, ...words);
    }

    /* What stands there already is not thrown away. */
    use(offered) {
        const text = this.box.value.trim();
        if (text.indexOf(offered) < 0) {
            this.box.value = text ? text + " " + offered : offered;
        }
        this.box.focus();
        this.later(0);
    }

    async copy() {
        await copyText(this.box.value.trim());
        this.say("Copied");
    }

    /* As the server mended it, once the hand is off. */
    tidy() {
        if (!this.waits() && !this.clash) {
            this.box.value = this.text;
        }
    }

    /* Back from the device: it goes on, over what it was written over; over anything else the person chooses. */
    restore({ text, version, sent }, row) {
        this.sent = sent || [];
        if (alike(text, row.text)) {
            this.seal();
            return false;
        }
        this.box.value = text;
        if (version === row.version || this.sent.some((t) => alike(t, row.text))) {
            this.later(0);
        } else {
            this.clashWith(row);
        }
        return true;
    }

    async seal() {
        const turn = this.seals + 1;
        this.seals = turn;
        if (!this.waits()) {
            this.sealed = true;
            await this.page.kept.drop(this.place);
            return;
        }
        this.sealed = false;
        const ok = await this.page.kept.put(this.place, { where: this.page.where, text: this.typed(), version: this.version, sent: this.sent });
        if (turn === this.seals) {
            this.sealed = ok;
        }
        this.page.kept.may = this.page.kept.may && ok; /* a full disk: say no more that it is kept */
    }

    later(ms) {
        window.clearTimeout(this.timer);
        this.seal();
        if (this.clash) {
            return;
        }
        this.say(this.waits() ? "Saving …" : "");
        this.timer = window.setTimeout(() => this.keep(), ms);
    }

    /* Nothing goes off from here any more; a promise: what was on its way has its answer. */
    end() {
        window.clearTimeout(this.timer);
        this.over = true;
        return this.job;
    }

    /* As before end(): the reports are not done after all. */
    begin() {
        this.over = false;
        if (this.waits()) {
            this.later(0);
        }
    }

    /* A promise: what was typed until now has gone off, and an answer or none has come. */
    async flush() {
        await this.job;
        await this.keep();
    }

    keep() {
        window.clearTimeout(this.timer);
        this.timer = 0;
        if (!this.job && !this.over && !this.clash && this.waits()) {
            this.job = this.send(this.typed()).finally(() => {
                this.job = null;
            });
        }
        return this.job;
    }

    async send(text) {
        const long = Array.from(text).length - MOST;
        if (long > 0) {
            this.say("Not saved: " + long + " too long; " + MOST + " characters at most." + this.safe());
            return;
        }
        try {
            this.got(text, await put(this.page.path + "/" + this.row.pupil, { text, version: this.version }));
        } catch (error) {
            await this.failed(text, error);
        }
    }

    got(text, answer) {
        this.hold(answer, text);
        this.sent = [];
        if (document.activeElement !== this.box) {
            this.tidy();
        }
        if (this.waits()) {
            this.later(PAUSE_MS);
            return;
        }
        this.seal();
        this.say(answer.signs_left_out ? "Saved, without the characters we can't accept" : "Saved");
    }

    safe() {
        return this.page.kept.may ? " It is kept on this device." : " Keep this page open.";
    }

    async failed(text, error) {
        if (error.status === 401) {
            this.say("Not saved yet: signed out." + this.safe());
        } else if (error.code && error.code("changed")) {
            await this.look(text);
        } else if (error.status === 403) {
            this.say("Not saved yet." + this.safe());
            await this.page.whose();
            this.retry(text);
        } else if (maybeLater(error)) {
            this.retry(text);
            this.say("Not saved yet: no answer from the server. It tries again by itself." + this.safe());
        } else {
            this.say("Not saved. " + sentenceFor(error, error.errors && error.errors[0]) + this.safe());
            if (this.typed() !== text) {
                this.later(PAUSE_MS);
            }
        }
    }

    retry(text) {
        this.sent = this.sent.concat(text).slice(-SENT_MOST);
        this.later(AGAIN_MS);
    }

    /* The server has another text than was seen here: an earlier one of this page, whose answer was lost, or somebody's. */
    async look(text) {
        let row;
        try {
            row = (await get(this.page.path + "?class=" + this.page.classId)).rows.find((r) => r.pupil === this.row.pupil);
        } catch (error) {
            this.later(AGAIN_MS);
            this.say("Not saved yet. It tries again by itself." + this.safe());
            return;
        }
        if (!row) {
            this.say("Not saved: no longer in this class." + this.safe());
        } else if (alike(row.text, text) || this.sent.some((t) => alike(t, row.text))) {
            this.hold(row, alike(row.text, text) ? text : undefined);
            this.later(0);
        } else {
            this.clashWith(row);
        }
    }

    clashWith(row) {
        const name = this.row.display_name;
        const who = row.by_you ? "You, on another page or device" : row.written_by;
        this.clash = row;
        this.seal();
        this.say("Not saved: choose first." + this.safe());
        fill(this.other, el("div", { role: "group", "aria-label": "The other text for " + name },
            el("p", { class: "small" }, el("strong", null, row.text ? who + " wrote this meanwhile" + (row.written_on ? " (" + dayWords(row.written_on) + ")" : "") + ":" : "Somebody has taken the text away meanwhile."), " Yours stands in the box, and nothing is lost until you choose."),
            row.text ? el("p", { class: "report-text draft-theirs" }, row.text) : null,
            el("div", { class: "buttons" }, button("Keep mine", "Keep mine for " + name, () => this.choose("mine")),
                button(row.text ? "Take theirs" : "Leave it empty", (row.text ? "Take theirs for " : "Leave it empty for ") + name, () => this.choose("theirs")),
                row.text ? button("Put mine below", "Put mine below theirs for " + name, () => this.choose("below")) : null)));
        this.node.classList.add("draft-two");
        announce(name + ": this text was changed elsewhere too. Both are shown.");
    }

    choose(what) {
        const row = this.clash;
        const mine = this.typed();
        this.clash = null;
        this.hold(row);
        this.sent = [];
        if (what !== "mine") {
            this.box.value = what === "below" ? row.text + "\n" + mine : row.text;
        }
        fill(this.other);
        this.node.classList.remove("draft-two");
        this.box.focus();
        this.later(0);
        if (!this.waits()) {
            this.say("Saved");
        }
    }
}

export async function copyText(text) {
    if (!navigator.clipboard) {
        throw new Error("no clipboard");
    }
    await navigator.clipboard.writeText(text);
    announce("Copied.");
}
