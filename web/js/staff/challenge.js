/* SPDX-License-Identifier: MIT
 * One challenge: every child's tries as lanes, what they point to with reasons, what is to check,
 * and entry on a child's behalf. Sorted by name, never by a result. */

import { get } from "../api.js";
import { el, fill } from "../dom.js";
import { start, titled, rightOn, has, notice } from "./shell.js";
import { shortValue } from "../words.js";
import { entryForm } from "./entry.js";
import { row } from "./challenge-row.js";
import { toCheck, classView } from "./challenge-class.js";
import { cancelledWords, classDates } from "./mend.js";

/* What has to be known first: that the children do not see it any more. */
function cancelledBanner(c, classId) {
    const gone = c.classes.filter((k) => k.cancelled && (!classId || k.id === classId));
    return gone.length ? el("div", { class: "banner" }, gone.map((k) => el("p", null, el("strong", null, k.name + ": "), cancelledWords(k)))) : null;
}

/* mend: {mayMend(classId), redraw()}; none: dates are only told. */
function facts(data, mayStart, mend) {
    const c = data.challenge;
    const standard = data.activity.versions.find((v) => v.kind === "standard");
    return el("dl", { class: "facts facts-tight" },
        el("dt", null, "Classes and dates"), el("dd", { class: "mend-line" }, classDates({ challenge: c, name: data.activity.name, mayMend: () => false, redraw: null, ...mend }),
            mayStart && !c.cancelled && !data.cancelled ? [el("a", { class: "no-print", href: "/staff/starts?id=" + c.id }, "Another first version for some")] : null),
        el("dt", null, "Unit"), el("dd", null, c.unit.name),
        el("dt", null, "Scoring"), el("dd", null, data.activity.scoring),
        standard && standard.band_lines.length ? [el("dt", null, "Band lines (standard)"),
            el("dd", null, standard.band_lines.map((v) => (data.activity.lower_is_better ? "" : "from ") + shortValue(v, data.activity.unit) + (data.activity.lower_is_better ? " or less" : "")).join(" · "), " when it was set; ", el("a", { href: "/staff/lines?activity=" + data.activity.id }, "lines now"))] : null);
}

/* The way to type a whole class's sheets. */
function pileLink(challenge, klass, name) {
    return el("p", { class: "link" }, el("a", { href: "/staff/paper?id=" + challenge.id + "&class=" + klass }, "A pile of sheets" + (name ? " of " + name : "")));
}

function printLink(challenge, klass) {
    return el("a", { class: "button-second", href: "/staff/sheets?id=" + challenge.id + "&class=" + klass }, "Sheets to print");
}

async function helperPage(id, body, session) {
    const data = await get("/challenges/" + id);
    titled(data.activity.name, "Challenge " + data.challenge.number + " · enter a hand-in");
    const mine = data.challenge.classes.find((c) => rightOn(session, c.id));
    const { pupils } = await get("/classes/" + mine.id + "/pupils");
    fill(body, cancelledBanner(data.challenge, mine.id), facts(data), el("section", { class: "panel" }, el("h2", null, "Enter for a child"),
        pileLink(data.challenge, mine.id), el("p", { class: "link" }, el("a", { href: "/staff/hall?id=" + data.challenge.id + "&class=" + mine.id }, "In the hall")), el("p", null, printLink(data.challenge, mine.id)),
        entryForm({ challenge: data.challenge, activity: data.activity, pupils: pupils.filter((p) => !p.left),
            done: (name) => notice("Stored for " + name + ".") })));
}

start(async ({ session, params, body }) => {
    const id = encodeURIComponent(params.get("id") || "");
    const classId = params.get("class") || "";
    const opened = await get("/challenges/" + id);
    const rights = opened.challenge.classes.map((c) => rightOn(session, c.id));
    const lead = has(session, "pe_lead");
    if (!lead && rights.indexOf("teach") < 0 && rights.indexOf("read") < 0) {
        await helperPage(id, body, session);
        return;
    }
    const mayMark = lead || rights.indexOf("teach") >= 0;
    const redraw = async () => {
        const data = await get("/challenges/" + id + "/results" + (classId ? "?class=" + encodeURIComponent(classId) : ""));
        const shown = data.challenge.classes.filter((k) => (!classId || k.id === classId) && (lead || rightOn(session, k.id)));
        data.cancelled = shown.length > 0 && shown.every((k) => k.cancelled);
        titled(data.activity.name, "Challenge " + data.challenge.number);
        const from = data.single_bands ? "this challenge alone" : "all tries of the unit at this activity";
        const mend = { redraw, mayMend: (k) => lead || rightOn(session, k) === "teach" };
        fill(body, cancelledBanner(data.challenge, classId), facts(data, mayMark, mend), toCheck(data, mayMark, redraw), data.class_view.map((v) => classView(v, data.activity.unit)),
            data.rows.length ? el("p", { class: "small quiet fold-note no-print" }, "“Why” opens a child’s tries as lanes, what changed, and the reasons.") : null,
            data.rows.length ? el("div", { class: "table-box", tabindex: "0", role: "region", "aria-label": "Results" },
                el("table", { class: "table results" },
                    el("thead", null, el("tr", null, el("th", { scope: "col", class: "pin" }, "Pupil"), el("th", { scope: "col" }, "Done?"),
                        el("th", { scope: "col" }, "Tries"), el("th", { scope: "col" }, "What changed"),
                        el("th", { scope: "col" }, "What the tries point to", el("span", { class: "hint" }, "from " + from)))),
                    el("tbody", null, data.rows.map((r) => row(data, r, mayMark, redraw))))) : el("p", null, "No pupil in these classes yet."),
            el("p", { class: "small quiet" }, data.note, " ", el("a", { class: "no-print", href: "/staff/words" }, "What the words mean")),
            el("div", { class: "buttons no-print" }, data.challenge.classes.filter((c) => lead || rightOn(session, c.id)).map((c) =>
                el("a", { class: "button-second", href: "/staff/assess?unit=" + data.challenge.unit.id + "&class=" + c.id }, "Assess " + c.name)),
                data.cancelled ? null : printLink(data.challenge, classId || shown[0].id)),
            rights.indexOf("teach") >= 0 ? el("section", { class: "panel no-print" }, el("h2", null, "Enter for a child"),
                data.challenge.classes.filter((c) => rightOn(session, c.id) === "teach").map((c) => pileLink(data.challenge, c.id, c.name)),
                entryForm({ challenge: data.challenge, activity: data.activity, pupils: data.rows.map((r) => r.pupil),
                    done: async (name) => { await redraw(); notice("Stored for " + name + "."); } })) : null);
    };
    await redraw();
});
