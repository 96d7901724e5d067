/* SPDX-License-Identifier: MIT
 * The end of the school year: a plan by class and year group, changed until it fits, then done as a whole.
 * The server works out the plan; this page says what the office wants instead and shows what would come of
 * it after every change. What is done is exactly what was shown, or nothing. */

import { get, post, uuid7 } from "../api.js";
import { el, fill, banner, choices, announce, focusOn, byId } from "../dom.js";
import { field } from "../field.js";
import { start, titled, has, action, form, showError } from "./shell.js";
import { purgeBox } from "./purge.js";
import { InputError, count, dayWords, yearDay, yearGroup } from "./words.js";

const AGAIN_DAYS = 180;         /* within which the server asks once more */
const DAY_MS = 86400000;

function problemWords(problem, plan) {
    const klass = plan.classes.find((c) => c.class.id === problem.class);
    const who = problem.names.join(", ");
    return {
        choose: klass.class.name + ": say where " + (yearGroup(problem.year_group) || "the children") + " goes.",
        duplicate: klass.name + " would have two children called " + who + ". Change one display name on the child's page first.",
        taken: "Two classes or groups would be called " + klass.name + ".",
        not_empty: klass.class.name + " is to go to the archive, but " + count(klass.after, "child", "children") + " would be in it.",
        out_of_range: klass.class.name + ": there is no year group above Year 7."
    }[problem.code];
}

function countsBox(plan) {
    const c = plan.counts;
    const archived = plan.classes.filter((k) => k.archived).map((k) => k.class.name);
    const renamed = plan.classes.filter((k) => !k.archived && k.name !== k.class.name).map((k) => k.class.name + " becomes " + k.name);
    return el("ul", { class: "year-counts" },
        el("li", null, el("strong", null, count(c.up, "child", "children")) , " a year group up, ", el("strong", null, String(c.go)), " of them into another class"),
        el("li", null, el("strong", null, count(c.leave, "child leaves", "children leave")), c.leave ? ": the cards end today, and all that is held is deleted 60 days later" : ""),
        c.year_not_said ? el("li", null, count(c.year_not_said, "child has", "children have") + " no year group; that stays so") : null,
        renamed.length ? el("li", null, renamed.join(", ")) : null,
        archived.length ? el("li", null, "Into the archive: " + archived.join(", ")) : null,
        plan.without_class.length ? el("li", null, "In no class, and left as they are: ", plan.without_class.map((p, i) => [i ? ", " : "", el("a", { href: "/staff/pupil?id=" + p.id }, p.display_name)])) : null);
}

function partBox(plan, klass, part, changed) {
    const years = yearGroup(part.year_group) || "Year group not said";
    const others = plan.classes.filter((c) => c.class.id !== klass.class.id);
    const to = field({ label: years + " of " + klass.class.name, name: "to", value: part.to || "",
        choices: (part.to ? [] : [{ value: "", text: "Choose" }]).concat({ value: "stay", text: "stays in the class" }, others.map((c) => ({ value: c.class.id, text: "goes to " + c.class.name })), { value: "leave", text: "leaves the school" }) });
    to.control.addEventListener("change", changed);
    const then = el("span");
    const box = el("div", { class: "year-part" }, to, el("details", null, el("summary", null, count(part.children.length, "child", "children"), then), el("ul", { class: "columns" }, part.children.map((p) => el("li", null, el("a", { href: "/staff/pupil?id=" + p.id }, p.display_name))))));
    box.tell = (next) => { then.textContent = next.becomes === null ? "" : ", then " + yearGroup(next.becomes); };
    box.wish = () => (to.control.value ? { year_group: part.year_group, to: to.control.value } : null);
    return box;
}

function classBox(plan, klass, changed) {
    const name = field({ label: "Name afterwards", name: "name", type: "text", maxlength: "40", value: klass.name });
    const archive = choices({ name: "archive_" + klass.class.id, type: "checkbox", tight: true, picked: klass.archived ? ["archive"] : [], choices: [{ value: "archive", text: "Put " + klass.class.name + " into the archive" }], onchange: changed });
    name.control.addEventListener("change", changed);
    const parts = klass.parts.map((p) => partBox(plan, klass, p, changed));
    const after = el("p", { class: "small" });
    const box = el("section", { class: "panel year-class", "aria-label": klass.class.name }, el("h2", null, klass.class.name),
        parts.length ? parts : el("p", { class: "quiet" }, "Nobody in it."), el("div", { class: "field-row" }, name, archive), after);
    box.wish = () => ({ class: klass.class.id, name: name.control.value, archived: archive.values().length > 0, parts: parts.map((p) => p.wish()).filter(Boolean) });
    box.tell = (next) => {
        name.hidden = next.archived;
        parts.forEach((p, i) => p.tell(next.parts[i]));
        fill(after, next.archived ? "Afterwards in the archive: no list shows it, results stay with the children." : "Afterwards " + next.name + ": " + count(next.after, "child", "children") + ".");
    };
    return box;
}

/* What remains for people to do once the classes have moved up. */
function doneBox(plan, on) {
    const kept = plan.classes.filter((c) => !c.archived);
    return el("div", null, banner("good", el("p", null, "Done on " + dayWords(on) + ", all of it:"), countsBox(plan)),
        el("h2", null, "What is next"), el("ol", null,
            el("li", null, "Staff keep the classes they had. ", el("a", { href: "/staff/school#shares" }, "Look who shares which class"), " and change it."),
            el("li", null, "Children's cards still work, with the class of before on them. Make them anew where a class has changed: ", kept.map((c, i) => [i ? ", " : "", el("a", { href: "/staff/cards?class=" + c.class.id }, "cards of " + c.name)]), "."),
            el("li", null, "Family cards end on 31 August. Make new ones after that day, on the same pages."),
            el("li", null, "A class that is new next year is added on the ", el("a", { href: "/staff" }, "home page"), "."),
            el("li", null, "Whoever left by mistake: choose “Is back again” on the child's own page, within 60 days.")));
}

async function planner(body, session) {
    const id = uuid7();
    let plan = await post("/year/plan", {});
    let boxes = [];
    let asked = 0;
    let waiting = 0;
    const told = el("div");
    const list = el("div");
    const again = choices({ name: "again", type: "checkbox", choices: [{ value: "again", text: "This is another school year: move up once more" }] });
    const top = field({ label: "Who leaves", name: "top_year", value: "6", choices: [0, 1, 2, 3, 4, 5, 6, 7].map((y) => ({ value: String(y), text: yearGroup(y) + (y < 7 ? " and above" : "") })) });
    const saved = choices({ name: "backed_up", type: "checkbox", choices: [{ value: "yes", text: "A backup of today has been made", hint: "whoever looks after the server makes it: thrice backup FILE --data DIR" }] });
    const wishes = () => ({ top_year: Number(top.control.value), classes: boxes.map((b) => b.wish()) });
    const tell = () => {
        boxes.forEach((b, i) => b.tell(plan.classes[i]));
        fill(told, countsBox(plan), plan.problems.length ? banner("wrong", el("p", null, "Before it can be done:"), el("ul", null, plan.problems.map((p) => el("li", null, problemWords(p, plan))))) : null);
        again.hidden = !plan.last_on || Date.now() - new Date(plan.last_on + "T12:00:00Z") > AGAIN_DAYS * DAY_MS;
    };
    const changed = async () => {
        asked += 1;
        waiting += 1;
        const mine = asked;
        try {
            const next = await post("/year/plan", wishes());
            if (mine === asked) {       /* a later change has its own answer */
                plan = next;
                tell();
                announce(plan.problems.length ? count(plan.problems.length, "thing stands", "things stand") + " in the way." : "The plan fits.");
            }
        } catch (error) {
            showError(error);
        } finally {
            waiting -= 1;
        }
    };
    const draw = () => {
        boxes = plan.classes.map((c) => classBox(plan, c, changed));
        fill(list, boxes);
        tell();
    };
    const propose = async () => {
        plan = await post("/year/plan", { top_year: Number(top.control.value) });
        draw();
    };
    top.control.addEventListener("change", () => propose().catch(showError));
    draw();
    const doing = form({ class: "panel panel-coral" }, async () => {
        if (!saved.values().length) {
            showError(new InputError("Say first that a backup of today has been made."));
            return;
        }
        if (waiting) {      /* nobody has seen yet what the last change comes to */
            showError(new InputError("The plan is just being worked out again. Look at the counts, then press once more."));
            return;
        }
        let done;
        try {
            done = await post("/year/move", { id, seen: plan.seen, backed_up: true, again: again.values().length > 0, ...wishes() }, { wait: 60000 });
        } catch (error) {
            if (error.code && error.code("plan_changed")) {
                await changed();
            }
            throw error;
        }
        fill(body, doneBox(plan, done.on));
        focusOn(byId("title"));
        byId("purge").replaceWith(await purgeBox(session));
    }, el("h2", null, "Do it"), el("p", null, el("strong", null, "This cannot be undone in one step."), " Only a backup brings back the day before. It is done as a whole or not at all."), saved, again,
    el("div", { class: "buttons" }, el("button", { class: "button" }, "Move up now")));
    return el("div", null, plan.last_on ? banner("careful", el("p", null, "The classes moved up last on " + yearDay(plan.last_on) + ".")) : null,
        el("section", { class: "panel panel-sun" }, el("h2", null, "The plan"), top, told),
        list, doing, el("div", { class: "buttons no-print" }, action("Propose anew", propose, { class: "button-second" }), action("Print the plan", async () => {
            list.querySelectorAll("details").forEach((d) => { d.open = true; });
            window.print();
        }, { class: "button-second" })));
}

start(async ({ session, body }) => {
    titled("The school year");
    const purge = has(session, "office") || has(session, "safeguarding") ? await purgeBox(session) : null;
    if (!has(session, "office")) {
        fill(body, el("p", null, "Moving classes up is for the office."), purge);
        return;
    }
    const { classes } = await get("/classes");
    const moving = el("div");
    fill(moving, el("p", { class: "quiet" }, "At the end of the school year, or on the first days of the next, every child goes up a year group, and those at the top leave. A class called after its year group gets the next name; from other classes the children go on to the class above, year group by year group. Look at the plan, change what is to be otherwise, then do it: nothing is stored before the last button."),
        classes.some((c) => c.kind === "class") ? await planner(moving, session) : el("p", { class: "lead" }, "No class yet, so nobody moves up. Add the first one on the ", el("a", { href: "/staff" }, "home page"), "."));
    fill(body, moving, purge);
});
