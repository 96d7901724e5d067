/* SPDX-License-Identifier: MIT
 * Tell my teacher. Fixed choices, no text. Never queued, never stored here, in no address and no
 * history: this screen stands under the state of the one before it (screens.js goUnseen). */

import { post } from "../api.js";
import { el, fill, choices, banner, focusOn, byId } from "../dom.js";
import { dayWords } from "../words.js";
import { state } from "./state.js";
import { register, swap, goBack, next, second } from "./screens.js";

function emergency() {
    return el(
        "div",
        { class: "emergency" },
        el("p", null, "Badly hurt, or in danger now?"),
        el("p", null, "Tell a grown-up near you. Or ring 999."),
        el("p", null, "This is not for emergencies."),
        el("p", null, "You can ring Childline free on 0800 1111.")
    );
}

const OFFLINE = ["This needs the internet.", "Tell a grown-up you trust now."];

function closedWords(messages) {
    if (messages.school_open !== false) {
        return null;
    }
    return banner(
        "careful",
        el("p", null, "School is closed now."),
        messages.opens_again
            ? el("p", null, "It opens again on " + dayWords(messages.opens_again) + ".")
            : null,
        el("p", null, "Tell a grown-up you trust now.")
    );
}

function beforeSending() {
    const label = state.session.class ? state.session.class.name + "'s teacher" : "your teacher";
    return el(
        "div",
        { class: "panel" },
        el("p", null, "This tells " + label + "."),
        el("p", null, "The grown-up who keeps children safe at school can read it too."),
        el("p", null, "It does not go to the grown-ups at home from here."),
        el("p", null, "They may need to tell someone else to keep you safe."),
        el("p", null, "They might not read it until school is open.")
    );
}

function thankYou() {
    const main = byId("main");
    const heading = el("h1", null, "Thank you");
    fill(
        main,
        heading,
        el("p", { class: "lead" }, "Thank you. We will look at it."),
        emergency(),
        next("My challenges", () => swap("today", {}))
    );
    document.title = "Thrice";
    focusOn(heading);
}

function form(about, again) {
    const says = el("div", { "aria-live": "assertive" });
    const where =
        about === "hurt"
            ? choices({
                  legend: "Where?",
                  row: true,
                  choices: [
                      { value: "head", text: "My head" },
                      { value: "arm", text: "My arm" },
                      { value: "leg", text: "My leg" },
                      { value: "tummy", text: "My tummy" },
                      { value: "elsewhere", text: "Somewhere else" }
                  ]
              })
            : null;
    const still =
        about === "hurt"
            ? choices({
                  legend: "How is it now?",
                  row: true,
                  choices: [
                      { value: "no", text: "It stopped" },
                      { value: "yes", text: "It still hurts" }
                  ]
              })
            : null;
    let busy = false;
    const send = async () => {
        if (busy) {
            return;
        }
        busy = true;
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
                            ? OFFLINE.map((w) => el("p", null, w))
                            : [
                                  el("p", null, "That could not be sent."),
                                  el("p", null, "Tell a grown-up you trust now.")
                              ]
                    )
                );
            }
        } finally {
            busy = false;
        }
    };
    const titles = {
        hurt: "Something hurt",
        unsafe: "I could not do it safely",
        talk: "I want to talk to my teacher"
    };
    return [
        el("h2", null, titles[about]),
        where,
        still,
        beforeSending(),
        says,
        next("Send this to my teacher", send, second("Not now", again))
    ];
}

function tellScreen(args) {
    const { messages } = state.session;
    if (navigator.onLine === false) {
        return {
            title: "Tell my teacher",
            nodes: [
                emergency(),
                OFFLINE.map((w) => el("p", { class: "lead" }, w)),
                next("Back", goBack)
            ]
        };
    }
    if (!messages || !messages.on) {
        return {
            title: "Tell my teacher",
            nodes: [
                emergency(),
                el("p", { class: "lead" }, "You can't tell your teacher from here yet."),
                el("p", null, "Tell a grown-up you trust now."),
                next("Back", goBack)
            ]
        };
    }
    const body = el("div");
    const menu = () => {
        const tile = (about, words) =>
            el(
                "li",
                null,
                el(
                    "button",
                    {
                        class: "tile",
                        type: "button",
                        onclick: () => {
                            fill(body, form(about, menu));
                            focusOn(body.querySelector("h2"));
                        }
                    },
                    el("span", { class: "tile-name" }, words)
                )
            );
        fill(
            body,
            el(
                "ul",
                { class: "tiles" },
                tile("hurt", "Something hurt"),
                tile("unsafe", "I could not do it safely"),
                tile("talk", "I want to talk to my teacher")
            ),
            next("Back", goBack)
        );
    };
    if (args.about) {
        fill(body, form(args.about, goBack));
    } else {
        menu();
    }
    return { title: "Tell my teacher", nodes: [emergency(), closedWords(messages), body] };
}

register("tell", tellScreen);
