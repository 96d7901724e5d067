/* SPDX-License-Identifier: MIT
 * The school: dates, words of the bands, staff and rights, readers of messages, audit. Each part is
 * shown to those who may see it, and can be changed by those who may change it. */

import { get, post, put } from "../api.js";
import { el, fill, banner, choices } from "../dom.js";
import { field } from "../field.js";
import { start, titled, has, action, form, notice } from "./shell.js";
import { purgeBox } from "./purge.js";
import { sharesBox } from "./shares.js";
import { changeWords } from "./change-words.js";
import { dayWords, AUDIT_CODES, RIGHTS, SCHOOL_RIGHTS } from "./words.js";

const AMBER = {
    dpia: "The data protection impact assessment is not marked as done.", safeguarding_contact: "No safeguarding contact is entered.",
    terms: "No term dates yet: challenges close after four weeks, and messages do not know when school is open.", second_account: "There is one account only. A second one lets two people check each other."
};

function settings(data, office) {
    const s = data.school;
    const f = {
        name: field({ label: "Name of the school", name: "name", type: "text", value: s.name, maxlength: "80" }),
        zone: field({ label: "Time zone", name: "time_zone", type: "text", value: s.time_zone, maxlength: "60", hint: "As in the system's zone data, for example Europe/London" }),
        contact: field({ label: "Designated safeguarding lead: how to reach", name: "safeguarding_contact", type: "text", value: s.safeguarding_contact, maxlength: "200" }),
        away: field({ label: "What children read when school is closed", name: "away_phone", type: "text", value: s.away_phone, maxlength: "200", hint: "Whom to tell now, with a number. It stands before a message is sent and on the help page, which anybody can open. The lines about grown-ups and 999 always stay." }),
        dpia: field({ label: "Data protection impact assessment done on", name: "dpia", type: "date", value: s.dpia_done_on || "" })
    };
    if (!office) {
        return el("dl", { class: "facts" }, el("dt", null, "School"), el("dd", null, s.name), el("dt", null, "Safeguarding lead"), el("dd", null, s.safeguarding_contact || "not entered"));
    }
    return form({ class: "panel" }, async () => {
        await put("/school", { school: { name: f.name.control.value, time_zone: f.zone.control.value, safeguarding_contact: f.contact.control.value, away_phone: f.away.control.value, dpia_done_on: f.dpia.control.value || null } });
        notice("Saved.");
    }, el("h2", null, "The school"), Object.values(f), el("div", { class: "buttons" }, el("button", { class: "button" }, "Save")));
}

function terms(data, office) {
    if (!office) {
        return el("section", null, el("h2", null, "Term dates"), data.terms.length ? el("ul", null, data.terms.map((t) => el("li", null, t.name + ": " + dayWords(t.starts_on) + " to " + dayWords(t.ends_on)))) : el("p", null, "None entered."));
    }
    const list = data.terms.concat([{ name: "", starts_on: "", ends_on: "" }]).map((t, i) => ({
        name: field({ label: "Term", name: "term_" + i, type: "text", value: t.name, maxlength: "40" }),
        from: field({ label: "First day", name: "from_" + i, type: "date", value: t.starts_on }), to: field({ label: "Last day", name: "to_" + i, type: "date", value: t.ends_on })
    }));
    const closed = field({ tag: "textarea", label: "Days when school is closed within a term", name: "closed", rows: String(Math.min(8, Math.max(3, data.closed_days.length))), value: data.closed_days.join("\n"), hint: "One day a line, as 2026-10-26 (half-term, training days)" });
    return form({ class: "panel" }, async () => {
        await put("/school", { terms: list.filter((t) => t.name.control.value.trim()).map((t) => ({ name: t.name.control.value, starts_on: t.from.control.value, ends_on: t.to.control.value })),
            closed_days: closed.control.value.split(/\s+/).filter(Boolean) });
        notice("Saved.");
    }, el("h2", null, "Term dates"), list.map((t) => el("div", { class: "field-row term" }, t.name, t.from, t.to)), closed, el("div", { class: "buttons" }, el("button", { class: "button" }, "Save")));
}

function bands(data, may) {
    if (!may) {
        return el("section", null, el("h2", null, "Bands"), el("ol", null, data.band_words.map((w) => el("li", null, w))));
    }
    const words = [];
    for (let i = 0; i < 6; i += 1) {
        words.push(field({ label: i ? "Band " + (i + 1) : "Band 1 (lowest)", name: "band_" + i, type: "text", value: data.band_words[i] || "", maxlength: "60" }));
    }
    return form({ class: "panel" }, async () => {
        await put("/school", { band_words: words.map((w) => w.control.value.trim()).filter(Boolean) });
        notice("Saved.");
    }, el("h2", null, "Bands: the school's own words"), el("p", { class: "quiet" }, "Lowest first, two to six. Children never see them; families only in assessments that a teacher has shared."), el("div", { class: "fields-two" }, words),
    el("div", { class: "buttons" }, el("button", { class: "button" }, "Save")));
}

/* Three things that are off at first, each with what it means and why. */
const SWITCHES = {
    single_bands: ["Bands on a single challenge", "What the tries point to is then told from one challenge alone. Off at first, because three tries of one day place few children: all tries of the unit together say more."],
    distance_estimates: ["Estimates for another distance", "What tries from nearer or further away would likely give at the set distance, always labelled ESTIMATE. Off at first, because the size of the target at home matters more than any formula."],
    class_figures: ["Figures of a class", "How well a challenge tells children apart (ICC) and by how much one child's tries vary (typical error), and agreement of two teachers, as numbers. Off at first, because the sentence beside them says the same to anybody."]
};

function switchesBox(data, may) {
    if (!may) {
        return null;
    }
    const pick = choices({ legend: "Shown as well", name: "switches", type: "checkbox", picked: Object.keys(SWITCHES).filter((k) => data.switches[k]),
        choices: Object.keys(SWITCHES).map((k) => ({ value: k, text: SWITCHES[k][0], hint: SWITCHES[k][1] })) });
    return form({ class: "panel" }, async () => {
        const on = pick.values();
        const switches = {};
        Object.keys(SWITCHES).forEach((k) => { switches[k] = on.indexOf(k) >= 0; });
        await put("/school", { switches });
        notice("Saved.");
    }, el("h2", null, "What staff see of the assessment"), el("p", { class: "quiet" }, "For staff only. Children and families never see any of it."), pick,
    el("div", { class: "buttons" }, el("button", { class: "button" }, "Save")));
}

/* Machine-made words say so on the page until somebody at the school has read them. */
const SPOKEN = { pl: "Polish", ur: "Urdu" };

function wordsBox(data) {
    const pick = choices({ legend: "Somebody at the school has read", name: "words_read", type: "checkbox", picked: data.words_read, choices: Object.keys(SPOKEN).map((k) => ({ value: k, text: SPOKEN[k] })) });
    return form({ class: "panel" }, async () => {
        await put("/school", { words_read: pick.values() });
        notice("Saved.");
    }, el("h2", null, "Other languages"), el("p", { class: "quiet" }, "A machine made these words, and the child's and the family's pages say so. Tick a language once somebody who speaks it well has read the pages through. Words about safety stand beside their English in any case."), pick,
    el("div", { class: "buttons" }, el("button", { class: "button" }, "Save")));
}

function rightsForm(member, classes, work, text) {
    const rights = choices({ legend: "For the whole school", name: "rights", type: "checkbox", picked: member.rights, choices: Object.keys(SCHOOL_RIGHTS).map((k) => ({ value: k, text: SCHOOL_RIGHTS[k] })) });
    const rows = classes.map((c) => {
        const now = member.classes.find((x) => x.id === c.id);
        return { c, right: field({ label: c.name, name: "right_" + c.id, value: now ? now.right : "", choices: [{ value: "", text: "none" }].concat(Object.keys(RIGHTS).map((r) => ({ value: r, text: r }))) }),
            until: field({ label: now && now.over ? "last day (over)" : "last day (if any)", name: "until_" + c.id, type: "date", value: now && now.until ? now.until : "" }) };
    });
    return form(null, () => work({ rights: rights.values(), classes: rows.filter((r) => r.right.control.value).map((r) => ({ class: r.c.id, right: r.right.control.value, until: r.until.control.value || null })) }),
        rights, el("p", { class: "small quiet" }, "teach: everything of the class. help: who has sent, enter for a child, teaching points. read: results and shared assessments."),
        rows.map((r) => el("div", { class: "field-row right-row" }, r.right, r.until)), el("div", { class: "buttons" }, el("button", { class: "button" }, text)));
}

/* "PE lead, office · teach Acorn, Beech · read Cedar · over: help Damson" */
function staffNote(m) {
    const whole = m.rights.map((r) => SCHOOL_RIGHTS[r].split(":")[0]).join(", ");
    const by = Object.keys(RIGHTS).map((right) => {
        const names = m.classes.filter((c) => c.right === right && !c.over).map((c) => c.name);
        return names.length ? RIGHTS[right] + " " + names.join(", ") : "";
    });
    const over = m.classes.filter((c) => c.over).map((c) => RIGHTS[c.right] + " " + c.name);
    return [whole].concat(by, over.length ? "over: " + over.join(", ") : "").filter(Boolean).join(" · ") || "no rights yet";
}

function shown(passphrase, name, waits) {
    return banner("good", el("p", null, "Passphrase of " + name + ", shown once:"), el("p", { class: "big-number passphrase" }, passphrase), el("p", { class: "small" }, "Pass it on by hand. It has to be changed at the first sign-in."),
        waits ? el("p", null, "The account works at once. Children's messages stay closed to it until ", el("a", { href: "/staff/changes" }, "a second person accepts"), ".") : null);
}

async function staffBox(classes) {
    const { staff } = await get("/staff");
    const waiting = (await get("/pending-changes")).changes.filter((c) => c.state === "waiting");
    const asked = (m) => waiting.filter((c) => c.of.id === m.id);
    const wished = (m) => ({ rights: m.rights.concat(asked(m).filter((c) => c.kind === "safeguarding").map((c) => c.kind)), classes: m.classes });
    const out = el("div", { role: "status" });
    const box = el("section", { class: "panel" }, el("h2", null, "Staff and rights"));
    const again = async () => box.replaceWith(await staffBox(classes));
    const name = field({ label: "Name", name: "name", type: "text", maxlength: "60" });
    fill(box, el("h2", null, "Staff and rights"), el("p", null, "What lets somebody read children's messages, or accept that, waits for ", el("a", { href: "/staff/changes" }, "a second person"), "; all else holds at once."),
        out, staff.map((m) => el("details", { class: "staff-member" },
        el("summary", null, m.name + (m.disabled ? " (disabled)" : ""), el("span", { class: "hint" }, staffNote(m) + (asked(m).length ? " · waits for a second person" : ""))),
        asked(m).map((c) => el("p", { class: "small" }, changeWords(c))), rightsForm(wished(m), classes, async (wanted) => { await put("/staff/" + m.id, wanted); await again(); notice("Saved."); }, "Save the rights"),
        el("div", { class: "buttons" }, action("Issue a new passphrase", async () => { const issued = await post("/staff/" + m.id + "/passphrase"); fill(out, shown(issued.passphrase, m.name, issued.waits)); out.scrollIntoView({ block: "center" }); }, { class: "button-second" }),
            action(m.disabled ? "Let in again" : "Disable", async () => { await put("/staff/" + m.id, { disabled: !m.disabled }); await again(); }, { class: "button-careful" })))),
    el("details", { class: "staff-member" }, el("summary", null, "Add someone"), name, rightsForm({ rights: [], classes: [] }, classes, async (wanted) => {
        const answer = await post("/staff", { name: name.control.value, ...wanted });
        const fresh = await staffBox(classes);
        box.replaceWith(fresh);
        fresh.querySelector("[role=status]").appendChild(shown(answer.passphrase, answer.staff.name));
    }, "Add")));
    return box;
}

async function readersBox(classes) {
    const { staff } = await get("/staff");
    const details = await Promise.all(classes.filter((c) => c.kind === "class").map((c) => get("/classes/" + c.id)));
    return el("section", { class: "panel" }, el("h2", null, "Messages from children"),
        el("p", null, "Off for a class until two named members of staff read them each school day."),
        details.map((d) => {
            const may = staff.filter((m) => !m.disabled && (m.reads_all || m.classes.some((c) => c.id === d.class.id && c.reads)));
            const pick = choices({ name: "readers_" + d.class.id, type: "checkbox", row: true, picked: d.class.readers.map((r) => r.id), choices: may.map((m) => ({ value: m.id, text: m.name })) });
            return el("details", { class: "staff-member" }, el("summary", null, d.class.name, el("span", { class: "hint" }, d.class.messages_on ? "on, read by " + d.class.readers.map((r) => r.name).join(" and ") : "off")), may.length ? pick : el("p", null, "Nobody may read them yet: give somebody the class or the safeguarding right, and have a second person accept it."),
                el("div", { class: "buttons" }, action("Save", async () => { await put("/classes/" + d.class.id, { readers: pick.values() }); notice("Saved. Messages are " + (pick.values().length >= 2 ? "on." : "off.")); }, { class: "button-second" })));
        }));
}

/* "pupil:123" -> a link, "staff:123" -> the name where it is known here; the record itself holds ids only. */
function auditThing(text, names) {
    const [kind, id] = text.split(":");
    if (kind === "staff" && names.has(id)) {
        return names.get(id);
    }
    if (kind === "class" && names.has(id)) {
        return el("a", { href: "/staff/class?id=" + id }, names.get(id));
    }
    if (kind === "pupil" && id) {
        return el("a", { href: "/staff/pupil?id=" + id }, "a pupil", el("span", { class: "only-read" }, " " + id));
    }
    return id ? kind.replace(/_/g, " ") + " " + id.slice(-4) : kind.replace(/_/g, " ");
}

async function auditBox(names) {
    const list = el("tbody");
    let before = null;
    const more = action("Older", () => load(), { class: "button-second" });
    const load = async () => {
        const { rows, next } = await get("/audit" + (before ? "?before=" + before : ""));
        rows.forEach((r) => list.appendChild(el("tr", null, el("td", { class: "number" }, String(r.seq)), el("td", null, dayWords(r.on)), el("td", null, auditThing(r.actor, names)), el("td", null, r.action.replace(/_/g, " ")), el("td", null, auditThing(r.object, names)), el("td", null, r.action === "year moved up" ? "" : AUDIT_CODES[r.code] === undefined ? r.code.replace(/_/g, " ") : AUDIT_CODES[r.code]))));
        before = next;
        more.hidden = !next;
    };
    await load();
    return el("section", { class: "panel" }, el("h2", null, "Audit"), el("details", null, el("summary", null, "Who did what"), el("p", { class: "quiet" }, "The record holds ids only; names are put in here where you may see them."),
        el("div", { class: "table-box", tabindex: "0", role: "region", "aria-label": "Audit" }, el("table", { class: "table dense" },
            el("thead", null, el("tr", null, ["No.", "Day", "Who", "Did", "To", "Detail"].map((h) => el("th", { scope: "col" }, h)))), list)), el("div", { class: "buttons" }, more)));
}

start(async ({ session, body }) => {
    titled("School");
    const [data, { classes }] = await Promise.all([get("/school"), get("/classes")]);
    const office = has(session, "office");
    const known = office ? (await get("/staff")).staff.map((m) => [m.id, m.name]) : [[session.staff || session.id, session.display_name]];
    const asked = el("p", { hidden: true }, el("a", { href: "#purge" }, "What is deleted waits for an answer from the office"));
    const names = new Map(known.concat(classes.map((c) => [c.id, c.name])));
    fill(body, office && data.amber.length ? banner("careful", el("p", null, "Still to do:"), el("ul", null, data.amber.map((a) => el("li", null, AMBER[a])))) : null, asked,
        has(session, "pe_lead") ? el("p", null, el("a", { href: "/staff/counts" }, "Counts by year group, and what of them may be published")) : null,
        office || has(session, "safeguarding") ? el("p", null, el("a", { href: "/staff/year" }, office ? "The school year: classes move up, what is deleted when" : "What is deleted, and when")) : null,
        office || has(session, "safeguarding") ? el("p", null, el("a", { href: "/staff/changes" }, "Who may read children's messages: what waits for a second person")) : null,
        settings(data, office), terms(data, office), bands(data, office || has(session, "pe_lead")), switchesBox(data, office || has(session, "pe_lead")), office ? wordsBox(data) : null,
        office ? await staffBox(classes) : null, office ? await sharesBox(classes) : null, office ? await readersBox(classes) : null,
        office || has(session, "safeguarding") ? await purgeBox(session, (waits) => { asked.hidden = !waits; }) : null, office || has(session, "safeguarding") ? await auditBox(names) : null);
    const wanted = ["#shares", "#purge"].indexOf(window.location.hash) >= 0 ? body.querySelector(window.location.hash) : null;
    if (wanted) {
        wanted.scrollIntoView();
    }
});
