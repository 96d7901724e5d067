/* SPDX-License-Identifier: MIT
 * A child comes in with no connection: letters that could be a card's, then the picture on the card,
 * then whose challenges. The letters are not kept, nor anything made from them. Then: what is on its
 * way, and whether tries made so are the child's own. */

import { el, fill, banner } from "../dom.js";
import { current, signOut } from "../session.js";
import { picture, pictureName, pictureCount } from "../pictures.js";
import { t, own } from "../msg.js";
import { dayWords, errorWords } from "../words.js";
import { read, write, remove, refresh, lasts } from "./store.js";
import { state, kids, offlineSession, forgetChild, loadChallenge } from "./state.js";
import {
    asked,
    claim,
    held,
    isDue,
    waiting,
    flush,
    whyWords,
    takeBack,
    mayTakeBack,
    letGo,
    unknownId
} from "./queue.js";
import {
    register,
    go,
    swap,
    here,
    showHere,
    showSendStatus,
    next,
    second,
    plain
} from "./screens.js";

let letIn = false; /* letters that could be a card's were typed just now */

export function cameWithoutServer() {
    letIn = true;
    go("pick", {});
}

function pictureBeside(number, words) {
    return el("div", { class: "who" }, picture(number, "card-picture"), el("p", null, words));
}

function pickScreen() {
    if (!letIn) {
        window.setTimeout(() => swap("card", {}), 0);
    }
    const tile = (number) =>
        el(
            "button",
            {
                class: "tile picture-tile",
                type: "button",
                onclick: () => swap("yours", { number })
            },
            picture(number, "card-picture")
        );
    const tiles = Array.from({ length: pictureCount }, (x, i) => tile(i));
    return {
        title: t("offline.pick"),
        nodes: [
            el("p", null, t("offline.no_internet")),
            el("div", { class: "pictures" }, tiles)
        ]
    };
}

/* The children of this device with that picture, then a card that is new here, class by class. */
function whoCouldBe(number) {
    const all = kids().filter((kid) => kid.list.length);
    const known = all.filter((kid) => kid.picture === number);
    const classes = known.map((kid) => kid.class);
    const found = known.map((kid) => ({ kid, pupil: kid.id }));
    for (const kid of all) {
        if (kid.class && classes.indexOf(kid.class) < 0) {
            classes.push(kid.class);
            found.push({ kid, pupil: unknownId(number, kid.class) });
        }
    }
    return found;
}

function yoursScreen({ number }) {
    if (!letIn) {
        return pickScreen();
    }
    const enter = ({ kid, pupil }) => {
        letIn = false;
        forgetChild();
        state.session = offlineSession(kid, pupil, number);
        state.confirmed = true;
        swap("today", {});
    };
    const tile = (one) =>
        el(
            "li",
            null,
            el(
                "button",
                { class: "tile", type: "button", onclick: () => enter(one) },
                one.kid.list.map((c) =>
                    el("span", null, t("screen.where", { name: own(c.name), number: c.number }))
                )
            )
        );
    const found = whoCouldBe(number);
    return {
        title: t("offline.yours"),
        nodes: [
            pictureBeside(number, pictureName(number)),
            found.length
                ? el("ul", { class: "tiles" }, found.map(tile))
                : el("p", null, t("offline.nothing")),
            second(t("offline.not_these"), () => {
                letIn = false;
                state.notice = { kind: "careful", words: t("offline.nothing") };
                swap("card", {});
            })
        ]
    };
}

/* Leaves the page to the next child; what waits stays. A session that could not be ended is ended as
 * soon as there is a connection. True when it has been. */
export async function leave() {
    const { session } = state;
    forgetChild();
    state.after = null;
    if (!session || session.offline) {
        return true;
    }
    try {
        await signOut();
        return true;
    } catch (error) {
        write("out", {});
        return false;
    }
}

export async function toCard() {
    await leave();
    swap("card", {});
}

/* Ends at the server what could not be ended when the child left, and not the session of somebody who
 * is coming in meanwhile: hence the token of the one that was seen. */
export async function endOld() {
    await refresh();
    if (read("out")) {
        const old = await current(0, true);
        if (old) {
            await signOut(old.csrf_token);
        }
        await remove("out");
    }
}

/* To the thank-you page for an answer that has come. */
export async function toThanks(answer) {
    const detail = await loadChallenge(answer.challenge);
    const before = detail.hand_ins.filter(
        (h) =>
            h.id !== answer.id &&
            h.version === answer.version &&
            h.state === "counts" &&
            h.attempts.length > 1
    );
    state.result = {
        answer,
        activity: detail.activity,
        number: detail.number,
        last: before[before.length - 1] || null
    };
    delete state.details[detail.id];
    delete state.ready[detail.id];
    swap(answer.could_not ? "today" : "thanks", { id: detail.id });
}

/* On from the card: to where the child was, or to Today. */
export function onward() {
    const { after, session } = state;
    state.after = null;
    if (after && after.pupil === session.pupil && after.screen) {
        swap(after.screen.screen, after.screen.args);
    } else {
        swap("today", {});
    }
}

/* After "Are you ...?": first what waits here for this child. */
export function comeOn() {
    if (asked(state.session).length) {
        swap("mine", {});
    } else if (held(state.session.pupil).length) {
        swap("held", {});
    } else {
        onward();
    }
}

function itemWords(item) {
    return el(
        "p",
        null,
        el("strong", null, t("screen.where", { name: own(item.name), number: item.number })),
        el("br"),
        item.body.could_not ? [t("could.title"), el("br")] : null,
        dayWords(item.body.done_on)
    );
}

function mineScreen() {
    const { session } = state;
    const items = asked(session);
    const answer = (mine) => async () => {
        await claim(session, mine);
        return held(session.pupil).length ? swap("held", {}) : onward();
    };
    return {
        title: t("offline.mine"),
        nodes: [
            pictureBeside(session.picture, t("offline.made")),
            items.filter((item) => item.body).map(itemWords),
            next(
                t("offline.mine_yes"),
                answer(true),
                second(t("offline.mine_no"), answer(false))
            )
        ]
    };
}

/* Said wherever tries wait and this browser forgets them with the tab. */
export function keepsWords() {
    return lasts() ? null : el("p", null, t("store.tab"));
}

function heldBox(item, again) {
    if (!item.why) {
        return el("div", { class: "panel" }, itemWords(item));
    }
    const words = t(item.draft ? "offline.drop" : "offline.drop_could");
    const drop = plain(words, () =>
        fill(
            row,
            item.draft ? el("p", null, t("offline.drop_sure")) : null,
            plain(words, () => letGo(item).then(again))
        )
    );
    const row = el(
        "div",
        null,
        mayTakeBack(item)
            ? plain(t(item.draft ? "send.change" : "could.title"), async () => {
                  const id = item.body.challenge;
                  try {
                      await loadChallenge(id);
                  } catch (error) {
                      /* cancelled: with no challenge to change them on they stay here */
                      fill(row, el("p", null, errorWords(error, "childerror.")), drop);
                      return;
                  }
                  if (item.draft) {
                      await takeBack(item);
                      go("send", { id });
                  } else {
                      go("could_not", { id, instead: item.id });
                  }
              })
            : null,
        drop
    );
    return el(
        "div",
        { class: "panel panel-sun" },
        itemWords(item),
        el("p", null, whyWords(item)),
        el("p", null, t("offline.show")),
        row
    );
}

async function heldScreen(args) {
    const { session } = state;
    const there = () => {
        const done = state.done && state.done.id === args.send ? state.done : null;
        state.done = null;
        return done && toThanks(done).then(() => true);
    };
    if (await there()) {
        return null;
    }
    const box = el("div", { "aria-live": "polite" });
    const draw = (busy) => {
        /* with no connection no more than how many: nobody has shown a card that is theirs */
        const items = session.offline ? [] : held(session.pupil);
        const n = waiting(session.pupil).length;
        const late = waiting(session.pupil).find((item) => item.late);
        const later = session.offline
            ? t("offline.with_card")
            : late
              ? whyWords(late)
              : t("offline.goes");
        fill(
            box,
            n
                ? banner(
                      "careful",
                      el("p", null, el("strong", null, t("offline.to_send", { n }))),
                      el("p", null, busy ? t("send.sending") : later),
                      keepsWords()
                  )
                : null,
            items.map((item) =>
                heldBox(item, () => (held(session.pupil).length ? draw() : onward()))
            ),
            n || items.length ? null : banner("good", el("p", null, t("offline.sent"))),
            session.offline
                ? next(t("offline.put_card"), toCard, second(t("today.link"), onward))
                : n
                  ? next(t("send.again"), () => send(true), second(t("today.link"), onward))
                  : next(t("today.link"), onward)
        );
        showSendStatus();
    };
    const send = async (loud) => {
        draw(true);
        await flush(loud);
        if (state.session === session && !(await there())) {
            draw(false);
        }
    };
    send(false);
    return { title: t("offline.held"), nodes: [box] };
}

/* Sends by itself: when the connection comes back, when the page is looked at, and every minute. */
async function byItself() {
    const { session } = state;
    const place = here();
    const shown = place && place.screen;
    if (!session && read("out")) {
        await endOld().catch(() => undefined);
    }
    if (!session || !state.confirmed || !waiting(session.pupil).length) {
        return;
    }
    if (session.offline) {
        state.notice = { kind: "good", words: t("offline.back") };
    } else {
        await flush(false);
        showSendStatus();
    }
    if (state.session === session && here() === place && (shown === "held" || shown === "today")) {
        showHere();
    }
}

export function sendByItself() {
    const maybe = () => {
        if (navigator.onLine !== false && document.visibilityState !== "hidden") {
            const { session } = state;
            const due = session && !session.offline && waiting(session.pupil).some(isDue);
            if (due || (!session && read("out"))) {
                byItself();
            }
        }
    };
    window.addEventListener("online", byItself);
    document.addEventListener("visibilitychange", maybe);
    window.setInterval(maybe, 60000);
}

register("pick", pickScreen, { open: true });
register("yours", yoursScreen, { open: true });
register("mine", mineScreen);
register("held", heldScreen);
