/* SPDX-License-Identifier: MIT
 * Setting a challenge: which activity, which classes, from when till when. */

import { get, post } from "../api.js";
import { el, fill, choices } from "../dom.js";
import { field } from "../field.js";
import { start, titled, form, has } from "./shell.js";
import { deviceDay } from "../words.js";
import { dayWords } from "./words.js";

function inDays(n) {
    const d = new Date();
    d.setDate(d.getDate() + n);
    return deviceDay(d);
}

function doneBox(challenge) {
    return el("div", { class: "panel panel-sun" },
        el("h2", null, challenge.activity.name + " is set"),
        el("p", null, "Its number is ", el("strong", { class: "big-number" }, String(challenge.number)), ". Children see it on Today; on the form without script they type it."),
        el("p", null, "For " + challenge.classes.map((c) => c.name).join(", ") + ", due " + dayWords(challenge.due_at) + "."),
        el("div", { class: "buttons" }, el("a", { class: "button", href: "/staff/class?id=" + challenge.classes[0].id }, "Who's done it"),
            el("a", { class: "button-second", href: "/staff/sheets?id=" + challenge.id + "&class=" + challenge.classes[0].id }, "Print home sheets"),
            el("a", { class: "button-second", href: "/staff/starts?id=" + challenge.id + "&class=" + challenge.classes[0].id }, "Another first version for some"),
            el("a", { class: "button-second", href: "/staff" }, "Home")));
}

start(async ({ session, params, body }) => {
    const [{ activities }, { classes }, { units }] = await Promise.all([get("/activities"), get("/classes"), get("/units")]);
    const mine = classes.filter((c) => c.right === "teach" || has(session, "pe_lead"));
    const live = activities.filter((a) => !a.archived);
    if (!mine.length || !live.length) {
        fill(body, el("p", null, mine.length ? "There is no activity yet." : "You need a class that you teach."), el("p", null, el("a", { href: "/staff" }, "Home")));
        return;
    }
    titled("Set a challenge");
    const activity = field({ label: "Activity", name: "activity", value: params.get("activity") || live[0].id, choices: live.map((a) => ({ value: a.id, text: a.name })) });
    const about = el("p", { class: "quiet" });
    const tell = () => {
        about.textContent = live.find((a) => a.id === activity.control.value).summary;
    };
    activity.control.addEventListener("change", tell);
    tell();
    const forClasses = choices({ legend: "For", name: "classes", type: "checkbox", row: true, picked: params.get("class") ? [params.get("class")] : mine.length === 1 ? [mine[0].id] : [],
        choices: mine.map((c) => ({ value: c.id, text: c.name })) });
    const opens = field({ label: "Opens", name: "opens_on", type: "date", value: deviceDay() });
    const due = field({ label: "Due", name: "due_on", type: "date", value: inDays(7) });
    const closes = field({ label: "Closes", name: "closes_on", type: "date", hint: "Blank: the end of the term" });
    const unit = field({ label: "Unit of work", name: "unit", value: "", choices: [{ value: "", text: "this term's" }].concat(units.map((u) => ({ value: u.id, text: u.name }))),
        hint: "Assessments are made for a unit, at its end." });
    const missing = el("span", { class: "wrong" });
    fill(body, form({ class: "ask" }, async () => {
        const chosen = forClasses.values();
        missing.textContent = chosen.length ? "" : "Choose at least one class.";
        if (!chosen.length) {
            forClasses.querySelector("input").focus();
            return;
        }
        const wanted = { activity: activity.control.value, classes: chosen, due_on: due.control.value };
        if (opens.control.value) {
            wanted.opens_on = opens.control.value;
        }
        if (closes.control.value) {
            wanted.closes_on = closes.control.value;
        }
        if (unit.control.value) {
            wanted.unit = unit.control.value;
        }
        const { challenge } = await post("/challenges", wanted);
        fill(body, doneBox(challenge));
    }, activity, about, forClasses, missing, el("div", { class: "field-row" }, opens, due, closes), unit,
    el("p", { class: "quiet" }, "Every child may choose any version. What is done while it is open counts, whenever it arrives."),
    el("div", { class: "buttons" }, el("button", { class: "button" }, "Set it"))));
});
