/* SPDX-License-Identifier: MIT
 * Coming in: what becomes of a card's letters (door.js), "Are you ...?", Finish. */

import { el, banner } from "../dom.js";
import { picture, pictureName } from "../pictures.js";
import { spacedCode, mayBeCard, signIn } from "../session.js";
import { t } from "../msg.js";
import { cardNodes, hooks } from "./door.js";
import { state, forgetChild, kids } from "./state.js";
import { APART, unsent } from "./drafts.js";
import { forget, remove, keys } from "./store.js";
import { briefly, held, whyWords } from "./queue.js";
import { cameWithoutServer, comeOn, leave } from "./offline.js";
import { register, go, swap, next, second, plain, goBack } from "./screens.js";

const WAIT_MS = 8000; /* for an answer, where the device could do without */

/* Other tabs of this browser now belong to whoever came in here: they ask again. Keeps nothing. */
const TURN = "thrice.turn";

function sayTurn() {
    try {
        window.localStorage.setItem(TURN, "1");
        window.localStorage.removeItem(TURN);
    } catch (e) {
        return;
    }
}

window.addEventListener("storage", (event) => {
    if (event.key === TURN && event.newValue && state.session && !state.session.offline) {
        window.history.replaceState(null, "");
        window.location.reload();
    }
});

/* After a sign-in, by card or by QR code. */
export function cameIn(session) {
    sayTurn();
    remove("out");
    if (session.role === "carer") {
        window.location.assign("/c");
        return;
    }
    if (session.role === "staff") {
        window.location.assign("/staff");
        return;
    }
    forgetChild();
    state.session = session;
    swap("who", {});
}

/* Where a card has ended, it says too what stays here until the new one comes. */
export function signInWords(error) {
    const n = error.slug === "card-ended" && keys("send/").length;
    return whyWords({ why: briefly(error) }) + (n ? " " + t("offline.others", { n }) : "");
}

hooks.send = async (letters, say, empty) => {
    const mayStay = letters.length === 9 && kids().length > 0;
    try {
        cameIn(await signIn({ card: spacedCode(letters) }, mayStay ? WAIT_MS : 0));
    } catch (error) {
        if (!error.errors) {
            throw error;
        }
        if (!error.offline || !mayStay) {
            say(signInWords(error));
        } else if (mayBeCard(letters)) {
            empty();
            cameWithoutServer();
        } else {
            say(t("code.check_letter"));
        }
    }
};

function cardScreen() {
    return {
        title: t(state.after ? "card.again" : "card.title"),
        nodes: [state.after ? el("p", null, t("card.waits")) : null].concat(
            cardNodes(() => swap("card", {}))
        )
    };
}

/* How many challenges of this child are not sent, half-made ones too. */
function waits(pupil) {
    const apart = state.session.offline ? unsent(pupil + APART) : [];
    return unsent(pupil).concat(apart, held(pupil)).length;
}

function whoScreen() {
    const session = state.session;
    if (!session) {
        return cardScreen();
    }
    const yes = () => {
        state.confirmed = true;
        comeOn();
    };
    const no = async () => {
        const kept = waits(session.pupil);
        if (!kept) {
            await forget(session.pupil); /* what waits to be sent is another child's: it stays */
        }
        if (!(await leave())) {
            state.notice = { kind: "careful", words: t("who.offline") };
        } else if (kept) {
            state.notice = { kind: "careful", words: t("offline.others", { n: kept }) };
        }
        swap("card", {});
    };
    return {
        title: t("who.title", { name: session.display_name }),
        nodes: [
            el(
                "div",
                { class: "who" },
                picture(session.picture, "card-picture"),
                el(
                    "p",
                    null,
                    t("who.picture", { picture: pictureName(session.picture) })
                )
            )
        ].concat([next(t("who.yes"), yes, second(t("who.no"), no))])
    };
}

function finishScreen() {
    const { pupil } = state.session;
    const n = waits(pupil);
    const done = async () => {
        await forget(pupil);
        const ended = await leave();
        state.notice = {
            kind: ended ? "good" : "careful",
            words: t("finish.done") + (ended ? "" : " " + t("finish.offline"))
        };
        swap("card", {});
    };
    const stop = async () => {
        const ended = await leave();
        state.notice = {
            kind: "good",
            words: t("offline.stopped") + (ended ? "" : " " + t("finish.offline"))
        };
        swap("card", {});
    };
    const keep = t("offline.stop");
    if (!n) {
        return {
            title: t("finish.title"),
            nodes: [
                el("p", { class: "lead" }, t("finish.forgets")),
                next(t("finish.yes"), done, second(t("finish.not_yet"), goBack)),
                plain(keep, stop)
            ]
        };
    }
    /* offline nobody has shown a card that is theirs: what waits may be another's, and stays */
    const { offline } = state.session;
    return {
        title: t("finish.wait"),
        nodes: [
            banner(
                "careful",
                el("p", null, el("strong", null, t("finish.waiting", { n }))),
                offline ? null : el("p", null, t("finish.lost"))
            ),
            next(
                offline ? keep : t("finish.send"),
                offline ? stop : () => go(held(pupil).length ? "held" : "today"),
                offline ? null : second(keep, stop),
                second(t("finish.not_yet"), goBack),
                offline ? null : plain(t("finish.lose"), done)
            )
        ]
    };
}

register("card", cardScreen, { open: true });
register("who", whoScreen, { open: true });
register("finish", finishScreen);
