/* SPDX-License-Identifier: MIT
 * In the hall: one class, one challenge, one hour, on a tablet that may have no connection. The hour is
 * begun while signed in and connected; from then on the page needs nobody until it is over, and then it
 * is locked: the names are gone, and what was made is sent once the same person is signed in. */

import { get, onSignedOut } from "../api.js";
import { el, fill, banner, announce } from "../dom.js";
import { current } from "../session.js";
import { start, titled, rightOn, action, signInFirst } from "./shell.js";
import { count, sentenceFor } from "./words.js";
import { HOUR_MS, dropItem, hourKey, hours, items, keepHour, keepItem, lock, mayKeep, runs } from "./hall-kept.js";
import { sender, status } from "./hall-send.js";
import { hallSheet } from "./hall-sheet.js";

const LOOK_MS = 5000;
const ASK_MS = 15000;
const WORKER = "/staff/hall-sw.js";

function clock(ms) {
    return new Date(ms).toLocaleTimeString("en-GB", { hour: "2-digit", minute: "2-digit" });
}

/* The one Trusted Types policy of this page: it lets through this one address. */
function workerAddress() {
    if (!window.trustedTypes) {
        return WORKER;
    }
    return window.trustedTypes.createPolicy("sw", { createScriptURL: (url) => {
        if (url !== WORKER) {
            throw new TypeError(url);
        }
        return url;
    } }).createScriptURL(WORKER);
}

/* Says when the page would open without a connection. */
async function readyWithout(says) {
    const worker = navigator.serviceWorker;
    if (!worker) {
        fill(says, "This browser keeps what you tap, but cannot open the page again without a connection: leave it open.");
        return;
    }
    try {
        await worker.register(workerAddress(), { scope: "/staff/hall" });
        await worker.ready;
        fill(says, "Ready without Wi-Fi.");
    } catch (error) {
        fill(says, "Not ready without Wi-Fi yet: leave the page open.");
    }
}

/* Sending -------------------------------------------------------------------------------------- */

/* How what was made stands, and what to do about it. */
class Standing {
    constructor(staff, changed) {
        this.staff = staff;
        this.changed = changed;
        this.names = {};
        this.line = el("p", { class: "saved-line", role: "status" });
        this.wrong = el("div");
        this.node = el("div", { class: "no-print" }, this.line, this.wrong);
        this.sender = null;
        this.some = false;          /* nothing made, nothing to say */
        this.asking = false;
        this.asked = 0;             /* when the server was last asked who is signed in, and what it said */
        this.error = null;
    }

    /* Signed in as this person, as far as known: send. */
    signedIn() {
        if (!this.sender) {
            this.sender = sender({ staff: this.staff, told: (status) => this.told(status) });
        }
        this.sender.now();
    }

    async told({ waiting, making, refused, error }) {
        const out = Boolean(error) && error.status === 401;
        this.some = this.some || Boolean(waiting || making || refused.length);
        if (out && this.sender) {
            this.sender.stop();
            this.sender = null;
            this.error = error;
            this.asked = Date.now();
        }
        this.line.classList.toggle("saved-line-wrong", out);
        fill(this.line, waiting ? count(waiting, "thing is", "things are") + " kept on this tablet and not sent yet. " : making ? "Everything finished is sent. " : this.some ? "Everything is sent." : "",
            making ? "Tries of " + count(making, "child are", "children are") + " not finished. " : null,
            waiting && out ? [el("span", null, "You are signed out. "), el("a", { class: "button-second", href: "/staff?next=" + encodeURIComponent(window.location.pathname + window.location.search) }, "Sign in to send")]
                : waiting && error ? ["No connection: it goes by itself when there is one. ", el("button", { type: "button", class: "button-plain", onclick: () => this.look() }, "Try now")] : null);
        fill(this.wrong, refused.map((item) => this.refusal(item)));
        this.changed(await items(this.staff));
    }

    refusal(item) {
        const name = this.names[item.pupil] || "A child of the class";
        const what = item.type === "mark" ? "a teaching point" : "tries";
        const surprising = item.why.slug === "confirm" || (item.why.errors || []).some((e) => /^confirm/.test(e.code));
        const sorted = async (work) => {
            await work();
            await this.look();
        };
        return banner("careful", el("p", null, name + ", " + what + ": " + (surprising ? "surprising for this child. Is it right?" : sentenceFor(item.why))),
            el("div", { class: "buttons" },
                surprising ? action("Yes, send it", () => sorted(() => keepItem({ ...item, why: null, body: { ...item.body, confirmed: true } }))) : action("Try once more", () => sorted(() => keepItem({ ...item, why: null }))),
                action("Leave it out", () => sorted(() => dropItem(item.id)), { class: "button-second" })));
    }

    /* A tap was kept. */
    async made() {
        if (this.sender) {
            this.changed(await items(this.staff));
            this.sender.soon();
        } else if (Date.now() - this.asked > ASK_MS) {
            await this.look();
        } else {
            await this.told(status(await items(this.staff), this.error));
        }
    }

    /* Is this person signed in by now? Only then anything goes. */
    async look() {
        if (this.sender) {
            this.sender.now();
            return;
        }
        const now = status(await items(this.staff), null);
        if (this.asking || !now.waiting) {
            await this.told(now);
            return;
        }
        this.asking = true;
        this.asked = Date.now();
        this.error = null;
        try {
            const session = await current(8000);
            if (session && session.role === "staff" && session.staff === this.staff) {
                this.signedIn();
            } else {
                this.error = { status: 401 };
            }
        } catch (error) {
            this.error = error;
        }
        this.asking = false;
        if (this.error) {
            await this.told({ ...now, error: this.error });
        }
    }
}

/* The hour ------------------------------------------------------------------------------------- */

function over(body, standing, words) {
    titled("In the hall");
    fill(body, el("p", null, words), el("p", { class: "quiet" }, "The names are gone from this tablet. What was made and not sent yet is kept here without them, and goes when the same person is signed in."),
        standing.node, el("p", null, el("a", { href: "/staff" }, "Home")));
    standing.look();
}

async function showHour(body, hour, session) {
    const says = el("span", { class: "small quiet", role: "status" });
    let sheet = null;
    const standing = new Standing(hour.staff, (now) => sheet && sheet.refresh(now));
    hour.pupils.forEach((p) => { standing.names[p.id] = p.name; });
    const until = el("strong", null, "until " + clock(hour.until));
    let ended = false;
    const end = async (words) => {
        if (!ended) {
            ended = true;
            window.clearInterval(timer);
            sheet = null;
            await lock(hour);
            over(body, standing, words);
        }
    };
    const tick = () => {
        if (!runs(hour)) {
            end("The hour is over.");
        } else {
            const left = Math.max(1, Math.round((hour.until - Date.now()) / 60000));
            fill(until, "until " + clock(hour.until) + ", " + count(left, "minute", "minutes") + " more");
        }
    };
    const timer = window.setInterval(tick, LOOK_MS);
    window.setInterval(() => standing.look(), ASK_MS);
    window.addEventListener("online", () => standing.look());
    document.addEventListener("visibilitychange", tick);
    sheet = hallSheet({ hour, items: await items(hour.staff), changed: () => standing.made(), trouble: () => {
        standing.line.classList.add("saved-line-wrong");
        fill(standing.line, "This tablet could not keep that tap: its storage is full or closed. Write on paper from here on.");
        announce("This tablet could not keep that.");
    } });
    titled(hour.activity.name, hour.klass.name + " · in the hall");
    fill(body, el("p", { class: "hall-head" }, until, " ", says), standing.node,
        el("p", { class: "small marks-caution" }, "Check the space and the kit before you start; stop if something hurts. The school's own rules for PE, and its safeguarding lead, come first."),
        sheet,
        el("div", { class: "buttons" }, action("Finish the hour", () => end("You have finished the hour."), { class: "button-second" })));
    tick();
    onSignedOut(() => standing.look());
    if (session) {
        standing.signedIn();
    } else {
        standing.look();
    }
    readyWithout(says);
}

/* Before it ------------------------------------------------------------------------------------ */

async function begin({ session, challenge, activity, klass, body }) {
    const [{ pupils }, seen, grid] = await Promise.all([get("/classes/" + klass.id + "/pupils"), get("/units/" + challenge.unit.id + "/seen?class=" + klass.id), get("/classes/" + klass.id + "/grid?all=1")]);
    const said = {};
    seen.rows.forEach((r) => { said[r.pupil.id] = r.seen; });
    const sent = {};
    grid.pupils.forEach((p) => {
        const cell = p.cells.find((c) => c.challenge === challenge.id);
        sent[p.id] = Boolean(cell) && ["not_yet", "could_not"].indexOf(cell.state) < 0;
    });
    const now = Date.now();
    const hour = { key: hourKey(session.staff, challenge.id, klass.id), staff: session.staff, began: now, until: now + HOUR_MS,
        challenge: { id: challenge.id, number: challenge.number, unit: challenge.unit.id }, klass: { id: klass.id, name: klass.name }, activity, cues: activity.cues,
        far: activity.distances_mm.length ? activity.reference_mm || activity.distances_mm[0] : 0, seen: said, sent, done: {},
        pupils: pupils.filter((p) => !p.left).map((p) => ({ id: p.id, name: p.display_name })).sort((a, b) => a.name.localeCompare(b.name, "en-GB")) };
    await keepHour(hour);
    await showHour(body, hour, session);
}

function beforeHour(context) {
    const { challenge, activity, klass, may, body, standing, pupils } = context;
    titled(activity.name, klass.name + " · in the hall");
    fill(body, may.length > 1 ? el("p", null, "Class: ", may.map((c) => [el("a", { href: "/staff/hall?id=" + challenge.id + "&class=" + c.id, "aria-current": c === klass ? "page" : null }, c.name), " "])) : null,
        el("p", null, "For one hour this tablet keeps the names of the class, so that you can tap tries and teaching points with no connection. Everything is sent, once, when there is one. After the hour the names are gone."),
        el("p", { class: "small quiet" }, "Until then anybody who holds the tablet can see them: keep it with you, and use the tablet's own lock."),
        standing.node,
        pupils ? action("Start the hour", () => begin(context)) : el("p", null, "No pupil in this class yet."),
        el("p", null, el("a", { href: "/staff/paper?id=" + challenge.id + "&class=" + klass.id }, "Sheets of paper instead"), " · ", el("a", { href: "/staff/class?id=" + klass.id }, "Back to who's done it")));
    standing.look();
}

async function choose(session, body, standing, only) {
    const { challenges } = await get("/challenges?state=open");
    const classes = session.classes.filter((c) => (c.right === "teach" || c.right === "help") && (!only || c.id === only));
    const list = challenges.flatMap((h) => h.classes.filter((c) => !c.cancelled && classes.some((mine) => mine.id === c.id)).map((c) => ({ h, c })));
    titled("In the hall");
    fill(body, el("p", null, "Choose the class and the challenge that you take into the hall."), standing.node,
        list.length ? el("ul", { class: "plain" }, list.map(({ h, c }) => el("li", { class: "link" }, el("a", { href: "/staff/hall?id=" + h.id + "&class=" + c.id }, c.name + ": " + h.activity.name))))
            : el("p", null, "No open challenge in a class that you teach or help."));
    standing.look();
}

async function render({ session, params, body }) {
    if (!mayKeep()) {
        fill(body, el("p", null, "This browser cannot keep anything, so it would lose what you tap without a connection. Use another browser, or sheets of paper."));
        return;
    }
    const mine = (await hours()).filter((h) => h.staff === session.staff);
    const standing = new Standing(session.staff, () => undefined);
    standing.signedIn();
    if (!params.get("id")) {
        await choose(session, body, standing, params.get("class"));
        return;
    }
    const { challenge, activity } = await get("/challenges/" + encodeURIComponent(params.get("id")));
    const may = challenge.classes.filter((c) => ["teach", "help"].indexOf(rightOn(session, c.id)) >= 0);
    const klass = may.find((c) => c.id === params.get("class")) || may[0];
    if (!klass) {
        fill(body, el("p", null, "Only those who teach or help in one of its classes can take this into the hall."));
        return;
    }
    const running = mine.find((h) => h.key === hourKey(session.staff, challenge.id, klass.id));
    if (running) {
        standing.sender.stop();
        await showHour(body, running, session);
        return;
    }
    const { pupils } = await get("/classes/" + klass.id + "/pupils");
    pupils.forEach((p) => { standing.names[p.id] = p.display_name; });
    onSignedOut(signInFirst);
    beforeHour({ session, challenge, activity, klass, may, body, standing, pupils: pupils.length });
}

/* No server, or nobody signed in: the hour that runs here, or what it left. */
async function local(body, { reached, params }) {
    if (!mayKeep()) {
        return false;
    }
    const running = await hours();
    const here = running.find((h) => h.challenge.id === params.get("id") && h.klass.id === params.get("class")) || running[0];
    if (here) {
        await showHour(body, here, null);
        return true;
    }
    const left = await items();
    if (reached || !left.length) {
        return false;
    }
    titled("In the hall");
    fill(body, el("p", null, "No hour runs on this tablet. " + count(left.length, "thing is", "things are") + " kept and not sent yet."),
        el("p", null, "There is no connection. When there is, sign in as the person who made them: they go by themselves."));
    return true;
}

start(render, { local });
