/* SPDX-License-Identifier: MIT
 * Today, what was sent for one challenge, "I made a mistake", my bests. */

import { get, post } from "../api.js";
import { el } from "../dom.js";
import { lanes, lanesOverTime, lanesTable } from "../lanes.js";
import {
    childStates,
    couldNotNames,
    dueSentence,
    dayWords,
    distance,
    longValue,
    plural,
    versionNames,
    errorWords
} from "../words.js";
import { state, loadToday, loadChallenge } from "./state.js";
import { loadDraft, hasTries } from "./drafts.js";
import { register, go, swap, next, second, plain, goBack } from "./screens.js";

/* Where a challenge goes on: half-made tries first, then what was sent, then the start. */
function open(challenge) {
    const draft = loadDraft(state.session.pupil, challenge.id);
    if (draft) {
        go(hasTries(draft) ? "try" : "ready", { id: challenge.id });
    } else {
        go(challenge.state === "not_yet" ? "version" : "sent", { id: challenge.id });
    }
}

const signs = {
    not_yet: "not_yet",
    handed_in: "handed_in",
    could_not: "could_not",
    to_check: "to_check"
};

function tile(challenge) {
    const draft = loadDraft(state.session.pupil, challenge.id);
    const words = hasTries(draft) ? "Not sent yet. Go on here." : childStates[challenge.state];
    const best =
        challenge.best === null || challenge.best === undefined
            ? null
            : el(
                  "span",
                  { class: "tile-note" },
                  "My best: ",
                  el("strong", null, longValue(challenge.best, challenge.unit))
              );
    return el(
        "li",
        null,
        el(
            "button",
            { class: "tile", type: "button", onclick: () => open(challenge) },
            el("span", { class: "tile-number" }, "Number " + challenge.number),
            el("span", { class: "tile-name" }, challenge.name),
            challenge.summary ? el("span", null, challenge.summary) : null,
            el("span", { class: "tile-note" }, dueSentence(challenge.due_at, state.today)),
            el(
                "span",
                { class: "state state-" + (hasTries(draft) ? "to_send" : signs[challenge.state]) },
                words
            ),
            best
        )
    );
}

async function todayScreen() {
    await loadToday();
    state.details = {};
    const list = state.challenges;
    const nodes = list.length
        ? [el("ul", { class: "tiles" }, list.map(tile))]
        : [
              el("p", { class: "lead" }, "There is no challenge just now."),
              el("p", null, "Come back when your teacher sets one.")
          ];
    return {
        title: "Today",
        before: el("p", { class: "where" }, state.session.class ? state.session.class.name : ""),
        nodes: nodes.concat([
            el(
                "p",
                { class: "small" },
                "Your teacher can see the tries you send. ",
                state.session.family_can_see ? "A grown-up at home can see them too." : null
            )
        ])
    };
}

function handInBlock(detail, handIn) {
    const version = detail.activity.versions.find((v) => v.id === handIn.version);
    const head = el("h2", null, dayWords(handIn.done_on));
    const what =
        version && detail.activity.versions.length > 1
            ? el("p", { class: "where" }, versionNames[version.kind])
            : null;
    if (handIn.could_not) {
        return el(
            "section",
            { class: "panel" },
            head,
            el("p", null, "You said: " + couldNotNames[handIn.could_not] + ". That is fine.")
        );
    }
    const notes = [];
    if (handIn.state === "to_check") {
        notes.push(el("p", { class: "state state-to_check" }, "Your teacher will look at it."));
    } else if (handIn.state === "set_aside") {
        notes.push(el("p", null, "Your teacher has put these aside."));
    }
    if (handIn.after_date) {
        notes.push(el("p", null, "You sent it after the date. It still counts."));
    }
    const mistake =
        handIn.state !== "set_aside" && !state.mistaken[handIn.id]
            ? plain("I made a mistake", () => go("mistake", { id: detail.id, hand_in: handIn.id }))
            : null;
    return el(
        "section",
        { class: "panel" },
        head,
        what,
        handIn.attempts.length
            ? lanes({
                  attempts: handIn.attempts,
                  best: handIn.best,
                  activity: detail.activity,
                  label: dayWords(handIn.done_on)
              })
            : null,
        notes,
        mistake
    );
}

async function sentScreen(args) {
    const detail = await loadChallenge(args.id);
    const mine = detail.hand_ins.slice().reverse();
    return {
        title: detail.activity.name,
        before: el("p", { class: "where" }, "Number " + detail.number),
        nodes: [
            mine.length
                ? mine.map((h) => handInBlock(detail, h))
                : el("p", null, "You have not sent any tries."),
            next(
                mine.length ? "Do it again" : "Start",
                () => go("version", { id: detail.id }),
                second("My challenges", () => go("today"))
            )
        ]
    };
}

async function mistakeScreen(args) {
    const detail = await loadChallenge(args.id);
    const handIn = detail.hand_ins.find((h) => h.id === args.hand_in);
    if (!handIn) {
        return sentScreen(args);
    }
    const done = async () => {
        try {
            await post("/hand-ins/" + encodeURIComponent(handIn.id) + "/mistake");
            state.mistaken[handIn.id] = true;
            state.notice = { kind: "good", words: "Thank you for saying. Your teacher will look." };
        } catch (error) {
            if (error.status === 401) {
                return;
            }
            state.notice = { kind: "careful", words: errorWords(error, "child") };
        }
        delete state.details[detail.id];
        swap("sent", { id: detail.id });
    };
    return {
        title: "I made a mistake",
        nodes: [
            lanes({ attempts: handIn.attempts, best: handIn.best, activity: detail.activity }),
            el("p", { class: "lead" }, "Is something wrong with these tries?"),
            el("p", null, "They will not count until your teacher looks."),
            el("p", null, "Then you can send the right ones."),
            next("Yes, it was a mistake", done, second("No, they are right", goBack))
        ]
    };
}

/* What changed, in words: first best, best now, steadier. */
function changeWords(line) {
    const { unit, lower_is_better: lower } = line.activity;
    const bests = line.hand_ins.filter((h) => h.best !== null).map((h) => h.best);
    if (!bests.length) {
        return [];
    }
    const first = bests[0],
        top = lower ? Math.min(...bests) : Math.max(...bests);
    const words = [];
    if (bests.length > 1 && first !== top) {
        words.push(
            "You started at " +
                longValue(first, unit) +
                ". Now your best is " +
                longValue(top, unit) +
                "."
        );
    } else {
        words.push("Your best is " + longValue(top, unit) + ".");
    }
    const spread = (h) => {
        const values = h.attempts.map((a) => a.value);
        return values.length > 1 ? Math.max(...values) - Math.min(...values) : null;
    };
    const spreads = line.hand_ins.map(spread).filter((s) => s !== null);
    if (spreads.length > 1 && spreads[spreads.length - 1] < spreads[0]) {
        words.push("Your tries are closer together now. That is steadier.");
    }
    return words;
}

async function bestsScreen() {
    const answer = await get("/me/bests");
    const lines = answer.lines.filter((line) => line.hand_ins.length);
    const nodes = lines.map((line) =>
        el(
            "section",
            { class: "panel" },
            el("h2", null, line.activity.name),
            el("p", { class: "where" }, versionNames[line.version.kind]),
            lanesOverTime({ line, last: 6 }),
            changeWords(line).map((w) => el("p", null, w)),
            line.best && line.best.distance_mm
                ? el("p", null, "You did it from " + distance(line.best.distance_mm) + ".")
                : null,
            line.activity.lower_is_better
                ? el("p", { class: "small" }, "Further along the lane is quicker.")
                : null,
            el(
                "details",
                null,
                el(
                    "summary",
                    null,
                    "Show the numbers (" + plural(line.hand_ins.length, "time", "times") + ")"
                ),
                el(
                    "div",
                    { class: "table-box", tabindex: "0", role: "region", "aria-label": "Numbers" },
                    lanesTable(line)
                )
            )
        )
    );
    return {
        title: "My bests",
        nodes: [
            el("p", null, "This is you, this school year. Nobody else."),
            nodes.length
                ? nodes
                : el("p", { class: "lead" }, "Send some tries first. Then they show here."),
            next("My challenges", () => go("today"))
        ]
    };
}

register("today", todayScreen);
register("sent", sentScreen);
register("mistake", mistakeScreen);
register("bests", bestsScreen);
