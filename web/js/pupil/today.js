/* SPDX-License-Identifier: MIT
 * Today, what was sent for one challenge, "I made a mistake", my bests. */

import { get, post } from "../api.js";
import { el, banner } from "../dom.js";
import { lanes, lanesOverTime, lanesTable } from "../lanes.js";
import { t, own } from "../msg.js";
import { figure } from "../figures.js";
import { activityPose } from "../kit.js";
import {
    dueSentence,
    dayWords,
    longValue,
    bestsWords,
    pointsWords,
    errorWords
} from "../words.js";
import { state, loadToday, loadChallenge, familySees, needServer } from "./state.js";
import { loadDraft, hasTries } from "./drafts.js";
import { held } from "./queue.js";
import { keepsWords } from "./offline.js";
import { register, go, swap, next, second, plain, goBack } from "./screens.js";

function onItsWay(challenge) {
    return held(state.session.pupil).some((item) => item.body.challenge === challenge.id);
}

/* Where a challenge goes on: half-made tries first, then what was sent, then the start. */
function open(challenge) {
    const draft = loadDraft(state.session.pupil, challenge.id);
    if (draft) {
        go(hasTries(draft) ? "try" : "ready", { id: challenge.id });
    } else if (onItsWay(challenge)) {
        go("held");
    } else {
        const sent = challenge.state && challenge.state !== "not_yet";
        go(sent ? "sent" : "version", { id: challenge.id });
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
    const stays = hasTries(draft) || onItsWay(challenge);
    const words = hasTries(draft)
        ? t("today.go_on")
        : stays
          ? t("offline.waits")
          : challenge.state && t("state." + challenge.state);
    const sign = stays ? "to_send" : signs[challenge.state];
    const best =
        challenge.best === null || challenge.best === undefined
            ? null
            : el(
                  "span",
                  { class: "tile-note" },
                  t("today.best") + " ",
                  el("strong", null, longValue(challenge.best, challenge.unit))
              );
    return el(
        "li",
        null,
        el(
            "button",
            { class: "tile tile-day", type: "button", onclick: () => open(challenge) },
            el("span", { class: "pics" }, figure(activityPose(challenge), challenge.number)),
            el("span", { class: "tile-number" }, t("screen.number", { number: challenge.number })),
            el("span", { class: "tile-name" }, own(challenge.name)),
            challenge.summary ? el("span", null, own(challenge.summary)) : null,
            el("span", { class: "tile-note" }, dueSentence(challenge.due_at, state.today)),
            words
                ? el("span", { class: "state state-" + sign }, words)
                : null,
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
              el("p", { class: "lead" }, t("today.none")),
              el("p", null, t("today.come_back"))
          ];
    const n = held(state.session.pupil).length;
    const kept = state.old
        ? banner(
              "careful",
              el("p", null, t("offline.from", { day: dayWords(state.old) })),
              keepsWords()
          )
        : null;
    const row = n ? next(t("offline.look", { n }), () => go("held")) : null;
    return {
        title: t("today.title"),
        before: el("p", { class: "where" }, state.session.class ? el("bdi", null, state.session.class.name) : ""),
        nodes: [kept, row].concat(nodes).concat([
            el(
                "p",
                { class: "small" },
                t("today.teacher_sees") + " ",
                familySees()
            )
        ])
    };
}

function handInBlock(detail, handIn) {
    const version = detail.activity.versions.find((v) => v.id === handIn.version);
    const head = el("h2", null, dayWords(handIn.done_on));
    const what =
        version && detail.activity.versions.length > 1
            ? el("p", { class: "where" }, t("kind." + version.kind))
            : null;
    if (handIn.could_not) {
        return el(
            "section",
            { class: "panel" },
            head,
            el("p", null, t("sent.could_not", { reason: t("reason." + handIn.could_not) }))
        );
    }
    const notes = [];
    if (handIn.state === "to_check") {
        notes.push(el("p", { class: "state state-to_check" }, t("sent.to_check")));
    } else if (handIn.state === "set_aside") {
        notes.push(el("p", null, t("sent.set_aside")));
    }
    if (handIn.after_date) {
        notes.push(el("p", null, t("sent.after_date")));
    }
    const mistake =
        handIn.state !== "set_aside" && !state.mistaken[handIn.id]
            ? plain(t("mistake.title"), () => go("mistake", { id: detail.id, hand_in: handIn.id }))
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
        title: own(detail.activity.name),
        before: el("p", { class: "where" }, t("screen.number", { number: detail.number })),
        nodes: [
            mine.length
                ? mine.map((h) => handInBlock(detail, h))
                : el("p", null, t("sent.none")),
            next(
                t(mine.length ? "sent.again" : "sent.start"),
                () => go("version", { id: detail.id }),
                second(t("today.link"), () => go("today"))
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
            state.notice = { kind: "good", words: t("mistake.thanks") };
        } catch (error) {
            if (error.status === 401) {
                return;
            }
            state.notice = { kind: "careful", words: errorWords(error, "childerror.") };
        }
        delete state.details[detail.id];
        swap("sent", { id: detail.id });
    };
    return {
        title: t("mistake.title"),
        nodes: [
            lanes({ attempts: handIn.attempts, best: handIn.best, activity: detail.activity }),
            el("p", { class: "lead" }, t("mistake.wrong")),
            el("p", null, t("mistake.not_count")),
            el("p", null, t("mistake.then")),
            next(t("mistake.yes"), done, second(t("mistake.no"), goBack))
        ]
    };
}

/* How far apart a day's tries lay; only days at the latest day's distance are compared. */
function spreads(line) {
    const days = line.hand_ins.filter((h) => h.attempts.length > 1);
    const where = (h) => h.attempts.map((a) => a.distance_mm || 0).join();
    const last = days[days.length - 1];
    return days
        .filter((h) => where(h) === where(last))
        .map((h) => h.attempts.map((a) => a.value))
        .map((values) => Math.max(...values) - Math.min(...values));
}

/* What changed, in words: a number, a point met, a steadier line. */
function changeWords(line) {
    const { unit } = line.activity;
    const words = [];
    if (line.first_value !== null) {
        words.push(
            t("bests.grew", { first: longValue(line.first_value, unit), best: bestsWords(line) })
        );
    } else if (line.bests.length) {
        words.push(t("bests.best", { best: bestsWords(line) }));
    }
    if (line.new_points.length) {
        words.push(t("bests.met", { points: pointsWords(line.new_points) }));
    }
    const apart = spreads(line);
    if (apart.length > 1 && apart[apart.length - 1] < apart[0]) {
        words.push(t("bests.steadier"));
    }
    return words;
}

async function bestsScreen() {
    needServer();
    const answer = await get("/me/bests");
    const lines = answer.lines.filter((line) => line.hand_ins.length);
    const nodes = lines.map((line) =>
        el(
            "section",
            { class: "panel" },
            el("h2", null, own(line.activity.name)),
            el("p", { class: "where" }, t("kind." + line.version.kind)),
            lanesOverTime({ line, last: 6 }),
            changeWords(line).map((w) => el("p", null, w)),
            line.activity.lower_is_better
                ? el("p", { class: "small" }, t("bests.quicker"))
                : null,
            el(
                "details",
                null,
                el(
                    "summary",
                    null,
                    t("bests.numbers", { n: line.hand_ins.length })
                ),
                el(
                    "div",
                    { class: "table-box", tabindex: "0", role: "region", "aria-label": t("bests.table") },
                    lanesTable(line)
                )
            )
        )
    );
    return {
        title: t("bests.title"),
        nodes: [
            el("p", null, t("bests.you")),
            nodes.length
                ? nodes
                : el("p", { class: "lead" }, t("bests.none")),
            next(t("today.link"), () => go("today"))
        ]
    };
}

register("today", todayScreen);
register("sent", sentScreen);
register("mistake", mistakeScreen);
register("bests", bestsScreen);
