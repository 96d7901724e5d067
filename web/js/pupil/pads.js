/* SPDX-License-Identifier: MIT
 * How one try goes in, a pad per kind. A pad gets {activity, attempt, index, change(attempt, all),
 * leaving(fn), enter()} and returns nodes. change(.., true) draws the pad anew, change(.., false) only what
 * is around it, so that a field being typed in keeps its place. */

import { el, announce } from "../dom.js";
import { plainNumber, readValue, toResolution } from "../words.js";
import { goes, isWhole, valueOf } from "./score.js";

function throwsOf(attempt) {
    return attempt && attempt.way === "throws" ? attempt.throws : [];
}

function made(throws, total, mark) {
    const items = [];
    for (let i = 0; i < total; i += 1) {
        items.push(
            i < throws.length
                ? el("li", null, mark(throws[i]))
                : el("li", { class: "to-come" }, el("span", { class: "only-read" }, "to come"))
        );
    }
    return el("ol", { class: "throws", "aria-label": "Throws so far" }, items);
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
                announce("Undone");
            }
        },
        "Undo"
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
            input.value.trim() !== "" && got === null ? "Just a number, please." : "";
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
                      "aria-label": "One less",
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
                      "aria-label": "One more",
                      onclick: () => bump(1)
                  },
                  "+"
              )
          ]
        : [input, el("span", null, { ms: "seconds", mm: "cm" }[unit] || "")];
    return el(
        "div",
        { class: "field" },
        el("label", { for: id }, o.label),
        el("div", { class: "count-row" }, steps),
        says
    );
}

function zonePad(pad) {
    const { activity, attempt } = pad;
    const n = goes(activity);
    if (attempt && attempt.way === "total") {
        return [
            typed(pad, { label: "What was the total?", bump: true }),
            otherWay(pad, "Tap each throw instead", null)
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
                        z.name +
                            ", " +
                            z.points +
                            ". Throw " +
                            (throws.length + 1) +
                            " of " +
                            n +
                            "."
                    );
                }
            },
            el("span", null, z.name),
            el("span", { class: "points" }, z.points === 0 ? "0" : "+" + z.points)
        );
    return [
        el(
            "p",
            { class: "lead" },
            full
                ? "All " + n + " throws are in."
                : "Throw " + (throws.length + 1) + " of " + n + ". Where did it stop?"
        ),
        el(
            "div",
            { class: "zone-pad", role: "group", "aria-label": "Zones" },
            activity.zones.map(zone)
        ),
        el(
            "div",
            { class: "throws-row" },
            made(throws, n, (p) => String(p)),
            undo(pad, throws)
        ),
        throws.length ? null : otherWay(pad, "I know the total", { way: "total", value: null })
    ];
}

function hitPad(pad) {
    const { activity, attempt } = pad;
    const n = goes(activity);
    if (attempt && attempt.way === "total") {
        return [
            typed(pad, { label: "How many, out of " + n + "?", bump: true }),
            otherWay(pad, "Tap each one instead", null)
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
                    announce(words + ". " + (throws.length + 1) + " of " + n + ".");
                }
            },
            el("span", null, words),
            el("span", { class: "points", "aria-hidden": "true" }, worth ? "\u2713" : "\u2013")
        );
    return [
        el(
            "p",
            { class: "lead" },
            full
                ? "That is this try done."
                : "Number " + (throws.length + 1) + " of " + n + ". Did you do it?"
        ),
        el(
            "div",
            { class: "zone-pad hit-pad", role: "group", "aria-label": "Yes or no" },
            hit(1, "Yes"),
            hit(0, "Not this time")
        ),
        el(
            "div",
            { class: "throws-row" },
            made(throws, n, (p) =>
                p
                    ? el("span", null, "\u2713", el("span", { class: "only-read" }, "yes"))
                    : el("span", null, "\u2013", el("span", { class: "only-read" }, "no"))
            ),
            undo(pad, throws)
        ),
        throws.length ? null : otherWay(pad, "I know the total", { way: "total", value: null })
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
    return tenths ? (Math.floor(ms / 100) / 10).toFixed(1) : String(Math.floor(ms / 1000));
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
        button.textContent = "Start again";
        face.textContent = o.done(ms, words) + " s";
    };
    const tick = () => {
        const ms = window.performance.now() - from;
        if (o.until && ms >= o.until) {
            beep();
            stop(o.until);
            return;
        }
        face.textContent = seconds(ms, !o.until) + " s";
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
                button.textContent = "Stop";
                words.textContent = o.running;
                tick();
            }
        },
        "Start"
    );
    pad.leaving(() => window.clearInterval(timer));
    return el("div", { class: "watch panel" }, words, face, button);
}

function countPad(pad) {
    const { seconds: length } = pad.activity;
    const field = typed(pad, { label: "How many did you do?", bump: true });
    const clock = watch(pad, {
        idle: length + " s",
        until: length * 1000,
        words: "You have " + length + " seconds. Start when you like.",
        running: "Go! Count out loud.",
        done: (ms, words) => {
            words.textContent =
                ms >= length * 1000
                    ? "Stop! How many did you count?"
                    : "You stopped early. That is fine.";
            return seconds(ms, ms < length * 1000);
        }
    });
    return [clock, field];
}

function measurePad(pad) {
    const { activity } = pad;
    if (activity.unit !== "ms") {
        return [typed(pad, { label: "How many centimetres?" })];
    }
    const field = typed(pad, { label: "Or type the seconds" });
    const input = field.querySelector("input");
    const started = valueOf(pad.attempt);
    const clock = watch(pad, {
        idle: started === null ? "0.0 s" : plainNumber(started, "ms") + " s",
        words: "Start the watch, then do it.",
        running: "Stop when you are done.",
        done: (ms, words) => {
            const value = toResolution(Math.max(1, Math.round(ms)), activity.resolution || 100);
            input.value = plainNumber(value, "ms");
            words.textContent = "That was " + plainNumber(value, "ms") + " seconds.";
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
