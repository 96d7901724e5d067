/* SPDX-License-Identifier: MIT
 * Units of work: their lessons and the activities in each, to change, archive, save as a file and bring in
 * from one. A file is shown as what it would make before anything is stored. */

import { get, post, put } from "../api.js";
import { el, fill, announce, banner } from "../dom.js";
import { field } from "../field.js";
import { start, titled, form, has, action, notice } from "./shell.js";
import { count, InputError } from "./words.js";

const FILE_MOST = 256 * 1024;

async function bring(page, file, place) {
    if (file.size > FILE_MOST) {
        throw new InputError("That file is too large for a unit.");
    }
    let content;
    try {
        content = JSON.parse(await file.text());
    } catch (error) {
        throw new InputError("That file cannot be read. Choose a unit that was saved as a file here or in another school.");
    }
    const seen = await post("/unit-files?dry_run=1", content);
    fill(place, banner("careful", el("p", null, el("strong", null, seen.name), ": " + count(seen.lessons, "lesson", "lessons") + ", " + count(seen.activities.length, "activity", "activities") + "."),
        el("ul", null, seen.activities.map((a) => el("li", null, a.name, a.known ? " (you have it: yours is used)" : " (new)"))),
        el("p", { class: "small" }, "Read the new ones before you set them: they come from outside. Check space, kit and safety by your own school's rules."),
        el("div", { class: "buttons" }, action("Bring it in", async () => {
            await post("/unit-files", content);
            await page.load();
            notice(seen.name + " is among your units.");
        }), el("button", { type: "button", class: "button-second", onclick: () => fill(place) }, "Leave it"))));
    place.querySelector("button").focus();
}

function fileBox(page) {
    const place = el("div");
    const input = el("input", { type: "file", id: "unit-file", accept: ".json,application/json" });
    return form({ class: "panel" }, async () => {
        if (!input.files.length) {
            throw new InputError("Choose a file first.");
        }
        await bring(page, input.files[0], place);
    }, el("h2", null, "Bring in a unit from a file"), el("div", { class: "field" }, el("label", { for: "unit-file" }, "File"), input),
    el("div", { class: "buttons" }, el("button", { class: "button-second" }, "Look at it first")), place);
}

/* The unit as PUT takes it, changed in one way; drawn anew from what the server says. */
class UnitBox {
    constructor(page, unit) {
        this.page = page;
        this.unit = unit;
        this.node = el("article", { class: "panel", "aria-labelledby": "u" + unit.id });
        this.draw();
    }

    async change(parts, focus) {
        const lessons = (parts.lessons || this.unit.lessons).map((l) => ({ name: l.name, activities: l.activities.map((a) => a.id || a) }));
        const answer = await put("/units/" + this.unit.id, { name: parts.name || this.unit.name, lessons, ...(parts.archived ? { archived: true } : {}) });
        this.unit = answer.unit;
        this.draw();
        const again = focus && this.node.querySelector("[data-key='" + focus + "']");
        if (again) {
            again.focus();
        }
    }

    lessons(change) {
        const copy = this.unit.lessons.map((l) => ({ name: l.name, activities: l.activities.map((a) => a.id || a) }));
        change(copy);
        return copy;
    }

    moveButton(i, by, words) {
        const to = i + by;
        return el("button", { type: "button", class: "button-plain", "data-key": words + i, disabled: to < 0 || to >= this.unit.lessons.length, "aria-label": words + ", " + this.unit.lessons[i].name, onclick: () => this.run(async () => {
            await this.change({ lessons: this.lessons((l) => l.splice(to, 0, l.splice(i, 1)[0])) }, words + to);
            announce("Moved.");
        }) }, words);
    }

    run(work) {
        return this.page.run(work);
    }

    lesson(l, i) {
        const name = (a) => this.page.names.get(a.id || a) || "an archived activity";
        const pick = el("select", { "aria-label": "Add an activity to " + l.name, "data-key": "add" + i, onchange: () => pick.value && this.run(() => this.change({ lessons: this.lessons((all) => all[i].activities.push(pick.value)) }, "add" + i)) },
            [el("option", { value: "" }, "Add an activity …")].concat(Array.from(this.page.names).map(([id, text]) => el("option", { value: id }, text))));
        return el("li", null, el("strong", null, l.name), " ", this.moveButton(i, -1, "Up"), this.moveButton(i, 1, "Down"),
            el("button", { type: "button", class: "button-plain", "aria-label": "Take out " + l.name, onclick: () => this.run(() => this.change({ lessons: this.lessons((all) => all.splice(i, 1)) })) }, "Take out"),
            l.activities.length ? el("ul", null, l.activities.map((a, k) => el("li", null, name(a), " ", el("button", { type: "button", class: "button-plain", "aria-label": "Take " + name(a) + " out of " + l.name, onclick: () => this.run(() => this.change({ lessons: this.lessons((all) => all[i].activities.splice(k, 1)) }, "add" + i)) }, "Take out")))) : null,
            pick);
    }

    draw() {
        const { unit, page } = this;
        const head = el("h2", { id: "u" + unit.id }, unit.name);
        if (!page.mayChange) {
            fill(this.node, head, el("ol", null, unit.lessons.map((l) => el("li", null, l.name))));
            return;
        }
        const name = field({ label: "Name", name: "name", type: "text", maxlength: "80", value: unit.name });
        const lesson = field({ label: "A new lesson", name: "lesson", type: "text", maxlength: "80" });
        fill(this.node, head, el("p", { class: "quiet small" }, count(unit.lessons.length, "lesson", "lessons")),
            unit.lessons.length ? el("ol", null, unit.lessons.map((l, i) => this.lesson(l, i))) : null,
            form(null, () => {
                if (!lesson.control.value.trim()) {
                    throw new InputError("Give the lesson a name.");
                }
                return this.change({ lessons: this.lessons((all) => all.push({ name: lesson.control.value, activities: [] })) }, "lesson");
            }, el("div", { class: "field-row" }, lesson, el("button", { class: "button-second" }, "Add the lesson"))),
            el("details", null, el("summary", null, "Name, file, archive"),
                form(null, () => this.change({ name: name.control.value }), name, el("div", { class: "buttons" }, el("button", { class: "button-second" }, "Rename"))),
                el("div", { class: "buttons" }, el("a", { class: "button-second", href: "/api/v1/units/" + unit.id + "/file", download: "unit.json" }, "Save as a file"),
                    action("Archive", async () => {
                        await this.change({ archived: true });
                        await page.load();
                    }, { class: "button-plain" }))));
        lesson.control.setAttribute("data-key", "lesson");
    }
}

start(async ({ session, body }) => {
    const page = { mayChange: has(session, "pe_lead") || session.classes.some((c) => c.right === "teach") };
    const place = el("div");
    const runner = action("", (button) => button.work(), { hidden: true });
    page.run = (work) => {
        runner.work = work;
        runner.click();
    };
    page.load = async () => {
        const [{ units }, { activities }] = await Promise.all([get("/units"), get("/activities")]);
        page.names = new Map(activities.filter((a) => !a.archived).map((a) => [a.id, a.name]));
        fill(place, units.length ? units.map((u) => new UnitBox(page, u).node) : el("p", null, "No unit yet. One is made for the term with the first challenge; or make one here."));
    };
    titled("Units");
    const name = field({ label: "A new unit", name: "unit", type: "text", maxlength: "80" });
    await page.load();
    fill(body, el("p", null, "A unit holds lessons, and each lesson its activities. Challenges are set for a unit, and assessed at its end. A unit can go to another school as a file; nothing of a child or a person is in it."),
        runner, page.mayChange ? form(null, async () => {
            await post("/units", { name: name.control.value });
            name.control.value = "";
            await page.load();
            notice("The unit was made.");
        }, el("div", { class: "field-row" }, name, el("button", { class: "button" }, "Make it"))) : null,
        place, page.mayChange ? fileBox(page) : null);
});
