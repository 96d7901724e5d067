/* SPDX-License-Identifier: MIT
 * Think, send, thank you. Nothing is dropped before the server has said that it has it. */

import { el, fill, banner, choices } from "../dom.js";
import { lanes } from "../lanes.js";
import { t, own } from "../msg.js";
import {
    codeWords,
    ownBestWords,
    nextWords,
    listWords,
    shortValue,
    longValue,
    distance
} from "../words.js";
import { thing } from "../kit.js";
import { aloud, heard } from "./listen.js";
import { fittingCues, fittingKit, fittingQuestions, kindOf, versionOf } from "./seated.js";
import { state, loadChallenge, bestFor, dayNow, familySees } from "./state.js";
import { loadDraft, saveDraft, hasTries } from "./drafts.js";
import { hold, held, flush, takeBack } from "./queue.js";
import { toThanks } from "./offline.js";
import { toLane, toSend, valueOf } from "./score.js";
import { register, go, swap, next, second, plain, whereWords } from "./screens.js";

const FELT = { too_easy: "easy", about_right: "right", too_hard: "hard" };
const PLACES = ["home", "school", "elsewhere"];
const COUNTERS = ["self", "helper"];

function named(stem, values) {
    return values.map((value) => ({ value, text: t(stem + value) }));
}

/* The draft with tries, or a way elsewhere. */
async function withDraft(args, make) {
    const detail = await loadChallenge(args.id);
    const draft = loadDraft(state.session.pupil, detail.id);
    if (!hasTries(draft)) {
        const on = held(state.session.pupil).some((item) => item.body.challenge === detail.id);
        window.setTimeout(() => swap(on ? "held" : "sent", { id: detail.id }), 0);
        return { title: own(detail.activity.name), nodes: [] };
    }
    const keep = () => {
        saveDraft(state.session.pupil, draft);
    };
    const made = make(detail, draft, keep);
    made.before = whereWords(detail);
    return made;
}

function thinkScreen(args) {
    return withDraft(args, (detail, draft, keep) => ({
        title: t("think.title"),
        nodes: [
            fittingQuestions(detail.activity, versionOf(detail.activity, draft)).map((q) =>
                aloud(
                    choices({
                        legend: own(q.text),
                        choices: q.choices.map((c) => ({ value: c.id, text: own(c.text) })),
                        picked: [draft.answers[q.id]],
                        onchange: (v) => {
                            draft.answers[q.id] = v[0];
                            keep();
                        }
                    })
                )
            ),
            next(t("think.next"), () => go("how", { id: detail.id }))
        ]
    }));
}

function setUpChoices(detail, draft, keep) {
    const set = (name) => (v) => {
        draft.setup[name] = v[0];
        keep();
    };
    const { activity } = detail;
    const group = (legend, name, list) =>
        list.length
            ? choices({
                  legend,
                  row: list.every((c) => !c.hint && c.text.length < 16),
                  choices: list,
                  picked: [draft.setup[name]],
                  onchange: set(name)
              })
            : null;
    return el(
        "details",
        null,
        el("summary", null, t("how.more")),
        group(
            t("how.aim"),
            "target",
            (activity.targets || []).map((x) => ({ value: x.id, text: own(x.name) }))
        ),
        group(
            t("how.used"),
            "kit",
            fittingKit(activity, versionOf(activity, draft)).map((k) => ({
                value: k.id,
                text: own(k.item),
                hint: k.swap ? t("how.or", { swap: own(k.swap) }) : null
            }))
        ),
        group(t("how.place"), "place", named("place.", PLACES)),
        group(t("how.counted"), "counted_by", named("counted.", COUNTERS))
    );
}

function howScreen(args) {
    return withDraft(args, (detail, draft, keep) => {
        const cues = fittingCues(detail.activity, versionOf(detail.activity, draft));
        const faces = choices({
            legend: t("how.it_was"),
            row: true,
            choices: Object.keys(FELT).map((value) => ({
                value,
                text: el("span", { class: "face" }, thing(FELT[value]), t("felt." + value))
            })),
            picked: [draft.felt],
            onchange: (v) => {
                draft.felt = v[0];
                keep();
            }
        });
        const points = choices({
            type: "checkbox",
            legend: t("how.cues"),
            choices: cues.map((c) => ({ value: c.id, text: own(c.text) })),
            picked: draft.cues,
            onchange: (v) => {
                draft.cues = v;
                keep();
            }
        });
        return {
            title: t("how.title"),
            nodes: [
                aloud(faces),
                cues.length ? aloud(points) : null,
                setUpChoices(detail, draft, keep),
                next(t("think.next"), () => go("send", { id: detail.id }))
            ]
        };
    });
}

/* What was chosen; undefined, which JSON leaves out, when nothing was. */
function filled(object) {
    const kept = {};
    Object.keys(object).forEach((k) => {
        if (object[k]) {
            kept[k] = object[k];
        }
    });
    return Object.keys(kept).length ? kept : undefined;
}

/* The body; `order[i]` is the try that attempts[i] came from. */
function bodyOf(detail, draft) {
    const order = draft.attempts
        .map((a, i) => i)
        .filter((i) => valueOf(draft.attempts[i]) !== null);
    const body = {
        id: draft.id,
        challenge: detail.id,
        version: draft.version,
        attempts: order.map((i) => toSend(detail.activity, draft.attempts[i])),
        done_on: draft.done_on || dayNow(),
        cues: draft.cues.length ? draft.cues : undefined,
        answers: filled(draft.answers),
        setup: filled(draft.setup),
        felt: draft.felt || undefined,
        confirmed: draft.confirmed || undefined
    };
    return { body, order };
}

/* Which try a problem's pointer means: "/attempts/1/value" -> order[1]. */
function tryOf(item, order) {
    const found = /^\/attempts\/(\d+)/.exec(item.pointer || "");
    return found && order[Number(found[1])] !== undefined ? order[Number(found[1])] : -1;
}

class Sending {
    constructor(detail, draft) {
        this.detail = detail;
        this.draft = draft;
        this.busy = false;
        this.says = el("div", { "aria-live": "polite" });
        this.row = el("div");
        this.buttons(t("send.title"));
    }

    buttons(words) {
        fill(
            this.row,
            next(
                words,
                () => this.send(),
                second(t("send.change"), () => go("try", { id: this.detail.id }))
            )
        );
    }

    async send() {
        if (this.busy) {
            return;
        }
        this.busy = true;
        const { body, order } = bodyOf(this.detail, this.draft);
        fill(this.says, el("p", null, t("send.sending")));
        const { session } = state;
        try {
            await hold(this.detail, this.draft, body);
            const results = await flush(true);
            if (state.session === session) {
                await this.answered(results[body.id] || {}, body, order);
            }
        } finally {
            this.busy = false;
        }
    }

    async answered({ answer, item }, body, order) {
        if (answer) {
            state.done = null;
            await toThanks(answer);
        } else if (item && item.why && item.why.status === 422) {
            await takeBack(item);
            this.draft = loadDraft(state.session.pupil, this.detail.id);
            this.refused(item.why, order);
        } else {
            swap("held", { send: body.id });
        }
    }

    /* Read and not stored: something is for the child to mend or to say yes to. */
    refused(why, order) {
        const item = why.error || {};
        if (why.slug === "confirm" || /^confirm/.test(item.code)) {
            this.ask(item, order);
        } else if (tryOf(item, order) >= 0) {
            const index = tryOf(item, order);
            swap("try", {
                id: this.detail.id,
                at: index,
                fault: { index, words: t("try.fault", { try: index + 1, words: codeWords(item) }) }
            });
        } else {
            fill(this.says, banner("careful", el("p", null, codeWords(item))));
            this.buttons(t("send.again"));
        }
    }

    /* "71? Really?": asked once; the yes goes along. */
    ask(item, order) {
        const at = tryOf(item, order);
        const index = at >= 0 ? at : order[0];
        const { unit } = this.detail.activity;
        const value = valueOf(this.draft.attempts[index]);
        fill(
            this.says,
            el(
                "div",
                { class: "panel panel-sun" },
                el(
                    "p",
                    { class: "lead" },
                    item.code === "confirm_distance"
                        ? t("send.really_from", {
                              far: distance(this.draft.attempts[index].distance_mm)
                          })
                        : t("try.really", { value: shortValue(value, unit) })
                ),
                item.did_you_mean === undefined
                    ? null
                    : el(
                          "p",
                          null,
                          t("send.did_you_mean", { value: longValue(item.did_you_mean, unit) })
                      )
            )
        );
        fill(
            this.row,
            next(
                t("try.yes_value", { value: longValue(value, unit) }),
                () => {
                    this.draft.confirmed = true;
                    this.draft.attempts[index].sure = true;
                    this.send();
                },
                second(t("try.change"), () => swap("try", { id: this.detail.id, at: index }))
            )
        );
        this.row.querySelector("button").focus();
    }
}

function sendScreen(args) {
    return withDraft(args, (detail, draft) => {
        const { activity } = detail;
        const best = bestFor(detail, draft.version, 0);
        const sending = new Sending(detail, draft);
        return {
            title: t("send.title"),
            nodes: [
                lanes({
                    attempts: draft.attempts.map((a) => toLane(activity, a, false)),
                    activity,
                    before: best ? best.value : null
                }),
                heard(el("p", null, t("send.teacher_sees") + " ", familySees())),
                sending.says,
                sending.row
            ]
        };
    });
}

/* Something other than the number: a point met, a steadier line. */
function praise(result) {
    const { answer, activity, last } = result;
    const words = [];
    const did = activity.cues
        .filter((c) => (answer.cues || []).indexOf(c.id) >= 0)
        .map((c) => own(c.text).replace(/[.\u06d4](\u2069?)$/, "$1"));
    if (did.length) {
        words.push(t("thanks.did", { cues: listWords(did.slice(0, 2)) }));
    }
    const spread = (attempts) => {
        const values = attempts.filter((a) => !a.part).map((a) => a.value);
        return values.length > 1 ? Math.max(...values) - Math.min(...values) : null;
    };
    const now = spread(answer.attempts),
        then = last ? spread(last.attempts) : null;
    if (now !== null && then !== null && now < then) {
        words.push(t("thanks.steadier"));
    }
    return words;
}

function thanksScreen(args) {
    const result = state.result;
    if (!result) {
        window.setTimeout(() => swap("sent", { id: args.id }), 0);
        return { title: t("thanks.title"), nodes: [] };
    }
    const { answer, activity } = result;
    const best = answer.own_best;
    const words =
        answer.state === "to_check"
            ? [t("thanks.to_check")]
            : [ownBestWords(best, activity.unit)];
    const forNext = nextWords(answer.next, activity.unit, kindOf(activity, answer));
    return {
        title: t("thanks.title"),
        before: whereWords(result),
        nodes: [
            banner("good", el("p", null, t("thanks.safe"))),
            lanes({
                attempts: answer.attempts,
                best: answer.best,
                activity,
                before: best && best.before !== undefined ? best.before : null
            }),
            words
                .concat(praise(result))
                .filter(Boolean)
                .map((w, i) => heard(el("p", { class: i === 0 ? "lead" : null }, w))),
            answer.after_date ? el("p", null, t("thanks.after_date")) : null,
            forNext && answer.state !== "to_check"
                ? el("div", { class: "panel panel-sky" }, heard(el("p", null, forNext)))
                : null,
            next(
                t("today.link"),
                () => go("today"),
                second(t("bests.title"), () => go("bests"))
            ),
            plain(t("mistake.title"), () =>
                go("mistake", { id: answer.challenge, hand_in: answer.id })
            )
        ]
    };
}

register("think", thinkScreen);
register("how", howScreen);
register("send", sendScreen);
register("thanks", thanksScreen);
