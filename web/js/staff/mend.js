/* SPDX-License-Identifier: MIT
 * Mending what was set, a class at a time: other dates, cancel, set again. One panel is open at once;
 * Escape closes it, and the focus goes back to the button that opened it. */

import { get, put, ApiError } from "../api.js";
import { el, fill, focusOn } from "../dom.js";
import { field } from "../field.js";
import { action, form, notice } from "./shell.js";
import { count, dayWords, sentenceFor } from "./words.js";
import { dayIn } from "./weeks.js";

const LATE_DAYS = 35;
const LATER = "Children see other dates as soon as they are online. Somebody who was offline and did it before the change is still counted, by the dates that held then, if it comes within " + LATE_DAYS + " days.";

function datesWords(k) {
    return "opens " + dayWords(k.opens_at) + " · due " + dayWords(k.due_at) + " · closes " + dayWords(k.closes_at);
}

function sentWords(k) {
    return k.sent ? count(k.sent, "child has", "children have") + " sent tries." : "Nobody has sent tries.";
}

export function cancelledWords(k) {
    return "Cancelled by " + k.cancelled.by + " on " + dayWords(k.cancelled.at) + ". " + (k.sent
        ? "Tries of " + count(k.sent, "child", "children") + " came; they are kept and count as before."
        : "Nobody had sent tries.");
}

/* Says each fault beside its field; throws what belongs to none. */
function blame(error, fields) {
    const found = error instanceof ApiError ? error.errors.map((e) => [fields[String(e.pointer).slice(1)], e]).filter(([f]) => f) : [];
    if (!found.length) {
        throw error;
    }
    found.forEach(([f, e]) => f.wrong(sentenceFor(error, e)));
    found[0][0].control.focus();
}

function panel(page, label, children) {
    const node = el("div", { class: "panel mend-panel", role: "group", "aria-label": label }, children);
    node.addEventListener("keydown", (event) => {
        if (event.key === "Escape") {
            event.stopPropagation();
            page.shut();
        }
    });
    return node;
}

function leave(page, words) {
    return el("button", { type: "button", class: "button-second", onclick: page.shut }, words);
}

/* Dates for one class; `again`: it was cancelled, and is set again with them. */
async function datesPanel(page, k, again) {
    const zone = (await get("/school")).school.time_zone;
    const days = { opens_on: dayIn(zone, new Date(k.opens_at)), due_on: dayIn(zone, new Date(k.due_at)), closes_on: dayIn(zone, new Date(k.closes_at)) };
    const fields = {};
    Object.entries({ opens_on: "Opens", due_on: "Due", closes_on: "Closes" }).forEach(([name, label]) => {
        fields[name] = field({ label, name, type: "date", value: days[name], required: true });
    });
    const save = async () => {
        const wanted = { classes: [k.id] };
        const names = Object.keys(fields);
        names.forEach((name) => fields[name].wrong(""));
        const empty = names.find((name) => !fields[name].control.value);
        if (empty) {
            fields[empty].wrong("Choose a day.");
            fields[empty].control.focus();
            return;
        }
        names.filter((name) => fields[name].control.value !== days[name]).forEach((name) => { wanted[name] = fields[name].control.value; });
        if (again) {
            wanted.cancelled = false;
        } else if (Object.keys(wanted).length === 1) {
            page.shut();
            return;
        }
        try {
            await put("/challenges/" + page.challenge.id, wanted);
        } catch (error) {
            blame(error, fields);
            return;
        }
        await page.done(again ? "Set again for " + k.name + "." : "The dates of " + k.name + " are changed.", k);
    };
    const title = again ? "Set it again for " + k.name : "Dates for " + k.name;
    return panel(page, title, [el("h2", null, title),
        again ? el("p", null, "Its dates are over, so give it new ones.") : null,
        form({}, save, el("div", { class: "field-row" }, Object.values(fields)), el("p", { class: "small" }, LATER),
            el("div", { class: "buttons" }, el("button", { class: "button" }, again ? "Set it again" : "Save the dates"), leave(page, "Leave it as it is")))]);
}

function cancelPanel(page, k) {
    const title = "Cancel “" + page.name + "” for " + k.name + "?";
    const others = page.challenge.classes.filter((c) => c.id !== k.id && !c.cancelled).map((c) => c.name);
    const elsewhere = others.length > 0 || page.challenge.classes.some((c) => c.sent > 0);
    return panel(page, title, [el("h2", null, title),
        el("p", null, el("strong", null, sentWords(k)), k.sent ? " They are kept, count as before and stay on these pages, named “cancelled”." : ""),
        el("p", null, "It goes from the children’s Today. Somebody who is offline and did it before now is still counted, if it comes within " + LATE_DAYS + " days" +
            (k.sent ? "." : "; if nothing comes until then, " + (elsewhere ? "it goes from the pages of " + k.name + "." : "the challenge is deleted.")) + " You can set it again.",
        others.length ? " It goes on for " + others.join(", ") + "." : ""),
        el("div", { class: "buttons" }, action("Cancel it for " + k.name, async () => {
            await put("/challenges/" + page.challenge.id, { classes: [k.id], cancelled: true });
            await page.done("Cancelled for " + k.name + ".", k);
        }, { class: "button-careful" }), leave(page, "Leave it"))]);
}

function row(page, k) {
    const over = new Date(k.closes_at) <= new Date();
    const place = el("div");
    const open = (text, make, words) => el("button", { type: "button", class: "button-second", "aria-label": words, onclick: async (event) => {
        const button = event.currentTarget;
        page.shut();
        const made = await make();
        fill(place, made);
        page.opened = () => {
            fill(place);
            button.focus();
        };
        const first = made.querySelector("input");
        if (first) {
            first.focus();
        } else {
            focusOn(made.querySelector("h2"));
        }
    } }, text);
    const again = k.cancelled && !over ? action("Set it again", async () => {
        await put("/challenges/" + page.challenge.id, { classes: [k.id], cancelled: false });
        await page.done("Set again for " + k.name + ".", k);
    }, { class: "button-second", "aria-label": "Set it again for " + k.name }) : null;
    return el("li", { "data-class": k.id }, el("strong", null, k.name), ": ", k.cancelled ? "cancelled; it was: " : null, datesWords(k),
        el("div", { class: "buttons buttons-tight" }, k.cancelled
            ? again || open("Set it again", () => datesPanel(page, k, true), "Set it again for " + k.name)
            : [open("Change dates", () => datesPanel(page, k, false), "Change dates for " + k.name),
                open("Cancel the challenge", () => Promise.resolve(cancelPanel(page, k)), "Cancel the challenge for " + k.name)]), place);
}

/* Classes whose dates are the same stand together; a cancelled one stands alone. */
function toldDates(classes) {
    const groups = [];
    classes.forEach((k) => {
        const same = groups.find(([g]) => !k.cancelled && !g.cancelled && datesWords(g) === datesWords(k));
        if (same) {
            same.push(k);
        } else {
            groups.push([k]);
        }
    });
    return groups.map((g) => el("div", null, el("strong", null, g.map((k) => k.name).join(", ")), ": " +
        (g[0].cancelled ? "cancelled by " + g[0].cancelled.by + " on " + dayWords(g[0].cancelled.at) : datesWords(g[0]))));
}

/* The classes of a challenge with their dates. o: {challenge, name, mayMend(classId), redraw()}. */
export function classDates(o) {
    const own = o.challenge.classes.filter((k) => o.mayMend(k.id));
    const page = { challenge: o.challenge, name: o.name, opened: null };
    page.shut = () => {
        const shut = page.opened;
        page.opened = null;
        if (shut) {
            shut();
        }
    };
    page.done = async (words, k) => {
        await o.redraw();
        notice(words);
        const list = document.querySelector(".mend");
        list.open = true;
        list.querySelector("[data-class='" + k.id + "'] button").focus({ preventScroll: true });
    };
    return [el("div", null, toldDates(o.challenge.classes)), own.length ? el("details", { class: "mend no-print" },
        el("summary", null, own.every((k) => k.cancelled) ? "Set it again" : "Change dates, or cancel"),
        el("ul", { class: "plain" }, own.map((k) => row(page, k)))) : null];
}
