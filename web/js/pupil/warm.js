/* SPDX-License-Identifier: MIT
 * Warm up: twelve calls, each by shape, word and picture together, in an order nobody can guess,
 * every fourth a rest. About a minute; it begins when the child says so, waits when asked or when
 * the page is hidden, and ends by itself. How long and how many: common practice, no source. */

import { el, svg, fill } from "../dom.js";
import { figure } from "../figures.js";
import { t, both, knows } from "../msg.js";
import { state, loadChallenge } from "./state.js";
import { loadDraft } from "./drafts.js";
import { kindOf } from "./seated.js";
import { heard, listen } from "./listen.js";
import { register, go, next, second, plain, whereWords } from "./screens.js";

const SHAPES = {
    march: "M9 10L39 9L40 39L8 38Z",
    reach: "M24 6L43 41L5 40Z",
    circles: "M24 6C36 6 42 15 42 24C42 34 34 42 24 42C13 42 6 33 6 24C6 14 13 6 24 6Z",
    shake: "M4 31L13 14L22 33L31 14L44 31",
    toes: "M9 8L40 40M40 9L8 39",
    twist: "M24 24C28 20 30 28 24 30C16 32 14 20 22 16C34 10 42 26 32 38",
    tiptoes: "M24 4L42 24L24 44L6 24Z",
    rest: "M6 25Q24 22 42 24"
};
const MOVES = Object.keys(SHAPES).filter((name) => name !== "rest");
const CALLS = 12,
    REST_EVERY = 4,
    CALL_MS = 6000;

function chance(n) {
    const one = new Uint32Array(1);
    window.crypto.getRandomValues(one);
    return one[0] % n;
}

/* No move twice running, not even across a rest. */
export function callOrder() {
    const order = [];
    let last = "";
    while (order.length < CALLS) {
        if (order.length % REST_EVERY === REST_EVERY - 1) {
            order.push("rest");
        } else {
            const others = MOVES.filter((name) => name !== last);
            last = others[chance(others.length)];
            order.push(last);
        }
    }
    return order;
}

class Caller {
    constructor(seated, done) {
        this.seated = seated;
        this.done = done;
        this.order = callOrder();
        this.body = chance(7);
        this.at = -1;
        this.timer = 0;
        this.board = el("div", { class: "warm-board", "aria-hidden": "true" });
        this.word = el("p", { class: "warm-word", "aria-live": "polite" });
        this.ear = el("div", { class: "warm-ear" });
        this.count = el("p", { class: "where" });
        this.row = el("div");
        this.hidden = () => document.hidden && this.timer && this.pause();
        document.addEventListener("visibilitychange", this.hidden);
        this.first();
    }

    leave() {
        window.clearTimeout(this.timer);
        this.timer = 0;
        document.removeEventListener("visibilitychange", this.hidden);
    }

    picture(name) {
        return figure((this.seated ? "s-" : "") + name, this.body + Math.max(0, this.at), null, "pic-big");
    }

    first() {
        fill(this.board, this.picture("march"));
        fill(
            this.row,
            heard(el("p", null, t(this.seated ? "warm.sit" : "warm.do") + " " + t("warm.long"))),
            heard(el("p", null, both("ready.hurts"))),
            next(t("warm.start"), () => this.call(0), second(t("warm.skip"), this.done))
        );
    }

    buttons(words, onclick) {
        fill(
            this.row,
            next(words, onclick, plain(t("warm.skip"), this.done))
        );
        const button = this.row.querySelector("button");
        button.className = "button-second";
        button.focus({ preventScroll: true });
    }

    says(words) {
        fill(this.word, words);
        fill(this.ear, listen(words));
    }

    call(index) {
        const fresh = this.at < 0 || !this.timer;
        this.at = index;
        if (index >= this.order.length) {
            this.end();
            return;
        }
        const name = this.order[index];
        fill(
            this.board,
            svg(
                "svg",
                { viewBox: "0 0 48 48", class: "pic pic-shape", "data-shape": name, focusable: "false" },
                svg("path", { d: SHAPES[name], class: "c-sun", "stroke-width": 4 })
            ),
            this.picture(name)
        );
        const sitting = "warm.seated_" + name; /* where it is not the same call */
        this.says(t(this.seated && knows(sitting) ? sitting : "warm.call_" + name));
        fill(this.count, t("warm.count", { call: index + 1, n: this.order.length }));
        this.timer = window.setTimeout(() => this.call(index + 1), CALL_MS);
        if (fresh) {
            this.buttons(t("warm.pause"), () => this.pause());
        }
    }

    pause() {
        window.clearTimeout(this.timer);
        this.timer = 0;
        fill(this.count, t("warm.paused"));
        this.buttons(t("warm.go_on"), () => this.call(this.at));
    }

    end() {
        this.timer = 0;
        fill(this.board, this.picture("rest"));
        this.says(t("warm.done"));
        fill(this.count);
        fill(this.row, next(t("think.next"), this.done));
        this.row.querySelector("button").focus({ preventScroll: true });
    }
}

async function warmScreen(args) {
    const detail = await loadChallenge(args.id);
    const draft = loadDraft(state.session.pupil, detail.id);
    const seated = kindOf(detail.activity, draft) === "seated";
    const caller = new Caller(seated, () => go("learn", { id: detail.id }));
    return {
        title: t("warm.title"),
        before: whereWords(detail),
        nodes: [caller.board, caller.word, caller.count, caller.ear, caller.row],
        leave: () => caller.leave()
    };
}

register("warm", warmScreen);
