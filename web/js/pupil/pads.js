/* SPDX-License-Identifier: MIT
 * How one try goes in, a pad per kind. A pad gets {activity, kind, attempt, index, change(attempt, all),
 * helper(), leaving(fn), enter()} and returns nodes. change(.., true) draws the pad anew, change(.., false) only what
 * is around it, so that a field being typed in keeps its place. */

import { el, fill, announce } from "../dom.js";
import { t, own } from "../msg.js";
import { plainNumber, readValue, shortValue, toResolution, unitName } from "../words.js";
import { thing } from "../kit.js";
import { goes, isWhole, valueOf } from "./score.js";
import { scene, zoneBoard } from "./board.js";
import { heard } from "./listen.js";

function throwsOf(attempt) {
    return attempt && attempt.way === "throws" ? attempt.throws : [];
}

function made(throws, total, mark) {
    const items = [];
    for (let i = 0; i < total; i += 1) {
        items.push(
            i < throws.length
                ? el("li", null, mark(throws[i]))
                : el("li", { class: "to-come" }, el("span", { class: "only-read" }, t("try.to_come")))
        );
    }
    return el("ol", { class: "throws", "aria-label": t("try.throws") }, items);
}

function undo(pad, throws) {
    return el(
        "button",
        {
            class: "button-second",
            type: "button",
            "data-key": "undo",
            disabled: throws.length === 0,
            onclick: () => {
                pad.change(
                    throws.length > 1 ? { way: "throws", throws: throws.slice(0, -1) } : null,
                    true
                );
                announce(t("try.undone"));
            }
        },
        t("try.undo")
    );
}

function otherWay(pad, words, attempt) {
    return el(
        "p",
        null,
        el(
            "button",
            {
                class: "button-plain",
                type: "button",
                "data-key": "way",
                onclick: () => pad.change(attempt, true)
            },
            words
        )
    );
}

/* A typed number: text, so that "12,4" and "1:05" work; the pad of numbers comes up on a phone. */
function typed(pad, o) {
    const unit = pad.activity.unit;
    const value = pad.attempt && pad.attempt.way === "total" ? pad.attempt.value : null;
    const id = "value-" + pad.index;
    const says = el("span", { class: "wrong", id: id + "-says", "aria-live": "polite" });
    const read = () => {
        const got = readValue(input.value, unit);
        says.textContent =
            input.value.trim() !== "" && got === null ? t("try.number") : "";
        pad.change(
            got === null
                ? null
                : { way: "total", value: toResolution(got, pad.activity.resolution) },
            false
        );
    };
    const input = el("input", {
        type: "text",
        id,
        "data-key": "value",
        inputmode: unit === "ms" || unit === "mm" ? "decimal" : "numeric",
        autocomplete: "off",
        maxlength: "8",
        value: value === null || value === undefined ? "" : plainNumber(value, unit),
        oninput: read,
        onkeydown: (event) => {
            if (event.key === "Enter") {
                pad.enter();
            }
        },
        "aria-describedby": id + "-says"
    });
    const bump = (by) => {
        const now = readValue(input.value, unit) || 0;
        const then = Math.max(0, now + by);
        input.value = plainNumber(then, unit);
        read();
        announce(plainNumber(then, unit));
    };
    const steps = o.bump
        ? [
              el(
                  "button",
                  {
                      class: "button-second count-key",
                      type: "button",
                      "aria-label": t("try.less"),
                      onclick: () => bump(-1)
                  },
                  "\u2212"
              ),
              input,
              el(
                  "button",
                  {
                      class: "button-second count-key",
                      type: "button",
                      "aria-label": t("try.more"),
                      onclick: () => bump(1)
                  },
                  "+"
              )
          ]
        : [input, el("span", null, unit === "ms" || unit === "mm" ? unitName(unit) : "")];
    return el(
        "div",
        { class: "field" },
        el("label", { for: id }, o.label),
        el("div", { class: "count-row" }, o.picture ? thing(o.picture) : null, steps),
        says
    );
}

function zonePad(pad) {
    const { activity, attempt } = pad;
    const n = goes(activity);
    if (attempt && attempt.way === "total") {
        return [
            typed(pad, { label: t("try.total_label"), bump: true }),
            otherWay(pad, t("try.tap_throws"), null)
        ];
    }
    const throws = throwsOf(attempt);
    const full = throws.length >= n;
    const zone = (z, i) =>
        el(
            "button",
            {
                class: "zone-key zone-" + (i + 1),
                type: "button",
                "data-key": "zone-" + i,
                disabled: full,
                onclick: () => {
                    pad.change({ way: "throws", throws: throws.concat([z.points]) }, true);
                    announce(
                        t("try.thrown", {
                            zone: own(z.name),
                            points: z.points,
                            throw: throws.length + 1,
                            n
                        })
                    );
                }
            },
            el("span", null, own(z.name)),
            el("span", { class: "points" }, z.points === 0 ? "0" : "+" + z.points)
        );
    return [
        heard(
            el(
                "p",
                { class: "lead" },
                full ? t("try.all_in", { n }) : t("try.where", { throw: throws.length + 1, n })
            )
        ),
        el(
            "div",
            { role: "group", "aria-label": t("try.zones") },
            zoneBoard(activity, pad.kind, zone)
        ),
        el(
            "div",
            { class: "throws-row" },
            made(throws, n, (p) => String(p)),
            undo(pad, throws)
        ),
        throws.length ? null : otherWay(pad, t("try.know_total"), { way: "total", value: null })
    ];
}

function hitPad(pad) {
    const { activity, attempt } = pad;
    const n = goes(activity);
    if (attempt && attempt.way === "total") {
        return [
            typed(pad, { label: t("try.out_of", { n }), bump: true }),
            otherWay(pad, t("try.tap_each"), null)
        ];
    }
    const throws = throwsOf(attempt);
    const full = isWhole(activity, attempt);
    const hit = (worth, words) =>
        el(
            "button",
            {
                class: "zone-key hit-" + worth,
                type: "button",
                "data-key": "hit-" + worth,
                disabled: full,
                onclick: () => {
                    pad.change({ way: "throws", throws: throws.concat([worth]) }, true);
                    announce(t("try.hit", { words, throw: throws.length + 1, n }));
                }
            },
            el("span", null, words),
            el("span", { class: "points", "aria-hidden": "true" }, worth ? "\u2713" : "\u2013")
        );
    return [
        scene(activity, pad.kind, "scene"),
        heard(
            el(
                "p",
                { class: "lead" },
                full ? t("try.done") : t("try.did_you", { throw: throws.length + 1, n })
            )
        ),
        el(
            "div",
            { class: "hit-pad", role: "group", "aria-label": t("try.yes_or_no") },
            hit(1, t("try.yes")),
            hit(0, t("try.no"))
        ),
        el(
            "div",
            { class: "throws-row" },
            made(throws, n, (p) =>
                p
                    ? el("span", null, "\u2713", el("span", { class: "only-read" }, t("try.mark_yes")))
                    : el("span", null, "\u2013", el("span", { class: "only-read" }, t("try.mark_no")))
            ),
            undo(pad, throws)
        ),
        throws.length ? null : otherWay(pad, t("try.know_total"), { way: "total", value: null })
    ];
}

/* One short tone where the device lets us. */
function beep() {
    try {
        const Sound = window.AudioContext || window.webkitAudioContext;
        const sound = new Sound();
        const tone = sound.createOscillator();
        tone.frequency.value = 660;
        tone.connect(sound.destination);
        tone.start();
        tone.stop(sound.currentTime + 0.6);
        tone.onended = () => sound.close();
    } catch (e) {
        return;
    }
}

function seconds(ms, tenths) {
    return tenths
        ? (Math.floor(ms / 100) / 10).toFixed(1).replace(".", t("number.point"))
        : String(Math.floor(ms / 1000));
}

/* A clock that the child starts. Nothing else here is ever timed. */
function watch(pad, o) {
    let from = 0,
        timer = 0;
    const face = el("p", { class: "big-number", "aria-live": "off" }, o.idle);
    const words = el("p", { "aria-live": "polite" }, o.words);
    const stop = (ms) => {
        window.clearInterval(timer);
        timer = 0;
        button.textContent = t("try.start_again");
        face.textContent = t("value.short_ms", { number: o.done(ms, words) });
    };
    const tick = () => {
        const ms = window.performance.now() - from;
        if (o.until && ms >= o.until) {
            beep();
            stop(o.until);
            return;
        }
        face.textContent = t("value.short_ms", { number: seconds(ms, !o.until) });
    };
    const button = el(
        "button",
        {
            class: "button",
            type: "button",
            "data-key": "watch",
            onclick: () => {
                if (timer) {
                    stop(window.performance.now() - from);
                    return;
                }
                from = window.performance.now();
                timer = window.setInterval(tick, 100);
                button.textContent = t("try.stop_watch");
                words.textContent = o.running;
                tick();
            }
        },
        t("try.start_watch")
    );
    pad.leaving(() => window.clearInterval(timer));
    return el("div", { class: "watch panel" }, heard(words), face, button);
}

/* For the helper who counts while the child does it: one big key. */
function plusPad(pad) {
    let n = (pad.attempt && pad.attempt.value) || 0;
    const face = el("span", { class: "big-number", "aria-live": "polite" }, String(n));
    const add = (by) => () => {
        n = Math.max(0, n + by);
        face.textContent = String(n);
        less.disabled = n === 0;
        pad.helper();
        pad.change({ way: "total", value: n }, false);
    };
    const less = el(
        "button",
        { class: "button-second", type: "button", "data-key": "undo", disabled: n === 0, onclick: add(-1) },
        t("try.undo")
    );
    return el(
        "div",
        { class: "plus-pad" },
        el("p", null, t("pad.plus")),
        el(
            "button",
            { class: "plus-key", type: "button", "data-key": "plus", "aria-label": t("try.more"), onclick: add(1) },
            "+"
        ),
        el("div", { class: "throws-row" }, face, less)
    );
}

function countPad(pad) {
    const { seconds: length } = pad.activity;
    const field = el("div");
    let helping = false;
    const show = () =>
        fill(
            field,
            helping ? plusPad(pad) : typed(pad, { label: t("try.how_many"), bump: true }),
            el(
                "button",
                {
                    class: "button-plain",
                    type: "button",
                    "data-key": "way",
                    onclick: () => {
                        helping = !helping;
                        show();
                        field.querySelector("[data-key=way]").focus({ preventScroll: true });
                    }
                },
                t(helping ? "pad.type" : "pad.helper")
            )
        );
    show();
    const clock = watch(pad, {
        idle: shortValue(length * 1000, "ms"),
        until: length * 1000,
        words: t("try.count_idle", { n: length }),
        running: t("try.count_go"),
        done: (ms, words) => {
            words.textContent =
                ms >= length * 1000
                    ? t("try.count_stop")
                    : t("try.count_early");
            return seconds(ms, ms < length * 1000);
        }
    });
    return [clock, field];
}

function measurePad(pad) {
    const { activity } = pad;
    if (activity.unit !== "ms") {
        return [typed(pad, { label: t("try.centimetres"), picture: "ruler" })];
    }
    const field = typed(pad, { label: t("try.seconds") });
    const input = field.querySelector("input");
    const started = valueOf(pad.attempt);
    const clock = watch(pad, {
        idle:
            started === null
                ? t("value.short_ms", { number: seconds(0, true) })
                : shortValue(started, "ms"),
        words: t("try.watch_idle"),
        running: t("try.watch_go"),
        done: (ms, words) => {
            const value = toResolution(Math.max(1, Math.round(ms)), activity.resolution || 100);
            input.value = plainNumber(value, "ms");
            words.textContent = t("try.watch_was", {
                number: plainNumber(value, "ms"),
                n: value / 1000
            });
            pad.change({ way: "total", value }, false);
            return plainNumber(value, "ms");
        }
    });
    return [clock, field];
}

export function padFor(pad) {
    return { zones: zonePad, successes: hitPad, timed_count: countPad, measure: measurePad }[
        pad.activity.kind
    ](pad);
}
