/* SPDX-License-Identifier: MIT
 * Where a child is and was: into another class, away from the school and back again. For the office. The
 * child's tries, assessments and cards go along; who may see them follows the class from today on. */

import { get, put } from "../api.js";
import { el, fill, banner } from "../dom.js";
import { field } from "../field.js";
import { action, form } from "./shell.js";
import { yearDay, yearGroup } from "./words.js";

/* "Year 3 · Beech", "Year 6 · has left" */
export function whereNow(pupil) {
    return [yearGroup(pupil.year_group)].concat(pupil.left ? "has left the school" : pupil.classes.filter((c) => !c.to).map((c) => c.name)).filter(Boolean).join(" · ");
}

function spans(pupil) {
    return el("ul", null, pupil.classes.map((c) => el("li", null, c.name + (c.kind === "group" ? " (group)" : "") + ": from " + yearDay(c.from) + (c.to ? " to " + yearDay(c.to) : " until now"))));
}

/* The class a child is in now; of the past only when there is none. */
function home(pupil) {
    return pupil.classes.find((c) => c.kind === "class" && !c.to) || null;
}

function mover(pupil, classes, change) {
    const now = home(pupil);
    const to = field({ label: "To class", name: "to_class", value: "", choices: [{ value: "", text: "Choose" }].concat(classes.filter((c) => c.kind === "class" && !(now && now.id === c.id)).map((c) => ({ value: c.id, text: c.name }))) });
    return form(null, async () => {
        to.wrong(to.control.value ? "" : "Choose a class.");
        if (!to.control.value) {
            to.control.focus();
            return;
        }
        await change({ class: to.control.value }, (next) => banner("good", el("p", null, next.display_name + " is in " + home(next).name + " from today. Tries and assessments came along; the staff of " + home(next).name + " see them, those of " + (now ? now.name : "before") + " no longer do."),
            el("p", null, "The cards still work. They name the class of before: a new one is made above, or ", el("a", { href: "/staff/cards?class=" + to.control.value }, "for the class"), ".")));
    }, el("p", null, "What was tried and decided stays the child's. The list and the grid of the class of before no longer show the child."), to, el("div", { class: "buttons" }, el("button", { class: "button-second" }, "Move")));
}

/* What ends when, and what undoes it, before it is done; the day is the server's. */
function leaver(pupil, change) {
    const name = pupil.display_name, sure = el("div");
    const leave = () => change({ left: true }, (next) => banner("careful", el("p", null, name + " is marked as a leaver. The cards no longer work. All that is held is deleted on " +
        yearDay(next.leaver_goes_on) + " at the earliest.")));
    const ask = () => {
        fill(sure, banner("careful", el("h3", { tabindex: "-1" }, "Has " + name + " left the school?"),
            el("ul", null,
                el("li", null, el("strong", null, "At once: "), "the child's cards and the family's cards stop working, and whoever is signed in with one is signed out. The family page closes. " +
                    "Tries that wait unsent on a device can no longer be sent. " + name + " is in no class any more."),
                el("li", null, el("strong", null, "Until " + yearDay(pupil.leaver_goes_on) + ": "), "tries, assessments and what was shared with the family are kept, for the school only."),
                el("li", null, el("strong", null, "From that day on: "), "all that is held about " + name + " is deleted for good, once a plan on the School page has listed it for 14 days. " +
                    "What belongs in the school's own record has to be there by then: follow the school's own policies."),
                el("li", null, el("strong", null, "To undo it: "), "choose “Is back again” on this page before that day. The old cards stay cancelled, so make new ones.")),
            el("div", { class: "buttons" }, action("Yes, " + name + " has left", leave, { class: "button-careful" }),
                el("button", { type: "button", class: "button-second", onclick: close }, "No, nothing changes"))));
        sure.querySelector("h3").focus();
    };
    const first = el("button", { type: "button", class: "button-careful", onclick: ask }, "Has left the school");
    const close = () => {
        fill(sure);
        first.focus();
    };
    return el("div", null, el("div", { class: "buttons" }, first), sure);
}

function returner(pupil, change) {
    const back = () => change({ left: false }, (next) => banner("good", el("p", null, next.display_name + (home(next) ? " is back in " + home(next).name + "." : " is back, in no class yet: move the child into one.") +
        " The old cards stay cancelled: make new ones.")));
    return el("div", null, el("p", null, "Has left the school. All that is held about " + pupil.display_name + " is deleted on " + yearDay(pupil.leaver_goes_on) + " at the earliest," +
        " once a plan on the School page has listed it for 14 days."),
        el("div", { class: "buttons" }, action("Is back again", back, { class: "button-second" })));
}

async function box(pupil, classes, moved) {
    const said = el("div", { role: "status" });
    const change = async (body, words) => {
        const next = (await put("/pupils/" + pupil.id, body)).pupil;
        const fresh = await box(next, classes, moved);
        fresh.querySelector("[role=status]").appendChild(words(next));
        place.replaceWith(fresh);
        fresh.querySelector("h2").focus();
        await moved(next);
    };
    const place = el("section", { class: "panel" }, el("h2", { tabindex: "-1" }, "Class"), said, pupil.classes.length ? spans(pupil) : el("p", null, "In no class."),
        pupil.left ? returner(pupil, change) : [mover(pupil, classes, change), leaver(pupil, change)]);
    return place;
}

export async function whereBox(pupil, moved) {
    const { classes } = await get("/classes");
    return box(pupil, classes, moved);
}
