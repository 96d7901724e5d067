/* SPDX-License-Identifier: MIT
 * A second view. Without a class: the children I was asked about, one at a time, with the evidence
 * and a choice of bands. With ?unit= and ?class=: asking a colleague, both views side by side, and
 * what the two agreed on. */

import { get, post, put, del } from "../api.js";
import { el, fill, announce, banner, choices } from "../dom.js";
import { field } from "../field.js";
import { start, titled, form, action, notice } from "./shell.js";
import { dayWords, count, InputError, VERSIONS } from "./words.js";
import { lanesOverTime, lanesTable } from "../lanes.js";

const WHY = "You decide first, without the other’s view, so that two looks are really two.";

/* What I was asked for ----------------------------------------------------------------------------- */

function activityBox(a) {
    return el("section", { class: "panel" }, el("h3", null, a.line.activity.name, el("span", { class: "quiet" }, " · " + VERSIONS[a.line.version.kind])),
        el("p", { class: "small" }, a.scale ? "The school’s scale: " + a.scale + "." : "The school has set no lines for this version."),
        lanesOverTime({ line: a.line, last: 6 }), el("details", null, el("summary", null, "In figures"), lanesTable(a.line)));
}

function lessonBox(v) {
    const looked = v.cues.filter((c) => c.seen !== null);
    const rest = v.cues.length - looked.length;
    return el("section", null, el("h3", null, "From lessons"),
        looked.length ? el("ul", null, looked.map((c) => el("li", null, c.text + ": ", el("strong", null, c.seen ? "seen" : "looked for, not seen"), el("span", { class: "small quiet" }, " · " + c.activity)))) : null,
        el("p", { class: "small quiet" }, looked.length ? (rest ? count(rest, "other teaching point was", "other teaching points were") + " not looked for, which is not the same as not seen." : "")
            : "No teaching point was looked for yet."),
        el("dl", { class: "facts" }, el("dt", null, "Questions"), el("dd", null, v.questions_answered ? v.questions_right + " of " + v.questions_answered + " right" : "none answered"),
            el("dt", null, "Taking part"), el("dd", null, v.taking_part || "not recorded")),
        v.waiting ? el("p", { class: "small" }, count(v.waiting, "hand-in waits", "hand-ins wait") + " for a check and is not shown.") : null);
}

function giveForm(v, given) {
    const band = choices({ legend: "My view of " + v.display_name, name: "band", type: "radio", row: true, choices: v.band_words.map((word, i) => ({ value: String(i), text: word })) });
    return form({ class: "panel second-give" }, async () => {
        if (!band.values().length) {
            band.querySelector("input").focus();
            throw new InputError("Choose one of the bands first.");
        }
        await put("/second-views/" + v.id, { band: Number(band.values()[0]) });
        await given(v);
    }, band, el("p", { class: "small quiet" }, "It is given once and cannot be changed afterwards; you can talk about it with " + v.asked_by + "."),
    el("div", { class: "buttons" }, el("button", { class: "button" }, "Give my view")));
}

function oneBox(v, place, given) {
    return el("article", null, el("h2", { tabindex: "-1", id: "child" }, v.display_name, el("span", { class: "title-note" }, v.unit)),
        el("p", { class: "small quiet" }, (place ? place + " · " : "") + "asked by " + v.asked_by + ", " + dayWords(v.asked_on)),
        v.activities.length ? el("div", { class: "lines-two" }, v.activities.map(activityBox)) : el("p", null, "No tries that count yet. That says nothing about what the child can do."),
        lessonBox(v), giveForm(v, given));
}

async function asked(body) {
    const { views } = await get("/second-views");
    titled("Second view", "Asked of you");
    const head = [el("p", null, WHY), el("p", { class: "small quiet" }, "Here are the tries and what was seen in lessons. What they point to and what was decided is shown to you only after you have given your view. Thrice does not know the kit, the help or who is youngest in the year.")];
    const draw = (left, focus) => {
        if (!left.length) {
            fill(body, el("p", null, "Nothing is asked of you."), el("p", null, WHY), el("p", null, el("a", { href: "/staff" }, "Home")));
            return;
        }
        fill(body, head, oneBox(left[0], left.length > 1 ? count(left.length, "child", "children") + " to look at" : "", async (v) => {
            draw(left.slice(1), true);
            notice("Your view of " + v.display_name + " is given.");
        }));
        if (focus) {
            body.querySelector("#child").focus();
        }
    };
    draw(views, false);
}

/* As the one who asks ------------------------------------------------------------------------------ */

function askBox(data, pupils, where, redraw) {
    if (!data.may_ask.length) {
        return el("section", { class: "panel" }, el("h2", null, "Ask a colleague"), el("p", null, "Nobody else may see the results of this class yet. The office can give a colleague “read” on it."));
    }
    const staff = field({ label: "Colleague", name: "staff", choices: [{ value: "", text: "choose" }].concat(data.may_ask.map((s) => ({ value: s.id, text: s.name }))) });
    const who = choices({ legend: "Children", hint: "A few are enough: at most eight at once, best some at each band and some you are unsure of.", name: "pupils", type: "checkbox", row: true,
        choices: pupils.map((p) => ({ value: p.id, text: p.display_name })) });
    return form({ class: "panel no-print" }, async () => {
        if (!staff.control.value) {
            staff.control.focus();
            throw new InputError("Choose a colleague first.");
        }
        if (!who.values().length) {
            who.querySelector("input").focus();
            throw new InputError("Choose at least one child.");
        }
        const n = who.values().length;
        const name = data.may_ask.find((s) => s.id === staff.control.value).name;
        const answer = await post("/units/" + where.unit + "/second-views", { class: where.cls, staff: staff.control.value, pupils: who.values() });
        await redraw(answer);
        notice(name + " is asked about " + count(n, "child", "children") + " and sees it on the first page after signing in.");
    }, el("h2", null, "Ask a colleague"), staff, who, el("div", { class: "buttons" }, el("button", { class: "button" }, "Ask")));
}

function agreeCell(data, v, redraw) {
    if (v.hidden) {
        return el("span", { class: "quiet" }, "your own view first");
    }
    if (v.agreed) {
        return el("strong", null, v.agreed);
    }
    if (!v.given) {
        return action("Take back", async () => {
            await del("/second-views/" + v.id);
            await redraw();
            notice("Taken back: " + v.asked_of.name + " is no longer asked about " + v.pupil.display_name + ".");
        }, { class: "button-careful" });
    }
    if (!v.first) {
        return el("span", { class: "quiet" }, "decide the assessment first");
    }
    const same = v.first === v.second;
    const band = el("select", { "aria-label": "Agreed for " + v.pupil.display_name }, same ? null : el("option", { value: "" }, "choose"),
        data.band_words.map((word, i) => el("option", { value: String(i), selected: same && word === v.first }, word)));
    return el("div", { class: "decide no-print" }, band, action("We agreed", async () => {
        if (band.value === "") {
            band.focus();
            throw new InputError("Choose the band you both agreed on.");
        }
        await post("/second-views/" + v.id + "/agreement", { band: Number(band.value) });
        await redraw();
        notice("Recorded for " + v.pupil.display_name + (data.band_words[Number(band.value)] === v.first ? "." : "; the teacher assessment is now what you agreed on."));
    }, { class: "button-second" }));
}

function pairRow(data, v, redraw) {
    const cell = (label, ...content) => el("td", { "data-label": label }, ...content);
    return el("tr", null, el("th", { scope: "row", class: "pin" }, v.pupil.display_name),
        cell("Asked", v.asked_of.name, el("span", { class: "small quiet" }, " " + dayWords(v.asked_on))),
        cell("First view", v.hidden ? "hidden" : v.first || el("span", { class: "quiet" }, "none yet")),
        cell("Second view", v.hidden ? "hidden" : v.second || el("span", { class: "quiet" }, "not given yet")),
        cell("Agreed", agreeCell(data, v, redraw)));
}

function tableBox(data, redraw) {
    if (!data.views.length) {
        return el("p", null, "Nobody has been asked in this class and unit.");
    }
    return [el("div", { class: "table-box", tabindex: "0", role: "region", "aria-label": "Both views" }, el("table", { class: "table stack pairs" },
        el("thead", null, el("tr", null, ["Pupil", "Asked", "First view", "Second view", "Agreed"].map((h, i) => el("th", { scope: "col", class: i ? null : "pin" }, h)))),
        el("tbody", null, data.views.map((v) => pairRow(data, v, redraw))))),
    el("p", null, data.counts.sentence, data.counts.open ? " " + count(data.counts.open, "is", "are") + " not given yet." : ""),
    data.counts.kappa ? el("p", { class: "small" }, data.counts.kappa.sentence, data.counts.kappa.value === null ? "" :
        " Weighted kappa " + data.counts.kappa.value.toFixed(2) + " of " + data.counts.kappa.of + " compared: 0 is what chance alone would give, 1 is full agreement.") : null,
    el("p", { class: "small quiet" }, "Where the two differ, talk about what was seen, not about who is right.")];
}

async function asker(body, where) {
    const path = "/units/" + where.unit + "/second-views?class=" + where.cls;
    const [first, { pupils }] = await Promise.all([get(path), get("/classes/" + where.cls + "/pupils")]);
    const here = pupils.filter((p) => !p.left);
    const redraw = async (fresh) => {
        const data = fresh || await get(path);
        titled("Second view", data.unit.name);
        fill(body, el("p", null, "A colleague looks at the same evidence and says which band a child reaches, without seeing what was suggested or what you decided. Afterwards both stand side by side, and you two settle what holds."),
            data.views.some((v) => v.hidden) ? banner("careful", el("p", null, "You are asked for a view yourself. ", el("a", { href: "/staff/second" }, "Give it first"), "; until then these children’s bands are hidden from you.")) : null,
            el("p", { class: "small quiet" }, "It says how alike two people judge, and nothing about a child. ", el("a", { href: "/staff/words" }, "What the words mean")),
            el("h2", null, "Side by side"), tableBox(data, redraw), askBox(data, here, where, redraw),
            el("p", { class: "no-print" }, el("a", { href: "/staff/assess?unit=" + where.unit + "&class=" + where.cls }, "Back to the unit’s assessments")));
        announce(data.counts.sentence);
    };
    await redraw(first);
}

start(async ({ params, body }) => {
    const unit = encodeURIComponent(params.get("unit") || "");
    const cls = encodeURIComponent(params.get("class") || "");
    if (unit && cls) {
        await asker(body, { unit, cls });
    } else {
        await asked(body);
    }
});
