/* SPDX-License-Identifier: MIT
 * Who shares a class: by class, each person with what they may do and till when; those whose last day has
 * passed stay listed as over, so that nobody wonders why the page no longer opens. One person's right is
 * changed at a time, and nobody else's with it. */

import { get, put } from "../api.js";
import { el, fill, banner, choices, announce } from "../dom.js";
import { field } from "../field.js";
import { action, form } from "./shell.js";
import { RIGHTS, count, dayWords } from "./words.js";

/* The day as a form and the server write it, in this device's time zone. */
export function dayText(date) {
    const two = (n) => (n < 10 ? "0" : "") + n;
    return date.getFullYear() + "-" + two(date.getMonth() + 1) + "-" + two(date.getDate());
}

/* The Friday of this week; at a weekend that of the next. */
export function friday(from) {
    const date = new Date(from.getFullYear(), from.getMonth(), from.getDate());
    date.setDate(date.getDate() + ((5 - date.getDay() + 7) % 7));
    return dayText(date);
}

/* [{staff, right, until, over}] of one class: those who hold something first, then those who did. */
function holders(staff, classId) {
    const all = [];
    staff.forEach((m) => m.classes.filter((c) => c.id === classId).forEach((c) => all.push({ staff: m, right: c.right, until: c.until, over: c.over || m.disabled })));
    return all.filter((h) => !h.over).concat(all.filter((h) => h.over));
}

function holds(h) {
    if (h.staff.disabled) {
        return RIGHTS[h.right] + ", but the account is disabled";
    }
    return RIGHTS[h.right] + (h.over ? " till " + dayWords(h.until) + ": over" : h.until ? " till " + dayWords(h.until) : ", no last day");
}

function asked(klass, staff, now, save) {
    const week = friday(new Date());
    const who = field({ label: "Who", name: "who_" + klass.id, value: now ? now.staff.id : "",
        choices: [{ value: "", text: "Choose" }].concat(staff.filter((m) => !m.disabled).map((m) => ({ value: m.id, text: m.name }))) });
    const right = field({ label: "May", name: "may_" + klass.id, value: now ? now.right : "help", choices: Object.keys(RIGHTS).map((r) => ({ value: r, text: RIGHTS[r] })) });
    const day = field({ label: "Last day", name: "last_" + klass.id, type: "date", value: now && now.until && !now.over ? now.until : "", hint: "The right holds on this day and not after." });
    const long = choices({ legend: "How long", name: "long_" + klass.id, tight: true, row: true, picked: [now && now.until && !now.over ? "day" : now && !now.until ? "open" : "week"],
        choices: [{ value: "week", text: "till Friday", hint: dayWords(week) }, { value: "day", text: "till another day" }, { value: "open", text: "no last day" }],
        onchange: (values) => { day.hidden = values[0] !== "day"; } });
    day.hidden = long.values()[0] !== "day";
    return form({ class: "share-ask" }, async () => {
        who.wrong(who.control.value ? "" : "Choose somebody.");
        const wanted = long.values()[0];
        day.wrong(wanted === "day" && !day.control.value ? "Choose a day." : "");
        if (!who.control.value || (wanted === "day" && !day.control.value)) {
            (who.control.value ? day : who).control.focus();
            return;
        }
        await save(who.control.value, { right: right.control.value, until: wanted === "week" ? week : wanted === "day" ? day.control.value : null });
    }, el("div", { class: "field-row" }, who, right),
    el("p", { class: "small quiet" }, "help, for supply, coach or assistant: who has sent, enter for a child, teaching points. read: results and shared assessments. teach: everything of the class."), long, day, el("div", { class: "buttons" }, el("button", { class: "button" }, now ? "Save the change" : "Give the right")));
}

/* One class, redrawn after each change with the fold left open and the focus on its heading. */
function classBox(klass, staff) {
    const all = holders(staff, klass.id);
    const now = all.filter((h) => !h.over);
    const ask = el("div");
    const box = el("details", { class: "staff-member" });
    const again = async (words) => {
        const next = classBox(klass, (await get("/staff")).staff);
        next.open = true;
        box.replaceWith(next);
        next.querySelector("summary").after(banner("good", el("p", null, words)));      /* where the eyes are: the page is long */
        announce(words);
        next.querySelector("summary").focus();
    };
    const save = async (id, wanted) => {
        await put("/classes/" + klass.id + "/staff/" + id, wanted);
        const name = staff.find((m) => m.id === id).name;
        const member = (await get("/staff")).staff.find((m) => m.id === id);
        const closed = wanted.right === "teach" && !member.reads_all && !member.classes.some((c) => c.id === klass.id && c.reads);
        await again((wanted.right === "none" ? name + " no longer has " + klass.name + "." : name + ": " + RIGHTS[wanted.right] + " " + klass.name + (wanted.until ? " till " + dayWords(wanted.until) + "." : ", no last day.")) +
            (closed ? " Children's messages of the class wait for a second person." : ""));
    };
    const open = (h) => {
        fill(ask, el("h3", null, h ? "Change: " + h.staff.name : "Give somebody " + klass.name), asked(klass, staff, h, save));
        ask.querySelector("select").focus();
    };
    fill(box, el("summary", null, klass.name, el("span", { class: "hint" }, now.length ? now.map((h) => h.staff.name + " " + holds(h)).join(" · ") : "nobody has this class")),
        all.length ? el("ul", { class: "plain share-list" }, all.map((h) => el("li", { class: h.over ? "share-over" : null }, el("span", null, el("strong", null, h.staff.name), " " + holds(h)),
            el("span", { class: "buttons-tight" }, h.staff.disabled ? null : action(h.over ? "Give again" : "Change", () => open(h), { class: "button-second", "aria-label": (h.over ? "Give again: " : "Change: ") + h.staff.name + ", " + klass.name }),
                action("Take away", () => save(h.staff.id, { right: "none" }), { class: "button-careful", "aria-label": "Take away: " + h.staff.name + ", " + klass.name }))))) : null,
        el("div", { class: "buttons" }, action("Give somebody " + klass.name, () => open(null), { class: "button-second" })), ask);
    return box;
}

export async function sharesBox(classes) {
    const { staff } = await get("/staff");
    return el("section", { class: "panel", id: "shares" }, el("h2", null, "Who shares a class"),
        el("p", null, "Several people may have one class. A supply teacher usually gets help till Friday: it ends by itself. What is taken away ends at once, also where a page is open."),
        classes.length ? [el("p", { class: "quiet small" }, count(classes.length, "class or group", "classes and groups") + ". A pupil's results follow the pupil, not the adult."), classes.map((c) => classBox(c, staff))]
            : el("p", null, "No class yet. Add the first one on the ", el("a", { href: "/staff" }, "home page"), "."));
}
