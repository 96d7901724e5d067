/* SPDX-License-Identifier: MIT
 * One screen at a time. The address never changes; the browser's own Back goes through the screens,
 * and since tries are saved as they are made, it loses nothing. Screens that a history must not
 * show (tell my teacher) are entered under the state of the screen before them. */

import { el, fill, byId, focusOn, banner, announce } from "../dom.js";
import { t, both, own } from "../msg.js";
import { thing } from "../kit.js";
import { picture } from "../pictures.js";
import { state } from "./state.js";
import { waiting } from "./queue.js";

const screens = {};
let leave = null; /* the last screen's clean-up */
let turn = 0; /* a slow screen that was left does not overwrite the next */

/* make(args) -> {title, nodes, leave?(), open?: bool (no session needed)} or a promise of it. */
export function register(name, make, options) {
    screens[name] = { make, open: Boolean(options && options.open) };
}

function topBar() {
    const bar = byId("top");
    const old = bar.querySelector(".top-nav");
    if (old) {
        bar.removeChild(old);
    }
    if (!state.session || !state.confirmed) {
        return;
    }
    bar.appendChild(
        el(
            "nav",
            { class: "top-nav", "aria-label": t("screen.you") },
            el(
                "span",
                { class: "who-small" },
                picture(state.session.picture, "top-picture"),
                el("strong", null, state.session.display_name)
            ),
            sendStatus(),
            el(
                "button",
                { class: "button-plain", type: "button", onclick: () => go("finish") },
                t("screen.finish")
            )
        )
    );
}

/* "1 to send", then "sent", wherever the child is. */
function sendStatus() {
    const n = waiting(state.session.pupil).length;
    const words = n ? t("offline.to_send", { n }) : state.sent ? t("offline.sent") : "";
    state.sent = false;
    return el("span", { class: "to-send", role: "status" }, words);
}

export function showSendStatus() {
    const old = byId("top").querySelector(".to-send");
    if (old && state.session) {
        old.textContent = sendStatus().textContent;
    }
}

/* Screens of the way on which "I can't do this here" is not already beside the next step. */
const ON_THE_WAY = ["warm", "try", "think", "how", "send"];

/* The last hand-in that could be a mistake. */
function lastSent(id) {
    const detail = state.details[id];
    return ((detail && detail.hand_ins) || [])
        .filter((h) => h.state !== "set_aside" && !h.could_not && !state.mistaken[h.id])
        .pop();
}

function helpRow(name, args) {
    if (!state.session || !state.confirmed || name === "tell" || name === "finish") {
        return null;
    }
    const sent = lastSent(args.id);
    const link = (words, to, given, pic) =>
        el(
            "button",
            {
                class: "button-plain" + (pic ? " pictured" : ""),
                type: "button",
                onclick: () => (to === "tell" ? goUnseen(to, given) : go(to, given))
            },
            pic ? [thing(pic), el("span", null, words)] : words
        );
    return el(
        "nav",
        { class: "help-row", "aria-label": t("screen.more") },
        el(
            "div",
            null,
            name === "today"
                ? null
                : [
                      el("button", { class: "button-plain", type: "button", onclick: goBack }, t("screen.back")),
                      link(t("today.link"), "today")
                  ],
            name === "bests" ? null : link(t("bests.title"), "bests")
        ),
        link(both("tell.hurt"), "tell", { about: "hurt" }, "hurt"),
        link(both("tell.title"), "tell", {}, "talk"),
        ON_THE_WAY.indexOf(name) < 0 ? null : link(t("could.title"), "could_not", { id: args.id }, "cannot"),
        sent && ["sent", "mistake", "thanks"].indexOf(name) < 0
            ? link(t("mistake.title"), "mistake", { id: args.id, hand_in: sent.id }, "oops")
            : null
    );
}

/* Above a heading: which challenge this is. */
export function whereWords(detail) {
    return el(
        "p",
        { class: "where" },
        t("screen.where", { name: own(detail.activity.name), number: detail.number })
    );
}

function notice() {
    if (!state.notice) {
        return null;
    }
    const shown = banner(state.notice.kind, el("p", null, state.notice.words));
    state.notice = null;
    return shown;
}

async function show(name, args) {
    turn += 1;
    const mine = turn;
    if (leave) {
        leave();
        leave = null;
    }
    if (window.speechSynthesis) {
        window.speechSynthesis.cancel();
    }
    const open = screens[name] && screens[name].open;
    if (!open && (!state.session || !state.confirmed)) {
        return show(state.session ? "who" : "card", {});
    }
    let made;
    const wait = window.setTimeout(() => {
        byId("main").setAttribute("aria-busy", "true");
        announce(t("card.moment"));
    }, 400);
    try {
        made = await (screens[name] || screens.today).make(args || {});
    } catch (error) {
        window.clearTimeout(wait);
        if (mine !== turn) {
            return undefined;
        }
        if (error && error.status === 401) {
            return undefined; /* the signed-out notice has led on already */
        }
        made = await screens.trouble.make({ error, again: () => show(name, args) });
    }
    window.clearTimeout(wait);
    if (mine !== turn || !made) {
        return undefined;
    }
    byId("main").removeAttribute("aria-busy");
    topBar();
    leave = made.leave || null;
    document.title = made.title + " - Thrice";
    const heading = el("h1", null, made.title);
    fill(byId("main"), notice(), made.before || null, heading, made.nodes, helpRow(name, args || {}));
    window.scrollTo(0, 0);
    focusOn(heading);
    return undefined;
}

/* A step of the history is one child's. */
function step(name, args) {
    return { screen: name, args: args || {}, pupil: state.session ? state.session.pupil : null };
}

/* To another screen; Back returns here. */
export function go(name, args) {
    window.history.pushState(step(name, args), "");
    return show(name, args);
}

/* To another screen instead of this one. */
export function swap(name, args) {
    window.history.replaceState(step(name, args), "");
    return show(name, args);
}

/* This screen stands there already. */
export function adopt(name) {
    window.history.replaceState(step(name, {}), "");
}

/* To a screen that leaves no trace: the history holds the page before it twice. */
export function goUnseen(name, args) {
    window.history.pushState(window.history.state, "");
    return show(name, args);
}

/* What the history says is here. */
export function showHere() {
    const was = here();
    return was ? show(was.screen, was.args) : show("today", {});
}

/* Nothing when it was another child's. */
export function here() {
    const was = window.history.state;
    const mine = state.session ? state.session.pupil : null;
    return was && was.screen && (was.pupil === mine || !was.pupil) ? was : null;
}

export function goBack() {
    window.history.back();
}

window.addEventListener("popstate", () => {
    showHere();
});

/* The row at the end of a screen: the one next step, and what else there is. */
export function next(words, onclick, ...others) {
    return el(
        "div",
        { class: "next" },
        el("button", { class: "button", type: "button", onclick, "data-key": "next" }, words),
        others
    );
}

export function second(words, onclick) {
    return el("button", { class: "button-second", type: "button", onclick }, words);
}

export function plain(words, onclick) {
    return el("button", { class: "button-plain", type: "button", onclick }, words);
}
