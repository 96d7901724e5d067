/* SPDX-License-Identifier: MIT
 * The way to the tries: choose a version, Ready?, Learn; and "I can't do this". What is ticked in
 * Ready? is stored nowhere: it only opens the door. */

import { uuid7 } from "../api.js";
import { el, banner, fill, choices } from "../dom.js";
import { t, both, own, ownBoth, knows } from "../msg.js";
import { cuePicture, kitPicture, safetyPicture, thing, versionPicture } from "../kit.js";
import { dueSentence } from "../words.js";
import { state, loadChallenge, dayNow } from "./state.js";
import { loadDraft, newDraft, saveDraft, hasTries } from "./drafts.js";
import { scene, zoneBoard } from "./board.js";
import { aloud, heard, listen, wordsOf } from "./listen.js";
import { hold, flush, letGo } from "./queue.js";
import { fitting, fittingCues, fittingKit, versionOf } from "./seated.js";
import { register, go, swap, next, second, plain, whereWords } from "./screens.js";

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
            .map((v, i) =>
                el(
                    "li",
                    null,
                    el(
                        "button",
                        { class: "tile tile-pic", type: "button", onclick: () => pick(detail, v) },
                        el("span", { class: "pics" }, versionPicture(detail.activity, v.kind, i)),
                        el("span", { class: "tile-name" }, t("kind." + v.kind)),
                        el("span", null, knows("kindnote." + v.kind) ? t("kindnote." + v.kind) : own(v.how))
                    )
                )
            )
    );
}

async function versionScreen(args) {
    const detail = await loadChallenge(args.id);
    const draft = loadDraft(state.session.pupil, detail.id);
    return {
        title: t("version.title"),
        before: whereWords(detail),
        nodes: [
            detail.activity.summary ? heard(el("p", { class: "lead" }, own(detail.activity.summary))) : null,
            el("p", null, dueSentence(detail.due_at, state.today) + " " + t("version.good")),
            hasTries(draft)
                ? banner(
                      "careful",
                      el("p", null, t("version.again")),
                      el(
                          "p",
                          null,
                          plain(t("version.go_on"), () => go("try", { id: detail.id }))
                      )
                  )
                : null,
            versionTiles(detail, null),
            plain(t("could.title"), () => go("could_not", { id: detail.id }))
        ]
    };
}

const REASONS = ["no_space", "no_kit", "no_device", "no_grown_up", "not_today"];

/* In the order a child does them; the activity may add its own. */
const CHECKS = {
    dry: "shoe",
    space: "space",
    trip: "trip",
    grown_up: "helper",
    hurts: "stop",
    dizzy: "dizzy",
    inhaler: "puffer"
};

/* A picture beside its words. */
function pictured(pic, words) {
    return el("span", { class: "pictured" }, pic, el("span", null, words));
}

async function readyScreen(args) {
    const detail = await loadChallenge(args.id);
    if (!loadDraft(state.session.pupil, detail.id)) {
        return versionScreen(args);
    }
    const lines = Object.keys(CHECKS)
        .map((key) => pictured(thing(CHECKS[key]), both("ready." + key)))
        .concat(
            (detail.activity.safety || []).map((line) =>
                pictured(thing(safetyPicture(line)), ownBoth(line))
            )
        );
    const says = el("div", { "aria-live": "polite" });
    const ticks = choices({
        type: "checkbox",
        legend: both("ready.tick"),
        choices: lines.map((text, i) => ({ value: String(i), text })),
        onchange: () => fill(says)
    });
    ticks.querySelectorAll(".choice").forEach((label) => {
        const button = listen(wordsOf(label));
        if (button) {
            ticks.classList.add("choices-heard");
            label.after(button);
        }
    });
    const on = () => {
        if (ticks.values().length < lines.length) {
            fill(
                says,
                banner(
                    "careful",
                    el("p", null, both("ready.look")),
                    el("p", null, both("ready.not_safe"))
                )
            );
            return;
        }
        state.ready[detail.id] = true;
        go("warm", { id: detail.id });
    };
    return {
        title: t("ready.title"),
        before: whereWords(detail),
        nodes: [
            ticks,
            says,
            next(
                t("ready.yes"),
                on,
                second(t("could.title"), () => go("could_not", { id: detail.id }))
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
    const version = versionOf(activity, draft);
    const { kind } = version;
    const kit = kind === "no_kit" ? [] : fittingKit(activity, version);
    const setUp = fitting(activity.set_up || "", version),
        scoring = fitting(activity.scoring || "", version),
        cues = fittingCues(activity, version);
    const steps = (activity.steps || [])
        .map((s) => [fitting(s.easier || "", version), fitting(s.harder || "", version)])
        .filter((s) => s[0] || s[1]);
    const section = (title, ...nodes) => {
        const body = el("div", null, nodes);
        return el(
            "section",
            null,
            el("div", { class: "heard" }, el("h2", null, title), listen(wordsOf(body))),
            body
        );
    };
    return {
        title: own(activity.name),
        before: el(
            "p",
            { class: "where" },
            t("screen.number", { number: detail.number }) +
                (version.id ? t("value.comma") + t("kind." + kind) : "")
        ),
        nodes: [
            scene(activity, kind),
            version.how ? heard(el("p", { class: "lead" }, own(version.how))) : null,
            kit.length
                ? section(
                      t("learn.need"),
                      el(
                          "ul",
                          { class: "plain-list" },
                          kit.map((k) =>
                              el(
                                  "li",
                                  null,
                                  pictured(thing(kitPicture(k.item)), [
                                      el("strong", null, own(k.item)),
                                      k.swap ? [el("br"), t("learn.or", { swap: own(k.swap) })] : null
                                  ])
                              )
                          )
                      )
                  )
                : null,
            setUp ? section(t("learn.set_out"), el("p", null, setUp)) : null,
            activity.kind === "zones"
                ? zoneBoard(activity, kind, (z) =>
                      el(
                          "p",
                          { class: "zone-name" },
                          own(z.name),
                          " ",
                          el("span", { class: "points" }, z.points ? "+" + z.points : "0")
                      )
                  )
                : null,
            cues.length
                ? section(
                      t("learn.look_for"),
                      el(
                          "ul",
                          { class: "plain-list look-for" },
                          cues.map((c) => el("li", null, pictured(thing(cuePicture(c.text)), own(c.text))))
                      )
                  )
                : null,
            scoring ? section(t("learn.score"), el("p", null, scoring)) : null,
            steps.length
                ? el(
                      "details",
                      null,
                      el("summary", null, t("learn.steps")),
                      steps.map((s) => [
                          s[0] ? el("p", null, el("strong", null, t("learn.easier") + " "), s[0]) : null,
                          s[1] ? el("p", null, el("strong", null, t("learn.harder") + " "), s[1]) : null
                      ])
                  )
                : null,
            next(
                t("learn.start"),
                () => go("try", { id: detail.id }),
                second(t("could.title"), () => go("could_not", { id: detail.id }))
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
        legend: t("could.why"),
        choices: REASONS.map((code) => ({ value: code, text: t("reason." + code) }))
    });
    let busy = false;
    const send = async () => {
        const reason = reasons.values()[0];
        if (!reason) {
            fill(says, banner("careful", el("p", null, t("could.choose"))));
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
            await hold(detail, null, body);
            if (args.instead) {
                await letGo({ id: args.instead });
            }
            const { answer } = (await flush(true))[id] || {};
            delete state.details[detail.id];
            if (answer) {
                state.done = null;
                state.notice = { kind: "good", words: t("could.thanks") };
            }
            if (state.session) {
                swap(answer ? "today" : "held", {});
            }
        } finally {
            busy = false;
        }
    };
    const others = detail.activity.versions.filter((v) => !draft || v.id !== draft.version);
    return {
        title: t("could.title"),
        before: whereWords(detail),
        nodes: [
            heard(el("p", { class: "lead" }, t("could.fine"))),
            others.length
                ? el(
                      "section",
                      null,
                      el("h2", null, t("could.other_way")),
                      versionTiles(detail, draft ? draft.version : null)
                  )
                : null,
            el(
                "section",
                null,
                el("h2", null, t("could.tell")),
                aloud(reasons),
                says,
                next(t("could.send"), send)
            )
        ]
    };
}

register("version", versionScreen);
register("ready", readyScreen);
register("learn", learnScreen);
register("could_not", couldNotScreen);
