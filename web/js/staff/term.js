/* SPDX-License-Identifier: MIT
 * A term week by week: what opens, is due and closes for each class, so that a full week and an empty one
 * are seen before they come. */

import { get } from "../api.js";
import { el, fill } from "../dom.js";
import { field } from "../field.js";
import { start, titled, has } from "./shell.js";
import { dayWords } from "./words.js";
import { dayIn, inWeek, weeksOf } from "./weeks.js";

const SIGNS = { opens: "▷", due: "◆", closes: "■", open: "–" };
const WORDS = { opens: "opens", due: "due", closes: "closes", open: "goes on" };
const SHORT = ["Sun", "Mon", "Tue", "Wed", "Thu", "Fri", "Sat"];

function weekday(day) {
    return day ? " " + SHORT[new Date(day + "T12:00:00Z").getUTCDay()] : "";
}

function entry(challenge, events) {
    return el("li", null, el("span", { "aria-hidden": "true" }, events.map((e) => SIGNS[e.name]).join("") + " "),
        el("a", { href: "/staff/challenge?id=" + challenge.id }, challenge.activity.name), ": " + events.map((e) => WORDS[e.name] + weekday(e.day)).join(", "));
}

function table(data, term, classes, today) {
    const { zone } = data;
    const weeks = weeksOf(term, data.closed);
    const now = weeks.filter((w) => w.monday <= today).pop();
    return el("div", { class: "table-box", tabindex: "0", role: "region", "aria-label": "The term by weeks" }, el("table", { class: "table term" },
        el("caption", { class: "only-read" }, term.name + ", week by week"),
        el("thead", null, el("tr", null, el("th", { scope: "col", class: "pin" }, "Week of"), classes.map((c) => el("th", { scope: "col" }, c.name)))),
        el("tbody", null, weeks.map((w) => el("tr", null,
            el("th", { scope: "row", class: "pin" }, dayWords(w.monday, "short"), w === now ? el("strong", null, " · now") : null,
                w.closed ? el("span", { class: "hint" }, w.closed === w.days ? "closed" : w.closed + " of " + w.days + " days closed") : w.days < 5 ? el("span", { class: "hint" }, w.days === 1 ? "1 day" : w.days + " days") : null),
            classes.map((c) => {
                const own = data.challenges.map((h) => [h, h.classes.find((k) => k.id === c.id && !k.cancelled)]).filter(([, k]) => k).map(([h, k]) => [h, inWeek(zone, k, w.monday)]).filter(([, events]) => events.length);
                return el("td", null, own.length ? el("ul", { class: "plain" }, own.map(([h, events]) => entry(h, events))) : el("span", { class: "quiet" }, w.closed === w.days ? "" : "nothing set"));
            }))))));
}

start(async ({ session, body }) => {
    titled("Term", "week by week");
    const [school, { challenges }, { classes }] = await Promise.all([get("/school"), get("/challenges?state=all"), get("/classes")]);
    const mine = classes.filter((c) => c.right || has(session, "pe_lead"));
    if (!school.terms.length || !mine.length) {
        fill(body, el("p", null, mine.length ? "The school has no term dates yet. The office types them on the School page." : "You have no class yet."), el("p", null, el("a", { href: "/staff/school" }, "School")));
        return;
    }
    const zone = school.school.time_zone;
    const today = dayIn(zone, new Date());
    const data = { zone, challenges, closed: school.closed_days };
    const current = school.terms.find((x) => today <= x.ends_on) || school.terms[school.terms.length - 1];
    const term = field({ label: "Term", name: "term", value: current.starts_on, choices: school.terms.map((x) => ({ value: x.starts_on, text: x.name + ", from " + dayWords(x.starts_on, "short") })) });
    const klass = field({ label: "Class", name: "class", value: "", choices: [{ value: "", text: "all of mine" }].concat(mine.map((c) => ({ value: c.id, text: c.name }))) });
    const place = el("div");
    const draw = () => fill(place, table(data, school.terms.find((x) => x.starts_on === term.control.value), mine.filter((c) => !klass.control.value || c.id === klass.control.value), today));
    term.control.addEventListener("change", draw);
    klass.control.addEventListener("change", draw);
    fill(body, el("p", { class: "no-print" }, "What opens, is due and closes, week by week. Empty weeks are shown too, so that a gap can be a choice."),
        el("div", { class: "field-row no-print" }, term, klass), place,
        el("p", { class: "small quiet" }, Object.keys(SIGNS).map((k) => SIGNS[k] + " " + WORDS[k]).join(" · ")),
        el("div", { class: "buttons no-print" }, el("a", { class: "button", href: "/staff/set" }, "Set a challenge"), el("button", { type: "button", class: "button-second", onclick: () => window.print() }, "Print")));
    draw();
});
