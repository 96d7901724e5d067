/* SPDX-License-Identifier: MIT
 * Sheets to print for one challenge and class: the home sheet, a blank mark sheet for the hall, and slips
 * for those from whom nothing has come yet. Black on white, A4. Sorted by name, never by a result. */

import { get } from "../api.js";
import { el, fill, choices } from "../dom.js";
import { field } from "../field.js";
import { start, titled, rightOn, has } from "./shell.js";
import { homeSheet } from "./home-sheet.js";
import { unitName } from "../words.js";
import { VERSIONS, count, dayWords } from "./words.js";

const MARK_ROWS = 32;       /* children on one side of A4 */

/* A blank row a child: tries, distance, and a box for each teaching point seen. */
function markPage(o, pupils) {
    const { activity, challenge, klass } = o;
    const { cues } = activity;
    const tries = Array.from({ length: activity.attempts }, (_, i) => i + 1);
    return el("article", { class: "sheet mark-sheet", tabindex: "0", role: "region", "aria-label": "Mark sheet" },
        el("div", { class: "sheet-head" }, el("h1", null, activity.name + ": " + klass.name), el("p", { class: "sheet-number" }, "Number ", el("strong", null, String(challenge.number)))),
        el("p", { class: "small" }, "Tries in " + unitName(activity.unit) + ". A tick: the teaching point was seen. A dash: looked for, not seen. Empty: not looked. Day: ____________"),
        el("table", { class: "mark-table" },
            el("thead", null, el("tr", null, el("th", { scope: "col" }, "Name"), tries.map((n) => el("th", { scope: "col" }, "Try " + n)),
                activity.distances_mm.length ? el("th", { scope: "col" }, "How far") : null, cues.map((c) => el("th", { scope: "col", class: "mark-cue" }, c.text)))),
            el("tbody", null, pupils.map((p) => el("tr", null, el("th", { scope: "row" }, p.display_name), tries.map(() => el("td", null)),
                activity.distances_mm.length ? el("td", null) : null, cues.map(() => el("td", null)))))));
}

function markSheets(o) {
    const pages = [];
    for (let i = 0; i < o.pupils.length; i += MARK_ROWS) {
        pages.push(markPage(o, o.pupils.slice(i, i + MARK_ROWS)));
    }
    return pages;
}

/* No blame in it: there is still time, or there is another way. */
function slip(o, pupil) {
    const { activity, challenge } = o;
    const open = new Date(challenge.closes_at) > new Date();
    return el("li", { class: "not-yet-slip" },
        el("p", null, el("strong", null, pupil.display_name)),
        el("p", null, open ? "There is still time for " : "You can still tell us about ", el("strong", null, activity.name), " (number " + challenge.number + ")",
            open ? ", until " + dayWords(challenge.closes_at) + "." : "."),
        el("p", null, "No space, no things, no screen? That is fine. Tell us, or ask for a sheet of paper or a go at school."));
}

function slips(o) {
    const column = o.grid.challenges.findIndex((c) => c.id === o.challenge.id);
    const waiting = column < 0 ? [] : o.grid.pupils.filter((p) => p.cells[column].state === "not_yet");
    return waiting.length ? el("ul", { class: "not-yet-slips" }, waiting.map((p) => slip(o, p)))
        : el("p", null, "Something has come from every child of this class. No slip is needed.");
}

const MAKE = {
    home: (o) => (o.named ? o.pupils.map((pupil) => homeSheet(Object.assign({ pupil }, o))) : homeSheet(o)),
    mark: markSheets,
    slips
};

function words(kind, o) {
    if (kind === "home") {
        return o.named ? count(o.pupils.length, "sheet", "sheets") + ", one a child." : "One sheet without a name: print as many as you need.";
    }
    return kind === "mark" ? "A row a child, to fill in by hand; the names stand on it, so keep it as you keep a register." : "For those from whom nothing has come. Cut along the lines and hand them out quietly.";
}

start(async ({ session, params, body }) => {
    const { challenge, activity } = await get("/challenges/" + encodeURIComponent(params.get("id") || ""));
    const mine = challenge.classes.filter((c) => rightOn(session, c.id) || has(session, "pe_lead"));
    const klass = mine.find((c) => c.id === params.get("class")) || mine[0];
    Object.assign(challenge, { opens_at: klass.opens_at, due_at: klass.due_at, closes_at: klass.closes_at });     /* this class's */
    if (klass.cancelled) {
        titled("Sheets", activity.name + " · " + klass.name);
        fill(body, el("p", null, "This challenge is cancelled for " + klass.name + ", so there is nothing to print. ", el("a", { href: "/staff/challenge?id=" + challenge.id + "&class=" + klass.id }, "Look at the challenge")));
        return;
    }
    titled("Sheets", activity.name + " · " + klass.name);
    const [{ pupils }, grid] = await Promise.all([get("/classes/" + klass.id + "/pupils"), get("/classes/" + klass.id + "/grid?all=1")]);
    const kind = choices({ legend: "Print", name: "kind", row: true, picked: [MAKE[params.get("kind")] ? params.get("kind") : "home"], onchange: () => draw(),
        choices: [{ value: "home", text: "home sheets" }, { value: "mark", text: "a blank mark sheet" }, { value: "slips", text: "slips for “not yet”" }] });
    const version = field({ label: "Way of doing it", name: "version", value: activity.versions[0].id, choices: activity.versions.map((v) => ({ value: v.id, text: VERSIONS[v.kind] || v.kind })) });
    const named = choices({ legend: "Names", name: "named", row: true, picked: ["no"], onchange: () => draw(),
        choices: [{ value: "no", text: "a line to write it on" }, { value: "yes", text: "one sheet for each child" }] });
    const homeOnly = el("div", { class: "field-row" }, version, named);
    const place = el("div", { class: "sheets" });
    const says = el("p", { class: "quiet", role: "status" });
    const draw = () => {
        const what = kind.values()[0];
        const o = { challenge, activity, klass, grid, pupils: pupils.filter((p) => !p.left), named: named.values()[0] === "yes",
            version: activity.versions.find((v) => v.id === version.control.value) };
        homeOnly.hidden = what !== "home";
        says.textContent = words(what, o);
        fill(place, MAKE[what](o));
    };
    version.control.addEventListener("change", draw);
    fill(body, el("div", { class: "no-print" }, kind, homeOnly, says,
        el("div", { class: "buttons" }, el("button", { type: "button", class: "button", onclick: () => window.print() }, "Print"),
            el("a", { class: "button-second", href: "/staff/class?id=" + klass.id }, "Who's done it")),
        mine.length > 1 ? el("p", { class: "small" }, "Class: ", mine.map((c) => [el("a", { href: "/staff/sheets?id=" + challenge.id + "&class=" + c.id, "aria-current": c === klass ? "page" : null }, c.name), " "])) : null), place);
    draw();
});
