/* SPDX-License-Identifier: MIT
 * What is deleted, and when: what the purge would take at its next run, what comes due within fourteen days,
 * and the day on which each child who has left goes. Looking deletes nothing. */

import { get } from "../api.js";
import { el, banner } from "../dom.js";
import { count, yearDay } from "./words.js";

/* What is kept how long, in the order of the table. */
const KEPT = [
    ["leavers", "Children who have left, with all that is held about them", "60 days after they left"],
    ["hand_ins", "Tries that were sent in", "400 days after they came in"],
    ["decisions", "Assessments, points seen, answers in lessons, taking part, replaced ticks", "end of the school year after their own"],
    ["messages", "Children's messages", "30 days after they are in the school's own record"],
    ["cards", "Cards cancelled or run out", "60 days after that"],
    ["sessions", "Sign-ins", "a day after they began"]
];

const CLOCK = {
    back: "The server's clock is earlier than what is stored. The purge refuses to run until it is set right, and the days below cannot be trusted.",
    ahead: "Nothing has been stored for 45 days. Is the server's clock right? The purge asks before it goes on."
};

function table(plan) {
    const rows = KEPT.filter((k) => plan.now[k[0]] !== null);
    return el("div", { class: "table-box", tabindex: "0", role: "region", "aria-label": "What is deleted" }, el("table", { class: "table stack" },
        el("thead", null, el("tr", null, ["What", "When", "At the next purge", "Within 14 days"].map((h) => el("th", { scope: "col" }, h)))),
        el("tbody", null, rows.map(([key, what, when]) => el("tr", null, el("th", { scope: "row" }, what), el("td", { "data-label": "When" }, when),
            el("td", { class: "number", "data-label": "At the next purge" }, String(plan.now[key])), el("td", { class: "number", "data-label": "Within 14 days" }, String(plan.within_14_days[key])))))));
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
    return days.length ? el("ul", null, days.map((d) => el("li", null, el("strong", null, yearDay(d.on)), ": ",
        d.all[0].pupil ? d.all.map((l, i) => [i ? ", " : "", el("a", { href: "/staff/pupil?id=" + l.pupil.id }, l.pupil.display_name)]) : count(d.all.length, "child", "children"))))
        : el("p", { class: "quiet" }, "Nobody who has left is held now.");
}

export async function purgeBox() {
    const plan = await get("/purge-plan");
    return el("section", { class: "panel", id: "purge" }, el("h2", null, "What is deleted, and when"),
        el("p", null, "The purge runs on the server (", el("code", null, "thrice purge"), ", once a night where that has been set up) and deletes for good. Only what is still in backups can be brought back; delete those after 35 days. " +
            (plan.last_on ? "It last ran on " + yearDay(plan.last_on) + "." : "It has not run yet: ask whoever looks after the server to set it up.")),
        plan.clock === "fits" ? null : banner("wrong", el("p", null, CLOCK[plan.clock])),
        table(plan), el("p", { class: "small quiet" }, "Within 14 days counts what is due now as well. The record of who did what stays; it holds no names."),
        el("h3", null, "Children who have left, and the day they go"), leavers(plan),
        plan.leavers.length && plan.leavers[0].pupil ? el("p", { class: "small quiet" }, "Left by mistake? Open the child's page before that day: “Is back again”. A copy of a child's data is made there too.") : null);
}
