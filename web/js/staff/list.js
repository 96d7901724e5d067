/* SPDX-License-Identifier: MIT
 * The class list: pasted or uploaded, looked at first, then stored. Columns that are not needed are
 * named and dropped. One pupil can be typed too, and a group takes pupils of the school. */

import { get, post, call } from "../api.js";
import { el, fill, banner } from "../dom.js";
import { field } from "../field.js";
import { start, titled, action, form, classById, showError } from "./shell.js";
import { RIGHTS, codeWords, count, dayWords, yearGroup } from "./words.js";

const REFUSED = {
    duplicate: "is there already", too_long: "has a name longer than 40 signs", required: "has no name", not_text: "has signs that cannot be used",
    control_character: "has a sign that cannot be shown", bidi: "has a sign that turns text around", formula: "begins like a spreadsheet formula",
    other_class: "belongs to another class", class_required: "says no class", group: "names a teaching group; a group takes pupils from classes"
};
const ODD = { year_group: "year group not understood, left open", encoding: "read as Windows-1252; look at names with accents", forename_surname: "forename and first letter of the surname are used",
    longer_initial: "more letters of the surname, to tell two children apart", extra_cells: "more cells than headings", column_twice: "a second column of the same kind, dropped" };
const USED = { display_name: "the display name", year_group: "the year group", class: "the class", forename: "the display name", surname: "its first letter behind the forename" };

/* The bytes as they are: the server finds the encoding. */
function send(id, bytes, query) {
    return call("POST", "/classes/" + encodeURIComponent(id) + "/roster" + query, bytes, { type: "text/csv", wait: 60000 });
}

function report(r, stored) {
    const used = r.columns.filter((c) => c.used_as);
    return el("div", { class: "panel" },
        el("h2", null, stored ? "Stored" : "Look before it is stored"),
        el("p", null, stored ? count(r.added, "pupil was", "pupils were") + " added." : count(r.pupils.length, "pupil", "pupils") + " would be added."),
        used.length ? el("p", null, "Used: " + used.map((c) => "“" + c.header + "” as " + USED[c.used_as]).join("; ") + ".") : null,
        r.dropped.length ? el("p", null, el("strong", null, "Dropped, never stored: "), r.dropped.map((d) => "“" + d + "”").join(", ") + ".") : null,
        r.refused.length ? banner("wrong", el("p", null, count(r.refused.length, "row cannot", "rows cannot") + " be taken:"),
            el("ul", null, r.refused.slice(0, 50).map((x) => el("li", null, "Line " + x.line + " " + (REFUSED[x.code] || codeWords(x.code)) + ".")))) : null,
        r.odd.length ? banner("careful", el("p", null, "Worth a look:"),
            el("ul", null, r.odd.slice(0, 50).map((x) => el("li", null, (x.line ? "Line " + x.line + ": " : "") + (ODD[x.code] || "worth a look") + (x.text ? " (" + x.text + ")" : "") + ".")))) : null,
        el("details", { open: r.pupils.length <= 40 }, el("summary", null, "The names"),
            el("ol", { class: "columns" }, r.pupils.map((p) => el("li", null, p.display_name, " ", el("span", { class: "quiet" }, yearGroup(p.year_group)))))));
}

function importer(id, redraw) {
    const paste = field({ tag: "textarea", label: "Paste the list here", name: "paste", rows: "8", spellcheck: "false",
        hint: "One child a line, or a table with headings (name, year group). Names as the class uses them; no surname is needed." });
    const file = field({ label: "Or choose a file", name: "file", type: "file", accept: ".csv,.txt,.tsv,text/csv,text/plain", hint: "CSV, semicolons or tabs" });
    const out = el("div");
    const bytes = async () => {
        const chosen = file.control.files[0];
        return chosen ? new Uint8Array(await chosen.arrayBuffer()) : new TextEncoder().encode(paste.control.value);
    };
    const store = (data, partial, text) => action(text, async () => {
        let r;
        try {
            r = await send(id, data, partial ? "?partial=1" : "");
        } catch (error) {
            if (error.errors && error.errors.some((e) => e.line)) {
                await preview(data);     /* the class has changed since the preview: show it as it is now */
            }
            throw error;
        }
        paste.control.value = "";
        file.control.value = "";
        fill(out, report(r, true), el("p", null, el("a", { class: "button", href: "/staff/cards?class=" + id }, "Next: cards")));
        await redraw();
    }, partial ? { class: "button-second" } : {});
    const preview = async (data) => {
        const r = await send(id, data, "?dry_run=1");
        const good = r.pupils.length;
        fill(out, report(r, false), el("div", { class: "buttons" },
            r.refused.length ? (good ? store(data, true, "Store the " + count(good, "good row", "good rows") + " only") : null) : good ? store(data, false, "Store " + count(good, "pupil", "pupils")) : null));
    };
    return form({ class: "panel" }, async () => {
        const data = await bytes();
        if (!data.length) {
            paste.wrong("Paste some names or choose a file first.");
            return;
        }
        paste.wrong("");
        await preview(data);
    }, el("h2", null, "Bring in names"), paste, file, el("div", { class: "buttons" }, el("button", { class: "button" }, "Look at it first")), out);
}

function onePupil(id, redraw) {
    const next = el("div", { role: "status" });
    const name = field({ label: "Display name", name: "display_name", type: "text", maxlength: "40" });
    const year = field({ label: "Year group", name: "year_group", value: "", choices: [{ value: "", text: "not said" }].concat([0, 1, 2, 3, 4, 5, 6].map((y) => ({ value: String(y), text: yearGroup(y) }))) });
    return el("details", { class: "panel" }, el("summary", null, "Add one pupil"), el("p", { class: "small quiet" }, "For a child who joins in the middle of the year. A child of another class is moved by the office, on the child's own page: tries and assessments go along."), form(null, async () => {
        await post("/classes/" + id + "/pupils", { display_name: name.control.value, year_group: year.control.value === "" ? null : Number(year.control.value) });
        fill(next, banner("good", el("p", null, name.control.value + " was added and sees what is open for the class now."),
            el("p", null, el("a", { href: "/staff/cards?class=" + id }, "Make a card for those who have none"))));
        name.control.value = "";
        await redraw();
        name.control.focus();
    }, el("div", { class: "field-row" }, name, year), el("div", { class: "buttons" }, el("button", { class: "button" }, "Add")), next));
}

async function groupPicker(id, redraw) {
    const { classes } = await get("/classes");
    const from = field({ label: "From class", name: "from", value: "", choices: [{ value: "", text: "Choose" }].concat(classes.filter((c) => c.kind === "class").map((c) => ({ value: c.id, text: c.name }))) });
    const list = el("div");
    from.control.addEventListener("change", async () => {
        try {
            const { pupils } = from.control.value ? await get("/classes/" + from.control.value + "/pupils") : { pupils: [] };
            fill(list, el("ul", { class: "columns plain" }, pupils.filter((p) => !p.left).map((p) => el("li", null,
                action("Add " + p.display_name, async (button) => {
                    await post("/classes/" + id + "/pupils", { pupil: p.id });
                    button.remove();
                    await redraw();
                }, { class: "button-second" })))));
        } catch (error) {
            showError(error);
        }
    });
    return el("section", { class: "panel" }, el("h2", null, "Add pupils of the school to this group"), from, list);
}

start(async ({ params, body }) => {
    const wanted = params.get("class");
    if (!wanted) {
        const { classes } = await get("/classes");
        titled("Class list");
        fill(body, classes.length ? el("ul", { class: "tiles" }, classes.map((c) => el("li", null, el("a", { class: "tile", href: "/staff/list?class=" + c.id }, el("span", { class: "tile-name" }, c.name), el("span", { class: "tile-note" }, count(c.pupils, "pupil", "pupils"))))))
            : el("p", null, "Add a class first, on the ", el("a", { href: "/staff" }, "home page"), "."));
        return;
    }
    const id = encodeURIComponent(wanted);
    const klass = await classById(id);
    titled(klass.class.name, "Class list");
    const names = el("div");
    const redraw = async () => {
        const { pupils } = await get("/classes/" + id + "/pupils");
        fill(names, el("h2", null, count(pupils.filter((p) => !p.left).length, "pupil", "pupils")),
            pupils.length ? el("ol", { class: "columns" }, pupils.map((p) => el("li", null, el("a", { href: "/staff/pupil?id=" + p.id + "&class=" + id }, p.display_name), " ",
                el("span", { class: "quiet" }, yearGroup(p.year_group) + (p.left ? " has left" : ""))))) : el("p", { class: "quiet" }, "Nobody yet."));
    };
    await redraw();
    fill(body, names, klass.class.kind === "group" ? await groupPicker(id, redraw) : importer(id, redraw), klass.class.kind === "group" ? null : onePupil(id, redraw),
        el("section", null, el("h2", null, "Who can see this class"),
            klass.staff.length ? el("ul", null, klass.staff.map((s) => el("li", null, s.name + ": " + (RIGHTS[s.right] || s.right) + (s.until ? ", until " + dayWords(s.until) : "")))) : el("p", null, "Nobody yet.")),
        el("p", null, el("a", { href: "/staff/class?id=" + id }, "Who's done it"), " · ", el("a", { href: "/staff/cards?class=" + id }, "Cards")));
});
