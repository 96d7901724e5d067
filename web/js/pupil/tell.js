/* SPDX-License-Identifier: MIT
 * Tell my teacher. Fixed choices, no text. Never queued, never stored here, in no address and no
 * history: this screen stands under the state of the one before it (screens.js goUnseen). */

import { post } from "../api.js";
import { el, fill, banner, focusOn, byId, choices } from "../dom.js";
import { t, both } from "../msg.js";
import { thing } from "../kit.js";
import { current } from "../session.js";
import { dayWords } from "../words.js";
import { state } from "./state.js";
import { practice } from "./practice.js";
import { register, swap, goBack, next, second } from "./screens.js";

function emergency() {
    return el(
        "div",
        { class: "emergency" },
        el("p", null, both("tell.danger")),
        el("p", null, both("tell.ring")),
        el("p", null, both("tell.not_emergency")),
        el("p", null, both("tell.childline"))
    );
}

const OFFLINE = ["tell.offline", "tell.trust"];

/* When it opens again and whom to tell now. Where no term is known nobody can say that it is closed;
 * what the school says about that stands all the same. */
function closedWords(messages) {
    if (messages.school_open) {
        return null;
    }
    return banner(
        "careful",
        messages.school_open === false ? el("p", null, both("tell.closed")) : null,
        messages.opens_again
            ? el("p", null, both("tell.opens", () => ({ day: dayWords(messages.opens_again) })))
            : null,
        messages.away_phone
            ? el(
                  "p",
                  null,
                  both("tell.says"),
                  el("strong", { class: "school-says", dir: "auto" }, messages.away_phone)
              )
            : null,
        el("p", null, both("tell.trust"))
    );
}

/* As the session said; and, where the page has been open since, as it is by now. */
function closedNotice() {
    const session = state.session;
    const box = el("div", null, closedWords(session.messages));
    current(0, true)
        .then((fresh) => {
            if (!fresh || fresh.pupil !== session.pupil) {
                return;
            }
            if (JSON.stringify(fresh.messages) !== JSON.stringify(session.messages)) {
                session.messages = fresh.messages;
                fill(box, closedWords(fresh.messages));
            }
        })
        .catch(() => undefined);
    return box;
}

function beforeSending() {
    const known = state.session.class;
    return el(
        "div",
        { class: "panel" },
        el(
            "p",
            null,
            known ? both("tell.tells_class", { class: known.name }) : both("tell.tells")
        ),
        el("p", null, both("tell.safe_reads")),
        el("p", null, both("tell.not_home")),
        el("p", null, both("tell.someone_else")),
        el("p", null, both("tell.when_open"))
    );
}

function thankYou() {
    const main = byId("main");
    const heading = el("h1", null, both("tell.thanks"));
    fill(
        main,
        heading,
        el("p", { class: "lead" }, both("tell.look")),
        emergency(),
        next(t("today.link"), () => swap("today", {}))
    );
    document.title = "Thrice";
    focusOn(heading);
}

function form(about, again) {
    const says = el("div", { "aria-live": "assertive" });
    const where =
        about === "hurt"
            ? choices({
                  legend: both("tell.where"),
                  row: true,
                  choices: [
                      { value: "head", text: both("tell.head") },
                      { value: "arm", text: both("tell.arm") },
                      { value: "leg", text: both("tell.leg") },
                      { value: "tummy", text: both("tell.tummy") },
                      { value: "elsewhere", text: both("tell.elsewhere") }
                  ]
              })
            : null;
    const still =
        about === "hurt"
            ? choices({
                  legend: both("tell.now"),
                  row: true,
                  choices: [
                      { value: "no", text: both("tell.stopped") },
                      { value: "yes", text: both("tell.still") }
                  ]
              })
            : null;
    let busy = false;
    const send = async () => {
        if (busy) {
            return;
        }
        busy = true;
        practice().hold = practice().hold || about === "hurt"; /* nothing goes further now */
        const body = { about };
        if (where && where.values()[0]) {
            body.where = where.values()[0];
        }
        if (still && still.values()[0]) {
            body.still = still.values()[0] === "yes";
        }
        try {
            await post("/messages", body);
            thankYou();
        } catch (error) {
            if (error.status !== 401) {
                fill(
                    says,
                    banner(
                        "careful",
                        error.offline
                            ? OFFLINE.map((key) => el("p", null, both(key)))
                            : [
                                  el("p", null, both("tell.not_sent")),
                                  el("p", null, both("tell.trust"))
                              ]
                    )
                );
            }
        } finally {
            busy = false;
        }
    };
    return [
        el("h2", null, both("tell." + about)),
        where,
        still,
        beforeSending(),
        says,
        next(both("tell.send"), send, second(t("tell.not_now"), again))
    ];
}

function tellScreen(args) {
    const { messages } = state.session;
    if (navigator.onLine === false || state.session.offline) {
        return {
            title: t("tell.title"),
            nodes: [
                emergency(),
                OFFLINE.map((key) => el("p", { class: "lead" }, both(key))),
                next(t("screen.back"), goBack)
            ]
        };
    }
    if (!messages || !messages.on) {
        return {
            title: t("tell.title"),
            nodes: [
                emergency(),
                el("p", { class: "lead" }, both("tell.off")),
                (messages && closedWords(messages)) || el("p", null, both("tell.trust")),
                next(t("screen.back"), goBack)
            ]
        };
    }
    const body = el("div");
    const menu = () => {
        const tile = (about) =>
            el(
                "li",
                null,
                el(
                    "button",
                    {
                        class: "tile tile-pic",
                        type: "button",
                        onclick: () => {
                            fill(body, form(about, menu));
                            focusOn(body.querySelector("h2"));
                        }
                    },
                    thing({ hurt: "hurt", unsafe: "careful", talk: "talk" }[about]),
                    el("span", { class: "tile-name" }, both("tell." + about))
                )
            );
        fill(
            body,
            el(
                "ul",
                { class: "tiles" },
                ["hurt", "unsafe", "talk"].map(tile)
            ),
            el("div", { class: "next" }, second(t("screen.back"), goBack))
        );
    };
    if (args.about) {
        fill(body, form(args.about, goBack));
    } else {
        menu();
    }
    return { title: t("tell.title"), nodes: [emergency(), closedNotice(), body] };
}

register("tell", tellScreen);
