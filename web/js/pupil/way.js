/* SPDX-License-Identifier: MIT
 * The way to the tries: choose a version, Ready?, Learn; and "I can't do this". What is ticked in
 * Ready? is stored nowhere: it only opens the door. */

import { post } from "../api.js";
import { el, choices, banner, fill } from "../dom.js";
import { versionNames, versionNotes, couldNotNames, dueSentence, errorWords } from "../words.js";
import { state, loadChallenge, dayNow } from "./state.js";
import { loadDraft, newDraft, saveDraft, hasTries, uuid7 } from "./drafts.js";
import { register, go, swap, next, second, plain } from "./screens.js";

function where(detail) {
    return el("p", { class: "where" }, detail.activity.name + ", number " + detail.number);
}

function pick(detail, version) {
    const old = loadDraft(state.session.pupil, detail.id);
    if (!old || old.version !== version.id) {
        saveDraft(state.session.pupil, newDraft(detail.id, version.id, detail.activity.attempts));
    }
    go("ready", { id: detail.id });
}

function versionTiles(detail, without) {
    return el(
        "ul",
        { class: "tiles" },
        detail.activity.versions
            .filter((v) => v.id !== without)
            .map((v) =>
                el(
                    "li",
                    null,
                    el(
                        "button",
                        { class: "tile", type: "button", onclick: () => pick(detail, v) },
                        el("span", { class: "tile-name" }, versionNames[v.kind]),
                        el("span", null, versionNotes[v.kind] || v.how)
                    )
                )
            )
    );
}

async function versionScreen(args) {
    const detail = await loadChallenge(args.id);
    const draft = loadDraft(state.session.pupil, detail.id);
    return {
        title: "How will you do it?",
        before: where(detail),
        nodes: [
            detail.activity.summary ? el("p", { class: "lead" }, detail.activity.summary) : null,
            el("p", null, dueSentence(detail.due_at, state.today) + " Every way is a good way."),
            hasTries(draft)
                ? banner(
                      "careful",
                      el("p", null, "You have tries here. A new way starts them again."),
                      el(
                          "p",
                          null,
                          plain("Go on with my tries", () => go("try", { id: detail.id }))
                      )
                  )
                : null,
            versionTiles(detail, null),
            plain("I can't do this here", () => go("could_not", { id: detail.id }))
        ]
    };
}

/* In the order a child does them; the activity may add its own. */
const CHECKS = [
    "My shoes and the floor are dry.",
    "There is space around me.",
    "There is nothing to trip on.",
    "A grown-up knows.",
    "I stop if it hurts.",
    "I stop if I feel dizzy or wheezy.",
    "My inhaler is near, if I use one."
];

async function readyScreen(args) {
    const detail = await loadChallenge(args.id);
    if (!loadDraft(state.session.pupil, detail.id)) {
        return versionScreen(args);
    }
    const lines = CHECKS.concat(detail.activity.safety || []);
    const says = el("div", { "aria-live": "polite" });
    const ticks = choices({
        type: "checkbox",
        legend: "Tick each one when it is so.",
        choices: lines.map((text, i) => ({ value: String(i), text })),
        onchange: () => fill(says)
    });
    const on = () => {
        if (ticks.values().length < lines.length) {
            fill(
                says,
                banner(
                    "careful",
                    el("p", null, "Look again. Some are not ticked yet."),
                    el("p", null, "Not safe here? Choose another way.")
                )
            );
            return;
        }
        state.ready[detail.id] = true;
        go("learn", { id: detail.id });
    };
    return {
        title: "Ready?",
        before: where(detail),
        nodes: [
            ticks,
            says,
            next(
                "I am ready",
                on,
                second("I can't do this here", () => go("could_not", { id: detail.id }))
            )
        ]
    };
}

async function learnScreen(args) {
    const detail = await loadChallenge(args.id);
    const { activity } = detail;
    const draft = loadDraft(state.session.pupil, detail.id);
    if (!draft) {
        return versionScreen(args);
    }
    if (!state.ready[detail.id] && !hasTries(draft)) {
        return readyScreen(args);
    }
    const version = activity.versions.find((v) => v.id === draft.version);
    const section = (title, ...nodes) => el("section", null, el("h2", null, title), nodes);
    return {
        title: activity.name,
        before: el(
            "p",
            { class: "where" },
            "Number " + detail.number + (version ? ", " + versionNames[version.kind] : "")
        ),
        nodes: [
            version && version.how ? el("p", { class: "lead" }, version.how) : null,
            activity.kit && activity.kit.length && version && version.kind !== "no_kit"
                ? section(
                      "You need",
                      el(
                          "ul",
                          { class: "plain-list" },
                          activity.kit.map((k) =>
                              el(
                                  "li",
                                  null,
                                  el("strong", null, k.item),
                                  k.swap ? el("span", null, el("br"), "Or use: " + k.swap) : null
                              )
                          )
                      )
                  )
                : null,
            activity.set_up ? section("Set it out", el("p", null, activity.set_up)) : null,
            activity.cues.length
                ? section(
                      "Look for",
                      el(
                          "ul",
                          { class: "plain-list look-for" },
                          activity.cues.map((c) => el("li", null, c.text))
                      )
                  )
                : null,
            activity.scoring ? section("How to score", el("p", null, activity.scoring)) : null,
            activity.steps && activity.steps.length
                ? el(
                      "details",
                      null,
                      el("summary", null, "Make it easier or harder"),
                      activity.steps.map((s) => [
                          s.easier ? el("p", null, el("strong", null, "Easier: "), s.easier) : null,
                          s.harder ? el("p", null, el("strong", null, "Harder: "), s.harder) : null
                      ])
                  )
                : null,
            next(
                "Start my tries",
                () => go("try", { id: detail.id }),
                second("I can't do this here", () => go("could_not", { id: detail.id }))
            )
        ]
    };
}

async function couldNotScreen(args) {
    const detail = await loadChallenge(args.id);
    const draft = loadDraft(state.session.pupil, detail.id);
    const says = el("div", { "aria-live": "polite" });
    const id = uuid7();
    const reasons = choices({
        legend: "Why not, this time?",
        choices: Object.keys(couldNotNames).map((code) => ({
            value: code,
            text: couldNotNames[code]
        }))
    });
    let busy = false;
    const send = async () => {
        const reason = reasons.values()[0];
        if (!reason) {
            fill(says, banner("careful", el("p", null, "Choose one first.")));
            return;
        }
        if (busy) {
            return;
        }
        busy = true;
        try {
            const body = {
                id,
                challenge: detail.id,
                attempts: [],
                could_not: reason,
                done_on: dayNow()
            };
            if (draft) {
                body.version = draft.version;
            }
            await post("/hand-ins", body);
            delete state.details[detail.id];
            state.notice = {
                kind: "good",
                words: "Thank you for telling us. You can still try later."
            };
            swap("today", {});
        } catch (error) {
            fill(
                says,
                error.status === 401
                    ? null
                    : banner("careful", el("p", null, errorWords(error, "child")))
            );
        } finally {
            busy = false;
        }
    };
    const others = detail.activity.versions.filter((v) => !draft || v.id !== draft.version);
    return {
        title: "I can't do this here",
        before: where(detail),
        nodes: [
            el("p", { class: "lead" }, "That is fine. You have a choice."),
            others.length
                ? el(
                      "section",
                      null,
                      el("h2", null, "Do it another way"),
                      versionTiles(detail, draft ? draft.version : null)
                  )
                : null,
            el(
                "section",
                null,
                el("h2", null, "Or tell your teacher"),
                reasons,
                says,
                next("Send: I could not", send)
            )
        ]
    };
}

register("version", versionScreen);
register("ready", readyScreen);
register("learn", learnScreen);
register("could_not", couldNotScreen);
