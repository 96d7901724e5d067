/* SPDX-License-Identifier: MIT
 * What every staff page shares: who is signed in, the bar at the top, and how a failure is said.
 * A page calls start(render); render gets {session, params, body, title(text)}. */

import { get, onSignedOut, sessionEnded, ApiError } from "../api.js";
import { el, fill, byId, banner } from "../dom.js";
import { speak } from "../msg.js";
import { current, signOut, reloadWhenBroughtBack } from "../session.js";
import { sentenceFor, isWhole, InputError } from "./words.js";
import { HELP } from "./help-words.js";
import { changesBanner } from "./change-words.js";
import { lockAll } from "./hall-kept.js";

export function has(session, right) {
    return session.rights.indexOf(right) >= 0;
}

export function teaches(session, classId) {
    return session.classes.some((c) => c.right === "teach" && (!classId || c.id === classId));
}

/* The right on one class: teach, help, read or null. */
export function rightOn(session, classId) {
    const found = session.classes.find((c) => c.id === classId);
    return found ? found.right : null;
}

export function mayReadMessages(session) {
    return has(session, "safeguarding") || teaches(session);
}

function navigation(session) {
    const here = window.location.pathname;
    const link = (path, text) => el("a", { href: path, "aria-current": here === path ? "page" : null }, text);
    return el("nav", { class: "top-nav", "aria-label": "Main" },
        link("/staff", "Home"),
        link("/staff/activities", "Activities"),
        mayReadMessages(session) ? link("/staff/messages", "Messages") : null,
        link("/staff/school", "School"),
        link("/staff/account", session.display_name),
        el("button", { class: "button-plain", type: "button", onclick: finish }, "Sign out"));
}

let finishing = [];

/* `fn` runs before this person signs out, and is waited for: the moment to send what waits. What it throws keeps
 * the person signed in and is said. */
export function beforeSignOut(fn) {
    finishing.push(fn);
}

/* Between this person's pages on the device: when one signs out, all are over. */
const others = typeof BroadcastChannel === "function" ? new BroadcastChannel("thrice-staff") : null;

async function finish() {
    try {
        for (const fn of finishing) {
            await fn();
        }
        await lockAll().catch(() => undefined);
        await signOut();
        if (others) {
            others.postMessage("signed out");
        }
    } catch (error) {
        showError(error);
        return;
    }
    window.location.assign("/staff");
}

/* Says a failure at the top of the page, in words; the page stays as it is. */
export function showError(error) {
    const old = byId("problem");
    if (old) {
        old.remove();
    }
    const parts = error instanceof ApiError ? error.errors.filter((e) => !isWhole(error, e)) : [];
    const box = banner("wrong", el("p", null, sentenceFor(error)),
        parts.length ? el("ul", null, parts.slice(0, 8).map((e) => el("li", null, sentenceFor(error, e)))) : null);
    box.id = "problem";
    byId("title").after(box);
    box.scrollIntoView({ block: "nearest" });
    if (!(error instanceof ApiError) && !(error instanceof InputError)) {
        throw error;
    }
}

export function clearError() {
    const old = byId("problem");
    if (old) {
        old.remove();
    }
}

/* A button that runs `work` once at a time and shows what went wrong. */
export function action(text, work, props) {
    const button = el("button", { type: "button", class: "button", ...props }, text);
    button.addEventListener("click", async () => {
        if (button.getAttribute("aria-disabled") === "true") {
            return;
        }
        button.setAttribute("aria-disabled", "true");
        clearError();
        try {
            await work(button);
        } catch (error) {
            showError(error);
        } finally {
            button.removeAttribute("aria-disabled");
        }
    });
    return button;
}

/* A form that never leaves the page: `work(form)` runs on submit. */
export function form(props, work, ...children) {
    const node = el("form", { novalidate: true, ...props }, ...children);
    node.addEventListener("submit", async (event) => {
        event.preventDefault();
        if (node.getAttribute("aria-busy") === "true") {
            return;
        }
        node.setAttribute("aria-busy", "true");
        clearError();
        try {
            await work(node);
        } catch (error) {
            showError(error);
        } finally {
            node.removeAttribute("aria-busy");
        }
    });
    return node;
}

export function notice(text) {
    const box = banner("good", el("p", null, text));
    box.setAttribute("role", "status");
    clearError();
    box.id = "problem";
    byId("title").after(box);
}

let leaving = [];

/* `fn` runs before the page is left because the session has ended: the moment to keep what waits. */
export function beforeSignIn(fn) {
    leaving.push(fn);
}

/* Away from this page for good, by `go()`. */
export function leaveFor(go) {
    leaving.forEach((fn) => fn());
    leaving = [];
    go();
}

/* The sign-in page, and back here from it. */
export function toSignIn() {
    window.location.replace("/staff?next=" + encodeURIComponent(window.location.pathname + window.location.search));
}

export function signInFirst() {
    leaveFor(toSignIn);
}

let returning = [];

/* `fn` runs when the session had ended and the same person has signed in again on the page. */
export function whenBack(fn) {
    returning.push(fn);
}

/* What happens when the session ends: the page asks for a new one where it can, once; else it is left. */
function endsWith(again, session) {
    let asking = false;
    if (!again) {
        return signInFirst;
    }
    if (others) {
        others.onmessage = () => sessionEnded();
    }
    return async () => {
        if (!asking) {
            asking = true;
            await again(session);
            asking = false;
            returning.forEach((fn) => fn());
        }
    };
}

/* Where to go after signing in: a staff page of this server, never another address. */
export function nextPage() {
    const wanted = new URLSearchParams(window.location.search).get("next") || "";
    return /^\/staff\/[a-z]+(\?[A-Za-z0-9=&_-]*)?$/.test(wanted) ? wanted : null;
}

export function titled(text, note) {
    const heading = byId("title");
    fill(heading, text);
    document.title = text + " · Thrice";
    if (note) {
        heading.appendChild(el("span", { class: "title-note" }, note));
    }
}

function helpBox() {
    const words = HELP[window.location.pathname.replace(/^\/staff\/?/, "")];
    return words ? el("details", { class: "page-help no-print" }, el("summary", null, "What this page is for"), el("p", null, words)) : "";
}

/* options: {signIn(body), local(body, {reached, params}), again(session)}: what to show instead when nobody is signed
 * in; `local` runs first, and when the server does not answer too, and says whether it has shown something; `again`
 * is signInAgain of sign-in-again.js on a page that stays when the session ends. */
export async function start(render, options) {
    const wanted = options || {};
    const body = byId("body");
    const params = new URLSearchParams(window.location.search);
    const local = async (reached) => Boolean(wanted.local) && wanted.local(body, { reached, params });
    reloadWhenBroughtBack();
    let session;
    try {
        await speak("en");
        session = await current();
    } catch (error) {
        if (await local(false)) {
            return;
        }
        fill(body, el("p", null, "The server does not answer. Check the connection and load the page again."));
        return;
    }
    if (!session || session.role !== "staff") {
        if (await local(true)) {
            return;
        }
        if (wanted.signIn) {
            wanted.signIn(body);
        } else {
            signInFirst();
        }
        return;
    }
    onSignedOut(endsWith(wanted.again, session));
    byId("top").appendChild(navigation(session));
    if (session.must_change && window.location.pathname !== "/staff/account") {
        window.location.replace("/staff/account");
        return;
    }
    byId("title").after(changesBanner(session) || "", helpBox());
    try {
        await render({ session, params, body });
    } catch (error) {
        fill(body);
        showError(error);
    }
}

export async function classById(id) {
    return get("/classes/" + encodeURIComponent(id));
}
