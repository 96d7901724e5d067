/* SPDX-License-Identifier: MIT
 * The library: activities ready to take over, by strand and by what is at hand. What is taken is the
 * school's own from then on, to change, copy or archive. */

import { get, post } from "../api.js";
import { el, fill, announce } from "../dom.js";
import { field } from "../field.js";
import { start, titled, has, action } from "./shell.js";
import { KINDS, STRANDS, VERSIONS, count } from "./words.js";
import { distance } from "../words.js";
import { LIBRARY } from "./library/all.js";

const CHANGES = { space: "Space", task: "Task", equipment: "Equipment", people: "People" };

function list(items) {
    return el("ul", null, items.map((i) => el("li", null, i)));
}

function numbers(a) {
    const what = a.kind === "zones" ? a.zones.map((z) => z.name + " " + z.points).join(", ") : a.kind === "timed_count" ? "in " + a.seconds + " seconds" : a.throws ? "out of " + a.throws : a.lower_is_better ? "less time is better" : "more time is better, a minute at most";
    return [KINDS[a.kind] + ": " + what, a.distances_mm ? "from " + a.distances_mm.map(distance).join(", ") : null];
}

/* As a teacher reads it before it is taken. */
function whole(a) {
    const part = (head, ...rest) => [el("h4", null, head), ...rest];
    return el("div", null,
        part("Set it out", el("p", null, a.set_up)), part("Score", el("p", null, a.scoring), el("p", { class: "small quiet" }, numbers(a).filter(Boolean).join(" · "))),
        part("Kit, and what a home has instead", list(a.kit.map((k) => k.item + ", or " + k.swap))),
        part("Four ways to do it", el("dl", { class: "facts" }, a.versions.map((v) => [el("dt", null, VERSIONS[v.kind]), el("dd", null, v.how)]))),
        part("Teaching points", list(a.cues.map((c) => c.text))),
        part("Questions", el("ul", null, a.questions.map((q) => el("li", null, q.text, list(q.choices.map((c) => (c.right ? el("span", null, el("strong", null, c.text), " (right)") : c.text))))))),
        part("Easier, harder", el("dl", { class: "facts" }, a.steps.map((s) => [el("dt", null, CHANGES[s.change]), el("dd", null, s.easier + " / " + s.harder)]))),
        part("Safety", list(a.safety)));
}

/* What the server takes: all but the library's own key. */
function draftOf(a) {
    const draft = { ...a };
    delete draft.key;
    return draft;
}

function article(a, ours, mayTake) {
    const place = el("div", { class: "buttons" });
    const links = (id, words) => fill(place, el("span", { class: "quiet" }, words), el("a", { class: "button", href: "/staff/set?activity=" + id }, "Set it"), el("a", { class: "button-second", href: "/staff/activity?id=" + id }, "Change it"));
    const take = (words) => action(words, async () => {
        const { activity } = await post("/activities", draftOf(a));
        links(activity.id, "Taken over. ");
        place.querySelector("a").focus();
        announce(a.name + " is among your activities.");
    }, ours ? { class: "button-second" } : null);
    if (ours) {
        links(ours.id, "One of that name is there already. ");
    }
    if (mayTake) {
        place.appendChild(take(ours ? "Take it once more" : "Take it into our activities"));
    }
    return el("article", { class: "panel", "aria-labelledby": "l-" + a.key },
        el("h3", { id: "l-" + a.key }, a.name), el("p", null, a.summary),
        el("p", { class: "small quiet" }, numbers(a)[0] + " · kit: " + a.kit.map((k) => k.item).join(", ")),
        el("details", null, el("summary", null, "Look at it whole"), whole(a)), place);
}

start(async ({ session, body }) => {
    titled("Library");
    const mayTake = has(session, "pe_lead") || session.classes.some((c) => c.right === "teach");
    const { activities } = await get("/activities");
    const ours = (a) => activities.find((o) => !o.archived && o.name === a.name);
    const strand = field({ label: "Strand", name: "strand", value: "", choices: [{ value: "", text: "all" }].concat(Object.keys(STRANDS).map((s) => ({ value: s, text: STRANDS[s] }))) });
    const kit = field({ label: "With", name: "kit", type: "text", maxlength: "40", hint: "a word, such as sock, paper, rope" });
    const found = el("p", { class: "quiet", role: "status" });
    const place = el("div");
    const draw = () => {
        const word = kit.control.value.trim().toLowerCase();
        const some = LIBRARY.filter((a) => (!strand.control.value || a.strand === strand.control.value) &&
            (!word || a.kit.some((k) => (k.item + " " + k.swap).toLowerCase().indexOf(word) >= 0)));
        found.textContent = some.length ? count(some.length, "activity", "activities") + "." : "None with that. Clear the word, or choose another strand.";
        fill(place, Object.keys(STRANDS).filter((s) => some.some((a) => a.strand === s)).map((s) => [el("h2", null, STRANDS[s].charAt(0).toUpperCase() + STRANDS[s].slice(1)),
            some.filter((a) => a.strand === s).map((a) => article(a, ours(a), mayTake))]));
    };
    strand.control.addEventListener("change", draw);
    kit.control.addEventListener("input", draw);
    fill(body, el("p", null, "Activities of our own, each with four ways to do it. Look at one whole, then take it over: from then on it is your school's, to change or archive. Band lines are starting points, not norms."),
        el("p", { class: "small quiet" }, "Check the space and the kit where it will be done. The school's own rules for PE, and its safeguarding lead, come first."),
        el("div", { class: "field-row" }, strand, kit), found, place);
    draw();
});
