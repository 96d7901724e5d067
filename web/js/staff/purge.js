/* SPDX-License-Identifier: MIT
 * What is deleted, and when: what may go now, what comes due within fourteen days, what it waits for, and the day
 * on which each child who has left goes at the earliest. The office says here that the server's clock is right,
 * and looks at a plan that lists more than twice what the last one did. Looking deletes nothing. */

import { get, put } from "../api.js";
import { el, banner, focusOn } from "../dom.js";
import { action, has, notice } from "./shell.js";
import { count, yearDay } from "./words.js";

/* What is kept how long, in the order of the table. */
const KEPT = [
    ["leavers", "Children who have left, with all that is held about them", "60 days after they left"],
    ["hand_ins", "Tries that were sent in", "400 days after they came in"],
    ["decisions", "Assessments, teaching points seen, answers in lessons, taking part, replaced ticks, moderation (second views);" +
        " drafts of reports, fresh starts; versions suggested for some",
    "end of the school year after their own; drafts of reports and fresh starts: end of their own; suggested versions: 35 days after the challenge closed"],
    ["challenges", "Cancelled challenges that nobody sent tries to", "35 days after they were cancelled"],
    ["messages", "Children's messages", "30 days after they are in the school's own record"],
    ["cards", "Cards cancelled or run out", "60 days after that"],
    ["sessions", "Sign-ins", "a day after they began"]
];
const COLUMNS = ["What", "When", "May go now", "Due within 14 days"];

const cell = (i, props, text) => el("td", { "data-label": COLUMNS[i], ...props }, text);

function table(plan) {
    const rows = KEPT.filter((k) => plan.now[k[0]] !== null);
    return el("div", { class: "table-box", tabindex: "0", role: "region", "aria-label": "What is deleted" },
        el("table", { class: "table stack" },
            el("thead", null, el("tr", null, COLUMNS.map((h) => el("th", { scope: "col" }, h)))),
            el("tbody", null, rows.map(([key, what, when]) => el("tr", null, el("th", { scope: "row" }, what), cell(1, null, when),
                cell(2, { class: "number" }, String(plan.now[key])), cell(3, { class: "number" }, String(plan.within_14_days[key])))))));
}

const DAY = new Intl.DateTimeFormat("en-GB", { weekday: "long", day: "numeric", month: "long", year: "numeric", timeZone: "UTC" });
const fullDay = (on) => DAY.format(new Date(on + "T12:00:00Z"));

const FOR_OFFICE = "This is for the office to answer.";

function clockBox(plan, office, say) {
    if (plan.clock === "synchronised" || plan.clock === "confirmed") {
        return null;
    }
    const day = fullDay(plan.on);
    const why = plan.clock === "behind" ? "Something is stored with a later time than the server's clock shows."
        : "The server cannot tell by itself whether its clock is right.";
    return banner("careful",
        el("p", null, why + " Until the office has confirmed the date, nothing is deleted" + (plan.clock === "behind" ? "" : " but old sign-ins") + ". By the server's clock, today is " + day + "."),
        office ? el("p", null, "If that is wrong, have the server's clock set right first. If it is right, say so:") : el("p", null, FOR_OFFICE),
        office ? el("div", { class: "buttons" },
            action("Yes, today is " + day, () => say({ today: plan.on }, "Thank you. The date is confirmed."), { class: "button-second" })) : null);
}

function doubledBox(plan, office, say) {
    const w = plan.waits;
    return w && banner("careful",
        el("p", null, "The plan of " + yearDay(w.made_on) + " lists " + count(w.listed, "entry", "entries") + ", more than twice the " + w.listed_before +
            " of the plan before it. What it was the first to list waits until the office has looked." +
            " Many leavers, or the end of a school year, can be the reason; so can a wrong clock."),
        office ? el("div", { class: "buttons" }, action("Go on with this plan",
            () => say({ accept: w.made_on }, "The plan goes on. Nothing of it is deleted before its day."), { class: "button-careful" }))
            : el("p", null, FOR_OFFICE));
}

function nextWords(plan) {
    const n = plan.next;
    if (!plan.plan) {
        return "No plan has been made yet; the server makes one each night.";
    }
    return n ? "What the plan of " + yearDay(n.listed_on) + " listed goes when it is due, from " + yearDay(n.from) + " at the earliest, once there have been " +
        count(n.days_needed, "day", "days") + " of use since that plan (so far " + n.days_of_use + ")."
        : "Apart from children's messages, which are not counted here, the plan of " + yearDay(plan.plan.made_on) + " lists nothing that waits for its day alone.";
}

/* By the day they go; names where they may be seen. */
function leavers(plan) {
    const days = [];
    plan.leavers.forEach((l) => {
        const last = days[days.length - 1];
        if (last && last.on === l.goes_on) {
            last.all.push(l);
        } else {
            days.push({ on: l.goes_on, all: [l] });
        }
    });
    const who = (all) => (all[0].pupil ? all.map((l, i) => [i ? ", " : "", el("a", { href: "/staff/pupil?id=" + l.pupil.id }, l.pupil.display_name)])
        : count(all.length, "child", "children"));
    return days.length ? el("ul", null, days.map((d) => el("li", null, el("strong", null, yearDay(d.on)), ": ", who(d.all))))
        : el("p", { class: "quiet" }, "Nobody who has left is held now.");
}

function facts(plan) {
    return el("dl", { class: "facts" }, el("dt", null, "Last purge"), el("dd", null, plan.last_on ? yearDay(plan.last_on) : "none yet"),
        el("dt", null, "Last backup"), el("dd", null, plan.backup_on ? yearDay(plan.backup_on)
            : ["none noted; whoever looks after the server makes one with ", el("code", null, "thrice backup")]));
}

/* `tell` hears whether something in the box waits for the office, again after each answer. */
export async function purgeBox(session, tell = () => {}) {
    const plan = await get("/purge-plan");
    const office = has(session, "office");
    const say = async (body, words) => {
        await put("/purge-plan", body);
        const fresh = await purgeBox(session, tell);
        box.replaceWith(fresh);
        notice(words);
        focusOn(fresh.querySelector("h2"));
    };
    const asked = [clockBox(plan, office, say), doubledBox(plan, office, say)];
    tell(asked.some(Boolean));
    const box = el("section", { class: "panel", id: "purge" }, el("h2", null, "What is deleted, and when"),
        el("p", null, "The server deletes once a night, for good: only what a plan listed at least 14 days before, with five days of use since. Sign-ins, and" +
            " the copies of everything that an upgrade of the server makes (kept 35 days), need no plan. Only what is still in backups can be brought back; delete those after 35 days."),
        facts(plan), asked, el("p", null, nextWords(plan)), table(plan),
        el("p", { class: "small quiet" }, "Due within 14 days counts what is due now as well. The record of who did what stays; it holds no names."),
        el("h3", null, "Children who have left, and the day they go at the earliest"), leavers(plan),
        plan.leavers.length && plan.leavers[0].pupil ? el("p", { class: "small quiet" },
            "Left by mistake? Open the child's page before that day: “Is back again”. A copy of a child's data is made there too.") : null);
    return box;
}
