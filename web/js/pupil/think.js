/* SPDX-License-Identifier: MIT
 * Think, send, thank you. Nothing is dropped before the server has said that it has it. */

import { post } from "../api.js";
import { el, fill, choices, banner } from "../dom.js";
import { lanes } from "../lanes.js";
import {
    feltNames,
    placeNames,
    countedNames,
    codeWords,
    errorWords,
    ownBestWords,
    nextWords,
    listWords,
    shortValue,
    longValue,
    distance
} from "../words.js";
import { state, loadChallenge, bestFor, dayNow } from "./state.js";
import { loadDraft, saveDraft, dropDraft, hasTries, touch } from "./drafts.js";
import { toLane, toSend, valueOf } from "./score.js";
import { register, go, swap, next, second, plain } from "./screens.js";

function named(names) {
    return Object.keys(names).map((value) => ({ value, text: names[value] }));
}

/* The draft with tries, or a way elsewhere. */
async function withDraft(args, make) {
    const detail = await loadChallenge(args.id);
    const draft = loadDraft(state.session.pupil, detail.id);
    if (!hasTries(draft)) {
        window.setTimeout(() => swap("sent", { id: detail.id }), 0);
        return { title: detail.activity.name, nodes: [] };
    }
    const keep = () => {
        touch(draft);
        saveDraft(state.session.pupil, draft);
    };
    const made = make(detail, draft, keep);
    made.before = el("p", { class: "where" }, detail.activity.name + ", number " + detail.number);
    return made;
}

function thinkScreen(args) {
    return withDraft(args, (detail, draft, keep) => ({
        title: "Think",
        nodes: [
            detail.activity.questions.map((q) =>
                choices({
                    legend: q.text,
                    choices: q.choices.map((c) => ({ value: c.id, text: c.text })),
                    picked: [draft.answers[q.id]],
                    onchange: (v) => {
                        draft.answers[q.id] = v[0];
                        keep();
                    }
                })
            ),
            next("Next", () => go("how", { id: detail.id }))
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
        el("summary", null, "More to tell (you can skip this)"),
        group(
            "What did you aim at?",
            "target",
            (activity.targets || []).map((t) => ({ value: t.id, text: t.name }))
        ),
        group(
            "What did you use?",
            "kit",
            (activity.kit || []).map((k) => ({
                value: k.id,
                text: k.item,
                hint: k.swap ? "or " + k.swap : null
            }))
        ),
        group("Where were you?", "place", named(placeNames)),
        group("Who counted?", "counted_by", named(countedNames))
    );
}

function howScreen(args) {
    return withDraft(args, (detail, draft, keep) => ({
        title: "How was it?",
        nodes: [
            choices({
                legend: "It was",
                row: true,
                choices: named(feltNames),
                picked: [draft.felt],
                onchange: (v) => {
                    draft.felt = v[0];
                    keep();
                }
            }),
            detail.activity.cues.length
                ? choices({
                      type: "checkbox",
                      legend: "Which of these did you do?",
                      choices: detail.activity.cues.map((c) => ({ value: c.id, text: c.text })),
                      picked: draft.cues,
                      onchange: (v) => {
                          draft.cues = v;
                          keep();
                      }
                  })
                : null,
            setUpChoices(detail, draft, keep),
            next("Next", () => go("send", { id: detail.id }))
        ]
    }));
}

function filled(object) {
    const kept = {};
    Object.keys(object)
        .filter((k) => object[k])
        .forEach((k) => {
            kept[k] = object[k];
        });
    return Object.keys(kept).length ? kept : null;
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
        done_on: draft.done_on || dayNow()
    };
    const answers = filled(draft.answers),
        setup = filled(draft.setup);
    if (draft.cues.length) {
        body.cues = draft.cues;
    }
    if (answers) {
        body.answers = answers;
    }
    if (setup) {
        body.setup = setup;
    }
    if (draft.felt) {
        body.felt = draft.felt;
    }
    if (draft.confirmed) {
        body.confirmed = true;
    }
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
        this.buttons("Send my tries");
    }

    buttons(words) {
        fill(
            this.row,
            next(
                words,
                () => this.send(),
                second("Change my tries", () => go("try", { id: this.detail.id }))
            )
        );
    }

    async send() {
        if (this.busy) {
            return;
        }
        this.busy = true;
        const { body, order } = bodyOf(this.detail, this.draft);
        this.draft.sent_once = true;
        saveDraft(state.session.pupil, this.draft);
        fill(this.says, el("p", null, "Sending..."));
        try {
            const answer = await post("/hand-ins", body);
            const before = this.detail.hand_ins.filter(
                (h) =>
                    h.version === this.draft.version &&
                    h.state === "counts" &&
                    h.attempts.length > 1
            );
            state.result = {
                answer,
                activity: this.detail.activity,
                number: this.detail.number,
                last: before[before.length - 1] || null
            };
            dropDraft(state.session.pupil, this.detail.id);
            delete state.details[this.detail.id];
            delete state.ready[this.detail.id];
            swap("thanks", { id: this.detail.id });
        } catch (error) {
            this.refused(error, order);
        } finally {
            this.busy = false;
        }
    }

    refused(error, order) {
        if (error.status === 401) {
            return;
        }
        if (error.status && error.status < 500) {
            this.draft.sent_once = false; /* it was read and not stored */
            saveDraft(state.session.pupil, this.draft);
        }
        const item = error.errors[0] || {};
        if (error.slug === "confirm" || error.code("confirm")) {
            this.ask(error.code("confirm") || item, order);
        } else if (error.status === 422 && tryOf(item, order) >= 0) {
            const index = tryOf(item, order);
            swap("try", {
                id: this.detail.id,
                at: index,
                fault: { index, words: "Try " + (index + 1) + ": " + codeWords(item) }
            });
        } else if (error.status === 409 && error.slug === "different") {
            fill(this.says, banner("good", el("p", null, errorWords(error, "child"))));
            fill(
                this.row,
                next("My challenges", () => {
                    dropDraft(state.session.pupil, this.detail.id);
                    go("today");
                })
            );
        } else {
            fill(
                this.says,
                banner(
                    "careful",
                    el("p", null, errorWords(error, "child")),
                    error.offline
                        ? el("p", null, "Stay on this page. Send again when it works.")
                        : null
                )
            );
            this.buttons("Send again");
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
                    (item.code === "confirm_distance"
                        ? "From " + distance(this.draft.attempts[index].distance_mm)
                        : shortValue(value, unit)) + "? Really?"
                ),
                item.did_you_mean === undefined
                    ? null
                    : el("p", null, "Did you mean " + longValue(item.did_you_mean, unit) + "?")
            )
        );
        fill(
            this.row,
            next(
                "Yes, " + longValue(value, unit),
                () => {
                    this.draft.confirmed = true;
                    this.draft.attempts[index].sure = true;
                    this.send();
                },
                second("Change it", () => swap("try", { id: this.detail.id, at: index }))
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
            title: "Send my tries",
            nodes: [
                lanes({
                    attempts: draft.attempts.map((a) => toLane(activity, a, false)),
                    activity,
                    before: best ? best.value : null
                }),
                el(
                    "p",
                    null,
                    "Your teacher can see these. ",
                    state.session.family_can_see ? "A grown-up at home can see them too." : null
                ),
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
        .map((c) => c.text.replace(/\.$/, ""));
    if (did.length) {
        words.push("You did this: " + listWords(did.slice(0, 2)) + ".");
    }
    const spread = (attempts) => {
        const values = attempts.filter((a) => !a.part).map((a) => a.value);
        return values.length > 1 ? Math.max(...values) - Math.min(...values) : null;
    };
    const now = spread(answer.attempts),
        then = last ? spread(last.attempts) : null;
    if (now !== null && then !== null && now < then) {
        words.push("Your tries were closer together than last time. Steadier!");
    }
    return words;
}

function thanksScreen(args) {
    const result = state.result;
    if (!result) {
        window.setTimeout(() => swap("sent", { id: args.id }), 0);
        return { title: "Thank you", nodes: [] };
    }
    const { answer, activity } = result;
    const own = answer.own_best;
    const words =
        answer.state === "to_check"
            ? ["Your teacher will look at these first."]
            : [ownBestWords(own, activity.unit)];
    const forNext = nextWords(answer.next, activity.unit);
    return {
        title: "Thank you",
        before: el("p", { class: "where" }, activity.name + ", number " + result.number),
        nodes: [
            banner("good", el("p", null, "Your tries are safe with your teacher.")),
            lanes({
                attempts: answer.attempts,
                best: answer.best,
                activity,
                before: own && own.before !== undefined ? own.before : null
            }),
            words
                .concat(praise(result))
                .filter(Boolean)
                .map((w, i) => el("p", { class: i === 0 ? "lead" : null }, w)),
            answer.after_date ? el("p", null, "It came after the date. It still counts.") : null,
            forNext && answer.state !== "to_check"
                ? el("div", { class: "panel panel-sky" }, el("p", null, forNext))
                : null,
            next(
                "My challenges",
                () => go("today"),
                second("My bests", () => go("bests"))
            ),
            plain("I made a mistake", () =>
                go("mistake", { id: answer.challenge, hand_in: answer.id })
            )
        ]
    };
}

register("think", thinkScreen);
register("how", howScreen);
register("send", sendScreen);
register("thanks", thanksScreen);
