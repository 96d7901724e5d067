/* SPDX-License-Identifier: MIT
 * Home: an empty school is led through four steps that tick themselves; a running one sees its
 * classes at a glance. Signing in happens here too. */

import { get, post } from "../api.js";
import { el, fill, byId, banner, focusOn } from "../dom.js";
import { field } from "../field.js";
import { start, titled, form, has, nextPage, showError, clearError } from "./shell.js";
import { count } from "./words.js";
import { keptMarks, keptWords } from "./kept.js";
import { items, mayKeep } from "./hall-kept.js";
import { keptPlaces } from "./kept-text.js";
import { signInForm } from "./sign-in-form.js";

function signInPage(body) {
    titled("Sign in");
    const ask = signInForm({ signed: () => window.location.replace(nextPage() || "/staff"), failed: showError, clear: clearError });
    const kept = keptMarks();
    fill(body, kept ? banner("careful", el("p", null, "The session of " + kept.who + " ended. " + keptWords(kept.marks.length) + " not saved yet: kept in this tab, and sent once " + kept.who + " has signed in again here.")) : null,
        el("p", { class: "quiet" }, "For staff. Children and families come in with their card."),
        ask,
        el("p", { class: "small" }, "Passphrase lost? The office issues a new one."),
        el("p", { class: "small" }, el("a", { href: "/" }, "A child's card"), " · ", el("a", { href: "/c" }, "A family card"), " · ",
            el("a", { href: "/privacy" }, "What is held")));
    ask.begin();
}

function step(done, text, why) {
    return el("li", { class: done ? "done" : null }, text, done ? el("span", { class: "only-read" }, " (done)") : null, el("span", { class: "hint" }, why));
}

function steps(home, first) {
    const s = home.steps;
    const link = (href, text) => el("a", { href }, text);
    const id = first ? first.id : "";
    return el("section", { class: "panel panel-sun", "aria-labelledby": "begin" },
        el("h2", { id: "begin" }, "Four steps to the first tries"),
        el("ol", { class: "steps" },
            step(s.class_list, link("/staff/list" + (id ? "?class=" + id : ""), "Class list"), "Paste or upload names. Nothing else is kept."),
            step(s.cards, id ? link("/staff/cards?class=" + id, "Cards") : "Cards", "Print a card for every child."),
            step(s.activity_set, link("/staff/activities", "Set an activity"), "Choose one of the activities and the classes."),
            step(s.tried, link("/", "Try it as a child"), "Sign out here first, then use a printed card's code.")));
}

function classTile(c) {
    const done = c.expected ? c.handed_in + " of " + c.expected + " hand-ins" : "nothing set";
    return el("li", null, el("a", { class: "tile", href: "/staff/class?id=" + c.id },
        el("span", { class: "tile-name" }, c.name),
        el("span", null, c.open ? count(c.open, "open challenge", "open challenges") : "No open challenge"),
        c.open ? el("span", null, done) : null,
        el("span", { class: "tile-note" }, count(c.pupils, "pupil", "pupils") + (c.kind === "group" ? " · group" : "") +
            (c.right && c.right !== "teach" ? " · you " + c.right : "")),
        c.to_check ? el("span", { class: "state state-to_check" }, count(c.to_check, "to check", "to check")) : null));
}

function newClass(session) {
    const name = field({ label: "Name of the class or group", name: "name", type: "text", maxlength: "40" });
    const kind = field({ label: "Kind", name: "kind", choices: [{ value: "class", text: "a class" }, { value: "group", text: "a teaching group across classes" }], value: "class" });
    return el("details", { class: "panel" }, el("summary", null, "Add a class or group"),
        form(null, async () => {
            const made = await post("/classes", { name: name.control.value, kind: kind.control.value });
            window.location.assign("/staff/list?class=" + made.class.id);
        }, name, kind, el("div", { class: "buttons" }, el("button", { class: "button" }, "Add"))));
}

function messagesLine(messages) {
    if (!messages.may_see || !messages.waiting) {
        return null;
    }
    return banner("careful", el("p", null, el("a", { href: "/staff/messages" },
        count(messages.waiting, "message from a child is waiting", "messages from children are waiting"))),
        el("p", { class: "small" }, "Nobody is alerted outside this page. Look each school day."));
}

/* Marks of a session that ended; only the person who made them may send them. */
function keptLine(session) {
    const kept = keptMarks();
    if (!kept) {
        return null;
    }
    return banner("careful", kept.who === session.display_name
        ? el("p", null, el("a", { href: kept.where }, keptWords(kept.marks.length) + " not saved yet"), ": open the page, and they are sent.")
        : el("p", null, keptWords(kept.marks.length) + " of " + kept.who + " not saved yet. They stay in this tab and are sent only when " + kept.who + " signs in here."));
}

function checkLine(n) {
    return n ? el("p", null, el("a", { href: "/staff/check" }, count(n, "hand-in to check", "hand-ins to check"))) : null;
}

/* Made in the hall on this device and not sent: the page sends it once its maker is signed in. */
async function hallLine(session) {
    const left = mayKeep() ? await items(session.staff).catch(() => []) : [];
    return left.length ? banner("careful", el("p", null, el("a", { href: "/staff/hall" }, count(left.length, "thing", "things") + " from the hall not sent yet"), ": open the page, and they are sent.")) : null;
}

/* Typed on this device and not at the server: each page offers its own back. */
async function textLine(session) {
    const places = await keptPlaces(session);
    return places.length ? banner("careful", el("p", null, "What you typed is kept on this device and not saved yet. Open the page, and it goes on: ",
        places.map((p, i) => [i ? ", " : "", el("a", { href: p.where }, p.n === 1 ? "1 text" : p.n + " texts")]), ".")) : null;
}

function secondLine(waiting) {
    return waiting ? banner("careful", el("p", null, el("a", { href: "/staff/second" },
        count(waiting, "child waits for your second view", "children wait for your second view")))) : null;
}

start(async ({ session, body }) => {
    const next = nextPage();
    if (next) {
        window.location.replace(next);
        return;
    }
    const home = await get("/home");
    titled(home.school_name);
    const all = home.steps.class_list && home.steps.cards && home.steps.activity_set && home.steps.tried;
    const first = home.classes[0];
    const mayAdd = has(session, "office") || session.classes.some((c) => c.right === "teach");
    fill(body, keptLine(session), await hallLine(session), await textLine(session), messagesLine(home.messages), secondLine(home.second_views), checkLine(home.to_check), all ? null : steps(home, first),
        el("h2", null, "Classes"),
        home.classes.length ? el("p", { class: "link" }, el("a", { href: "/staff/term" }, "The term, week by week")) : null,
        home.classes.length ? el("ul", { class: "tiles" }, home.classes.map(classTile))
            : el("p", null, mayAdd ? "No class yet. Add the first one here." : "You have no class yet. The office gives you one."),
        mayAdd ? newClass(session) : null);
    if (!home.classes.length && mayAdd) {
        body.querySelector("details").open = true;
    }
    focusOn(byId("title"));
}, { signIn: signInPage }).catch(showError);
