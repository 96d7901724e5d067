/* SPDX-License-Identifier: MIT
 * One pupil: lines over time, assessments, cards, and the few things that are held. Opening the
 * record is written to the audit. */

import { get, post, put, del } from "../api.js";
import { el, fill, banner } from "../dom.js";
import { field } from "../field.js";
import { start, titled, rightOn, has, action, form, notice } from "./shell.js";
import { dayWords, yearDay, yearGroup, VERSIONS, CARD_KINDS, count } from "./words.js";
import { lanesOverTime, lanesTable } from "../lanes.js";
import { cardSheet } from "./card-sheet.js";
import { whereBox, whereNow } from "./where.js";

function showMade(made, cards) {
    fill(made, cardSheet(cards));
    made.scrollIntoView({ block: "start" });
}

function lineBox(line) {
    return el("section", { class: "panel" }, el("h3", null, line.activity.name, el("span", { class: "quiet" }, " · " + VERSIONS[line.version.kind])),
        lanesOverTime({ line, last: 6 }), el("details", null, el("summary", null, "In figures"), lanesTable(line)));
}

async function cardsBox(pupil, mayFamily, made) {
    const { cards } = await get("/pupils/" + pupil.id + "/cards");
    const again = async () => box.replaceWith(await cardsBox(pupil, mayFamily, made));
    const rows = cards.map((c) => el("tr", null, el("th", { scope: "row" }, c.for === "pupil" ? "Pupil card" : "Family card"), el("td", null, CARD_KINDS[c.label]),
        el("td", null, "made " + dayWords(c.made_on) + (c.last_used_on ? ", last used " + dayWords(c.last_used_on) : ", not used yet")),
        el("td", null, c.live ? el("div", { class: "buttons-tight" },
            c.for === "pupil" || mayFamily ? action("Replace", async () => {
                const { cards: fresh } = await post("/pupils/" + pupil.id + "/cards", { holder: c.for, replace: c.id, label: c.label });
                showMade(made, fresh);
                await again();
            }, { class: "button-second" }) : null,
            action("Cancel", async () => { await del("/cards/" + c.id); await again(); notice("That card no longer opens anything. Whoever tries it now is told to ask school for a new one."); }, { class: "button-careful" })) : "no longer works")));
    const add = (holder, label, text) => action(text, async () => {
        const { cards: fresh } = await post("/pupils/" + pupil.id + "/cards", { holder, label });
        await again();
        showMade(made, fresh);
    }, { class: "button-second" });
    const box = el("section", null, el("h2", null, "Cards"), el("p", { class: "quiet" }, "Up to three of each kind. Each is cancelled alone. A card is shown once, when it is made."),
        cards.length ? el("div", { class: "table-box", tabindex: "0", role: "region", "aria-label": "Cards" }, el("table", { class: "table stack" }, el("tbody", null, rows))) : el("p", null, "No card yet."),
        el("details", null, el("summary", null, "Another card"), el("div", { class: "buttons" }, add("pupil", "home", "For home"), add("pupil", "other_home", "For the other home"), add("pupil", "school", "For school"),
            mayFamily ? add("family", "card_1", "For the family") : null)));
    return box;
}

function changeBox(pupil, office, teach) {
    const name = field({ label: "Display name", name: "display_name", type: "text", maxlength: "40", value: pupil.display_name, hint: "What the class calls the child. No surname is needed." });
    const year = field({ label: "Year group", name: "year_group", value: pupil.year_group === null ? "" : String(pupil.year_group),
        choices: [{ value: "", text: "not said" }].concat([0, 1, 2, 3, 4, 5, 6].map((y) => ({ value: String(y), text: yearGroup(y) }))) });
    const family = office ? field({ label: "Family page", name: "family_view", value: pupil.family_view,
        hint: "With a phrase, the card alone opens nothing: the family types three words that the office tells them.",
        choices: [{ value: "open", text: "open to family cards" }, { value: "two_part", text: "open to family cards with a phrase" }, { value: "off", text: "closed" }] }) : null;
    const phrase = el("div", { role: "status" });
    return form({ class: "panel" }, async () => {
        const body = { display_name: name.control.value, year_group: year.control.value === "" ? null : Number(year.control.value) };
        if (family) {
            body.family_view = family.control.value;
        }
        const changed = await put("/pupils/" + pupil.id, body);
        titled(changed.pupil.display_name, "Pupil");
        notice("Saved.");
        fill(phrase, changed.phrase ? banner("careful", el("p", null, "The family's phrase, shown once:"), el("p", { class: "passphrase" }, changed.phrase),
            el("p", { class: "small" }, "Tell it by telephone or face to face, after the school's own identity check. Never write it on the card. If it is lost, set the family page to open and back again for a new one.")) : null);
        if (changed.phrase) {
            phrase.scrollIntoView({ block: "center" });
        }
    }, el("h2", null, "What is held"), el("div", { class: "field-row" }, name, year), family, phrase,
    el("div", { class: "buttons" }, el("button", { class: "button" }, "Save")));
}

/* The day shown here is the teacher's; a child's line simply begins anew. */
function freshBox(pupil) {
    const from = field({ label: "From", name: "from", type: "date", value: pupil.fresh_start || "", hint: "A day of this school year, today at the latest." });
    const save = async (day, words) => {
        await put("/pupils/" + pupil.id + "/fresh-start", { from: day });
        pupil.fresh_start = day;
        const next = freshBox(pupil);
        box.replaceWith(next);
        notice(words);
    };
    const box = form({ class: "panel" }, async () => {
        if (!from.control.value) {
            from.wrong("Choose a day.");
            from.control.focus();
            return;
        }
        await save(from.control.value, "Personal bests and gains now count from " + dayWords(from.control.value) + ". Load the page again to see the lines.");
    }, el("h2", null, "Fresh start"),
    el("p", null, "Personal bests and gains count from this day. Nothing is deleted; bands are not changed by it."),
    el("p", { class: "small quiet" }, "The child's own line begins anew. It says no more than that, and no reason is kept."),
    from, el("div", { class: "buttons" }, el("button", { class: "button" }, pupil.fresh_start ? "Change the day" : "Give a fresh start"),
        pupil.fresh_start ? action("Take it back", () => save(null, "Taken back: all of this school year counts again."), { class: "button-second" }) : null));
    return box;
}

start(async ({ session, params, body }) => {
    const id = encodeURIComponent(params.get("id") || "");
    const { pupil } = await get("/pupils/" + id);
    const rights = pupil.classes.map((c) => rightOn(session, c.id));
    const teach = rights.indexOf("teach") >= 0;
    const office = has(session, "office");
    const results = teach || rights.indexOf("read") >= 0 || has(session, "pe_lead");
    titled(pupil.display_name, "Pupil");
    const place = el("p", null, whereNow(pupil));
    const record = results ? await get("/pupils/" + id + "/record") : null;
    const made = el("div"), cards = el("div");
    const draw = async () => fill(cards, teach || office ? await cardsBox(pupil, office, made) : null);
    await draw();
    fill(body, place,
        made,
        record ? el("h2", null, "Own lines") : null,
        record && pupil.fresh_start ? el("p", { class: "small quiet" }, "A fresh start: lines begin on " + dayWords(pupil.fresh_start) + ".") : null,
        record ? (record.lines.length ? el("div", { class: "lines-two" }, record.lines.map(lineBox)) : el("p", null, "No tries yet.")) : null,
        record && record.second_view ? el("p", { class: "small" }, "You owe a ", el("a", { href: "/staff/second" }, "second view of this child"), ". Until it is given, that unit's assessment is kept from you.") : null,
        record && record.assessments.length ? [el("h2", null, "Teacher assessment"), el("ul", null, record.assessments.map((a) =>
            el("li", null, a.word + ", " + dayWords(a.on) + ", " + a.by + (a.shared ? ", shared with the family" : ", not shared") + (a.in_bulk ? ", accepted in bulk" : ""))))] : null,
        record && record.seen.length ? [el("h2", null, "Teaching points seen"), el("ul", null, record.seen.map((s) => el("li", null, s.cue + ": " + (s.seen ? "seen" : "looked for, not seen") + ", " + dayWords(s.on))))] : null,
        record && record.lesson_answers.length ? [el("h2", null, "Questions in lessons"), el("ul", null, record.lesson_answers.map((a) => el("li", null, a.question + " " + (a.right ? "Right" : "Not yet right") + ", " + dayWords(a.on))))] : null,
        record && record.statements.length ? [el("h2", null, "Statements"), el("ul", null, record.statements.map((s) => el("li", null, s.text + ": " + (s.met ? "yes" : "not yet") + ", " + yearDay(s.on) + ", " + s.by)))] : null,
        teach || has(session, "pe_lead") ? freshBox(pupil) : null,
        cards,
        teach || office ? changeBox(pupil, office, teach) : null,
        office ? await whereBox(pupil, async (now) => {
            fill(place, whereNow(now));
            await draw(); /* a leaver's cards have ended */
        }) : null,
        results || office ? el("p", { class: "small no-print" }, el("a", { href: "/api/v1/exports/pupil.json?pupil=" + id }, "A copy of this child's data"),
            record ? " (sent " + count(record.hand_ins.length, "time", "times") + ")" : " (without results)") : null);
});
