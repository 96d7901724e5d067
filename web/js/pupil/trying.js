/* SPDX-License-Identifier: MIT
 * Try: the lanes fill as the tries go in. Every change is saved in the draft before it is drawn. */

import { el, fill, banner, announce, choices } from "../dom.js";
import { lanes } from "../lanes.js";
import { t, own } from "../msg.js";
import { longValue, shortValue } from "../words.js";
import { state, loadChallenge, bestFor, dayNow } from "./state.js";
import { loadDraft, saveDraft, hasTries } from "./drafts.js";
import { valueOf, isWhole, cannotBe, isSurprising, askWords, toLane, goes } from "./score.js";
import { padFor } from "./pads.js";
import { fitting, fittingQuestions, kindOf, versionOf } from "./seated.js";
import { far, practice, spaceQuestion, stepWays, withinSpace } from "./practice.js";
import { neighbour, nextStep, SAME_STEP_MM } from "./nextstep.js";
import { heard } from "./listen.js";
import { register, go, swap, second, plain, whereWords } from "./screens.js";

/* An empty total that was only opened is no try. */
function tidy(attempt) {
    return attempt && attempt.way === "throws" && attempt.throws.length === 0 ? null : attempt;
}

function firstDistance(activity, draft) {
    const before = draft.attempts
        .slice(0, draft.at)
        .reverse()
        .find((a) => a && a.distance_mm);
    const fit = withinSpace(activity.distances_mm);
    if (before && before.distance_mm <= Math.max(...fit)) {
        return before.distance_mm;
    }
    return fit.indexOf(activity.reference_mm) >= 0
        ? activity.reference_mm
        : activity.reference_mm > Math.max(...fit)
          ? Math.max(...fit)
          : fit[0];
}

class Trying {
    constructor(detail, draft, fault) {
        this.detail = detail;
        this.activity = detail.activity;
        this.draft = draft;
        practice().seated = kindOf(this.activity, draft) === "seated";
        this.fault = fault || null; /* what the server said about one try: {index, words} */
        this.asking = false;
        this.spacing = false; /* only the question of the space stands here */
        this.focusAfter = null; /* the pad is full: on to the next step */
        this.cleanups = [];
        this.chosen = {}; /* distance chosen before the first throw, by try */
        this.box = el("div");
        this.live = el("div");
        this.around = el("div");
        this.tabs = el("ol", { class: "try-tabs", "aria-label": t("try.tries") });
    }

    leave() {
        this.cleanups.forEach((fn) => fn());
        this.cleanups = [];
    }

    attempt() {
        return this.draft.attempts[this.draft.at];
    }

    change(attempt, all) {
        const kept = tidy(attempt);
        this.fault = null;
        this.asking = false;
        if (kept && this.activity.distances_mm.length) {
            kept.distance_mm = this.where();
        }
        this.draft.attempts[this.draft.at] = kept;
        if (valueOf(kept) !== null) {
            this.draft.done_on = dayNow();
        }
        saveDraft(state.session.pupil, this.draft);
        if (all) {
            this.drawPad();
        }
        this.drawAround();
        if (this.focusAfter) {
            this.focusAfter = null;
            this.around.querySelector("[data-key='next']").focus({ preventScroll: true });
        }
    }

    where() {
        const now = this.attempt();
        return (
            (now && now.distance_mm) ||
            this.chosen[this.draft.at] ||
            firstDistance(this.activity, this.draft)
        );
    }

    setWhere(mm) {
        this.chosen[this.draft.at] = mm;
        const now = this.attempt();
        if (now) {
            now.distance_mm = mm;
            saveDraft(state.session.pupil, this.draft);
        }
        this.drawAround();
    }

    to(index) {
        this.draft.at = index;
        this.asking = false;
        saveDraft(state.session.pupil, this.draft);
        this.draw();
        window.scrollTo(0, 0);
        const tab = this.tabs.querySelector("[aria-current]");
        if (tab) {
            tab.focus({ preventScroll: true });
        }
        announce(t("try.tab", { try: index + 1 }));
    }

    /* The pad anew; the focus stays on the same key, or goes to the next step when that one is shut. */
    drawPad() {
        const active = document.activeElement;
        const key = active && active.getAttribute ? active.getAttribute("data-key") : null;
        this.leave();
        const { activity } = this;
        const now = () => this.attempt();
        const steps = activity.distances_mm.length > 1;
        const shown = activity.distances_mm.filter(
            (mm) => mm === this.where() || withinSpace(activity.distances_mm).indexOf(mm) >= 0
        );
        this.spacing = steps && !practice().asked && !hasTries(this.draft);
        if (this.spacing) {
            fill(
                this.box,
                spaceQuestion(() => {
                    this.draw();
                    this.box.querySelector("input:checked, [data-key]").focus({ preventScroll: true });
                })
            );
            return;
        }
        const { space } = practice();
        const small = space && steps && Math.min(...activity.distances_mm) > space;
        const chooser = steps
                ? choices({
                      legend: t("try.far"),
                      row: true,
                      tight: true,
                      type: "radio",
                      picked: [String(this.where())],
                      choices: shown.map((mm) => ({ value: String(mm), text: far(mm) })),
                      onchange: (v) => this.setWhere(Number(v[0]))
                  })
                : null;
        const one =
            activity.distances_mm.length === 1
                ? el("p", null, t("pad.start", { far: far(activity.distances_mm[0]) }))
                : null;
        fill(
            this.box,
            chooser,
            one,
            small ? banner("careful", el("p", null, t("step.small"))) : null,
            padFor({
                activity,
                kind: kindOf(activity, this.draft),
                helper: () => {
                    this.draft.setup.counted_by = "helper";
                },
                get attempt() {
                    return now();
                },
                index: this.draft.at,
                change: (a, all) => this.change(a, all),
                leaving: (fn) => this.cleanups.push(fn),
                enter: () => this.nextStep()
            }),
            activity.distances_mm.length ? stepWays(() => this.draw()) : null
        );
        if (key) {
            const same = this.box.querySelector("[data-key='" + key + "']:not([disabled])");
            const other = this.box.querySelector("[data-key]:not([disabled])");
            this.focusAfter = isWhole(activity, this.attempt()) && !same ? "next" : null;
            if (same || other) {
                (same || other).focus({ preventScroll: true });
            }
        }
    }

    drawTabs() {
        fill(
            this.tabs,
            this.draft.attempts.map((a, i) =>
                el(
                    "li",
                    null,
                    el(
                        "button",
                        {
                            class: "try-tab",
                            type: "button",
                            "aria-current": i === this.draft.at ? "step" : null,
                            onclick: () => this.to(i)
                        },
                        t("try.tab", { try: i + 1 }),
                        el("br"),
                        valueOf(a) === null ? "\u00a0" : shortValue(valueOf(a), this.activity.unit)
                    )
                )
            )
        );
    }

    nextStep() {
        const attempt = this.attempt();
        if (valueOf(attempt) === null) {
            fill(this.live, banner("careful", el("p", null, t("try.first"))));
            return;
        }
        if (cannotBe(this.activity, attempt)) {
            this.drawAround();
            return;
        }
        if (isSurprising(this.activity, attempt)) {
            this.asking = true;
            this.drawAround();
            const yes = this.around.querySelector("[data-key='yes']");
            if (yes) {
                yes.focus();
            }
            return;
        }
        this.onward();
    }

    onward() {
        const empty = this.draft.attempts.findIndex((a) => valueOf(a) === null);
        const wrong = this.draft.attempts.findIndex((a) => a && cannotBe(this.activity, a));
        if (wrong >= 0) {
            this.to(wrong);
        } else if (empty >= 0) {
            this.to(empty);
        } else {
            this.end();
        }
    }

    end() {
        const asks = fittingQuestions(this.activity, versionOf(this.activity, this.draft)).length;
        go(asks ? "think" : "how", { id: this.detail.id });
    }

    askBox(attempt) {
        return el(
            "div",
            { class: "panel panel-sun", role: "group", "aria-label": t("try.is_it_right") },
            el("p", { class: "lead" }, askWords(this.activity, attempt)),
            el(
                "div",
                { class: "next" },
                el(
                    "button",
                    {
                        class: "button",
                        type: "button",
                        "data-key": "yes",
                        onclick: () => {
                            attempt.sure = true;
                            this.draft.confirmed = true;
                            this.asking = false;
                            saveDraft(state.session.pupil, this.draft);
                            this.onward();
                        }
                    },
                    t("try.yes_value", { value: longValue(valueOf(attempt), this.activity.unit) })
                ),
                second(t("try.change"), () => {
                    this.asking = false;
                    this.drawAround();
                    const input = this.box.querySelector("input[type=text]");
                    if (input) {
                        input.focus();
                        input.select();
                    }
                })
            )
        );
    }

    /* Throws that earned something where the child is now, in this hand-in and the two before it. */
    counts(here) {
        const { activity, detail, draft } = this;
        const near = (a) => a && Math.abs(a.distance_mm - here) <= SAME_STEP_MM;
        const sum = { scored: 0, throws: 0 };
        const earlier = detail.hand_ins
            .filter((h) => h.version === draft.version && h.state === "counts" && !h.could_not)
            .slice(-2);
        earlier
            .reduce((all, h) => all.concat(h.attempts), draft.attempts)
            .filter(near)
            .forEach((a) => {
                if (a.throws && a.throws.length) {
                    sum.scored += a.throws.filter((p) => p > 0).length;
                    sum.throws += a.throws.length;
                } else if (activity.kind === "successes" && a.value >= 0) {
                    sum.scored += a.value;
                    sum.throws += a.tries_used || activity.throws;
                }
            });
        return sum;
    }

    /* Closer, same, further: offered between two tries, never forced. */
    moving(attempt) {
        const { activity, draft } = this;
        const to = draft.attempts.findIndex((a) => valueOf(a) === null);
        const distances = activity.distances_mm;
        if (to < 0 || distances.length < 2 || !isWhole(activity, attempt) || cannotBe(activity, attempt)) {
            return null;
        }
        const { space, asked } = practice();
        const hold = practice().hold || !asked; /* the page was loaded anew: nobody knows the space */
        const here = this.where();
        const advice = nextStep({ distances, here, space, hold, ...this.counts(here) });
        const ways = {
            closer: neighbour(distances, here, -1),
            same: space && here > space && advice.kind === "closer" ? 0 : here,
            further: hold ? 0 : neighbour(distances, here, 1)
        };
        if (advice.kind === "closer") {
            ways.closer = advice.mm;
        }
        const best = ways[advice.kind] ? advice.kind : "same";
        const names = Object.keys(ways).filter(
            (name) => ways[name] && (name !== "further" || !space || ways[name] <= space)
        );
        return el(
            "div",
            { class: "panel panel-sky", role: "group", "aria-label": t("step.question") },
            heard(el("p", { class: "lead" }, t("step.question"))),
            el("p", null, t("step.say_" + best, { far: far(ways[best]) })),
            el(
                "div",
                { class: "step-keys moves" },
                names.map((name) =>
                    el(
                        "button",
                        {
                            class: name === best ? "button" : "button-second",
                            type: "button",
                            "data-key": name === best ? "next" : name,
                            "data-move": name,
                            onclick: () => {
                                this.chosen[to] = ways[name];
                                this.nextStep();
                            }
                        },
                        t("step." + name, { far: far(ways[name]) })
                    )
                )
            )
        );
    }

    nextButtons(attempt) {
        const moving = this.moving(attempt);
        const done = this.draft.attempts.filter((a) => valueOf(a) !== null).length;
        const last = done >= this.draft.attempts.length;
        const part = attempt && !isWhole(this.activity, attempt) && attempt.way === "throws";
        const quit =
            done > 0 && !last
                ? plain(t("try.stop", { n: done }), () => this.end())
                : null;
        return el(
            "div",
            { class: "next" },
            part
                ? el(
                      "p",
                      null,
                      t("try.only", { n: attempt.throws.length, all: goes(this.activity) })
                  )
                : null,
            moving ||
            el(
                "button",
                {
                    class: part || valueOf(attempt) === null ? "button-second" : "button",
                    type: "button",
                    "data-key": "next",
                    onclick: () => this.nextStep()
                },
                t(last ? "try.in" : "try.next")
            ),
            quit
        );
    }

    drawAround() {
        const { activity, draft } = this;
        const attempt = this.attempt();
        const value = valueOf(attempt);
        const wrong =
            cannotBe(activity, attempt) ||
            (this.fault && this.fault.index === draft.at ? this.fault.words : null);
        const best = bestFor(
            this.detail,
            draft.version,
            this.activity.distances_mm.length ? this.where() : 0
        );
        this.drawTabs();
        if (this.spacing) {
            fill(this.around);
            return;
        }
        fill(
            this.live,
            wrong
                ? el("div", { class: "banner banner-careful", role: "alert" }, el("p", null, wrong))
                : null
        );
        fill(
            this.around,
            activity.kind === "zones" || activity.kind === "successes"
                ? el(
                      "p",
                      { class: "total" },
                      el("span", null, t("try.total")),
                      el("span", { class: "big-number" }, value === null ? "\u2013" : String(value))
                  )
                : null,
            lanes({
                attempts: draft.attempts.map((a, i) => toLane(activity, a, i === draft.at)),
                activity,
                before: best ? best.value : null
            }),
            this.asking ? this.askBox(attempt) : this.nextButtons(attempt)
        );
    }

    draw() {
        this.drawPad();
        this.drawAround();
    }
}

async function tryScreen(args) {
    const detail = await loadChallenge(args.id);
    const draft = loadDraft(state.session.pupil, detail.id);
    if (!draft || (!state.ready[detail.id] && !hasTries(draft))) {
        window.setTimeout(() => swap(draft ? "ready" : "sent", { id: detail.id }), 0);
        return { title: own(detail.activity.name), nodes: [] };
    }
    if (args.at !== undefined) {
        draft.at = args.at;
    }
    const trying = new Trying(detail, draft, args.fault);
    trying.draw();
    return {
        title: t("try.title"),
        before: whereWords(detail),
        nodes: [
            trying.tabs,
            trying.box,
            trying.live,
            trying.around,
            detail.activity.scoring
                ? el(
                      "details",
                      null,
                      el("summary", null, t("learn.score")),
                      heard(el("p", null, fitting(detail.activity.scoring, versionOf(detail.activity, draft))))
                  )
                : null,
            plain(t("try.look"), () => go("learn", { id: detail.id }))
        ],
        leave: () => trying.leave()
    };
}

register("try", tryScreen);
