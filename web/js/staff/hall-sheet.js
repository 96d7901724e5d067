/* SPDX-License-Identifier: MIT
 * The sheet of one hour: the class by name, and one child's tries and teaching points with large targets.
 * Every tap is on the disk before it counts as made; nothing here waits for a server.
 *
 * hallSheet({hour, items, changed(), trouble(error)}): a node with .refresh(items) */

import { uuid7 } from "../api.js";
import { el, fill, announce, focusOn } from "../dom.js";
import { VERSIONS, count } from "./words.js";
import { distance, readValue, shortValue, toResolution, unitName } from "../words.js";
import { cannotBe, isSurprising, isWhole, toSend, valueOf, askWords } from "../pupil/score.js";
import { keepHour, keepItem, dropItem } from "./hall-kept.js";

const SAID = [
    { value: null, sign: "", words: "not looked for" },
    { value: true, sign: "✓", words: "seen" },
    { value: false, sign: "○", words: "looked for, not seen" }
];
/* Of two marks of one point the later holds; the server's clock counts whole seconds. */
const APART_MS = 3000;

const button = (text, onclick, props) => el("button", { type: "button", class: "button-second", onclick, ...props }, text);

class Sheet {
    constructor({ hour, items, changed, trouble }) {
        this.hour = hour;
        this.changed = changed;
        this.trouble = trouble;
        this.at = null;             /* the child whose panel is open */
        this.turn = Promise.resolve();
        this.drafts = new Map();    /* pupil -> tries being made, or ready and not sent */
        this.lastSaid = new Map();
        this.take(items);
        this.names = el("ul", { class: "hall-names" });
        this.panel = el("section", { class: "hall-child", "aria-labelledby": "hall-name" });
        this.node = el("div", { class: "hall" }, el("div", { class: "hall-list" }, this.farAll(), this.names), this.panel);
        this.node.refresh = (now) => {
            const before = this.stage();
            this.take(now);
            this.drawNames();
            if (this.stage() !== before && !this.busy()) {      /* else whoever works by keyboard keeps the place */
                this.drawChild();
            }
        };
        Array.from(this.drafts.values()).forEach((draft) => this.letGo(draft));     /* the page was loaded again before turning on */
        this.drawNames();
        this.drawChild();
    }

    take(items) {
        const mine = items.filter((i) => i.hour === this.hour.key && i.type === "tries");
        const open = Array.from(this.drafts.values()).filter((d) => !d.ready);      /* newer here than on the disk */
        this.drafts = new Map(mine.concat(open).map((i) => [i.pupil, i]));
    }

    /* How far the open child's tries are: being made, on the way, sent. */
    stage() {
        const draft = this.at && this.drafts.get(this.at.id);
        return !this.at ? "" : !draft ? "none" : draft.ready ? "ready" : "making";
    }

    /* A field that is being typed in keeps its place. */
    busy() {
        return this.panel.contains(document.activeElement) && document.activeElement.tagName === "INPUT";
    }

    /* One write after the other; a failure to keep is said, not swallowed. */
    keep(work) {
        this.turn = this.turn.then(work).then(() => this.changed(), (error) => this.trouble(error));
        return this.turn;
    }

    farAll() {
        const { distances_mm: far } = this.hour.activity;
        if (!far.length) {
            return null;
        }
        const pick = el("select", { id: "hall-far", onchange: () => {
            this.hour.far = Number(pick.value);
            this.keep(() => keepHour(this.hour));
            this.drawChild();
        } }, far.map((d) => el("option", { value: String(d), selected: d === this.hour.far }, distance(d))));
        return el("div", { class: "field" }, el("label", { for: "hall-far" }, "Distance for the class"), pick);
    }

    /* Names --------------------------------------------------------------------------------------- */

    standing(pupil) {
        const { activity, cues, seen, done, sent } = this.hour;
        const draft = this.drafts.get(pupil.id);
        const made = draft ? draft.attempts.filter((a) => valueOf(a) !== null).length : 0;
        const tries = draft && !draft.ready && made ? made + " of " + count(activity.attempts, "try", "tries")
            : done[pupil.id] ? "tries in" : sent[pupil.id] ? "sent before" : "no try yet";
        const said = cues.filter((c) => [true, false].indexOf((seen[pupil.id] || {})[c.id]) >= 0).length;
        return tries + (cues.length ? " · " + said + " of " + count(cues.length, "point", "points") : "");
    }

    drawNames() {
        const focused = document.activeElement && document.activeElement.getAttribute("data-pupil");
        fill(this.names, this.hour.pupils.map((p) => el("li", null, el("button", { type: "button", class: "hall-name", "data-pupil": p.id,
            "aria-current": this.at === p ? "true" : null, onclick: () => this.go(p) },
        el("span", { class: "hall-name-name" }, p.name), el("span", { class: "hall-name-note" }, this.standing(p))))));
        if (focused) {
            const again = this.names.querySelector("[data-pupil='" + focused + "']");
            if (again) {
                again.focus();
            }
        }
    }

    /* To another child, or to the list: whole tries are on their way then. */
    go(pupil) {
        if (this.at && this.drafts.has(this.at.id)) {
            this.letGo(this.drafts.get(this.at.id));
        }
        this.at = pupil;
        this.node.classList.toggle("hall-one", Boolean(pupil));
        this.drawNames();
        this.drawChild();
        if (pupil) {
            focusOn(this.panel.querySelector("h2"));
            this.panel.scrollIntoView({ block: "nearest" });
        }
    }

    step(by) {
        const { pupils } = this.hour;
        this.go(pupils[(pupils.indexOf(this.at) + by + pupils.length) % pupils.length]);
    }

    /* Tries --------------------------------------------------------------------------------------- */

    draftOf(pupil) {
        const { hour } = this;
        return this.drafts.get(pupil.id) || { id: uuid7(), type: "tries", staff: hour.staff, hour: hour.key, challenge: hour.challenge.id, pupil: pupil.id, at: 0, ready: false,
            version: hour.activity.versions[0].id, far: hour.far, attempts: Array.from({ length: hour.activity.attempts }, () => null) };
    }

    wrong(draft) {
        return draft.attempts.some((a) => valueOf(a) !== null && (cannotBe(this.hour.activity, a) || isSurprising(this.hour.activity, a)));
    }

    put(draft) {
        const { activity } = this.hour;
        const made = draft.attempts.filter((a) => valueOf(a) !== null);
        const sure = made.some((a) => a.sure);
        draft.at = Date.now();
        draft.body = { id: draft.id, pupil: draft.pupil, channel: "staff", version: draft.version,
            attempts: made.map((a) => toSend(activity, draft.far ? { ...a, distance_mm: draft.far } : a)), ...(sure ? { confirmed: true } : {}) };
        if (made.length) {
            this.drafts.set(draft.pupil, draft);
            this.keep(() => keepItem({ ...draft }));
        } else {
            this.drafts.delete(draft.pupil);
            this.keep(() => dropItem(draft.id));
        }
        this.drawNames();
    }

    attempt(draft, i, attempt, all) {
        draft.attempts[i] = attempt;
        this.put(draft);
        if (all) {
            this.drawChild();
        }
    }

    /* Whole tries are on their way; others wait for the rest. */
    letGo(draft) {
        if (!draft.ready && draft.attempts.every((a) => isWhole(this.hour.activity, a)) && !this.wrong(draft)) {
            this.send(draft);
        }
    }

    send(draft) {
        draft.ready = true;
        this.hour.done[draft.pupil] = draft.attempts.map(valueOf).filter((v) => v !== null);
        this.put(draft);
        this.keep(() => keepHour(this.hour));
    }

    again(draft) {
        draft.ready = false;
        delete this.hour.done[draft.pupil];
        this.put(draft);
        this.keep(() => keepHour(this.hour));
        this.drawChild();
    }

    keys(draft, i, a) {
        const { activity } = this.hour;
        const throws = a && a.way === "throws" ? a.throws : [];
        const full = a && a.way === "throws" && isWhole(activity, a);
        const tap = (worth, words) => button(words, () => {
            this.attempt(draft, i, { way: "throws", throws: throws.concat([worth]) }, true);
            announce(words + ". " + (throws.length + 1) + " of " + activity.throws);
            this.focusKey(i, worth);
        }, { class: "hall-key", disabled: full, "data-key": i + "-" + worth, "aria-label": "Try " + (i + 1) + ", " + words });
        const faces = activity.kind === "zones" ? activity.zones.map((z) => tap(z.points, z.name + " " + z.points)) : [tap(1, "✓ yes"), tap(0, "– no")];
        return el("div", { class: "hall-keys" }, faces,
            button("Undo", () => this.attempt(draft, i, throws.length > 1 ? { way: "throws", throws: throws.slice(0, -1) } : null, true),
                { class: "button-plain", disabled: !throws.length, "aria-label": "Undo, try " + (i + 1) }));
    }

    focusKey(i, worth) {
        const key = this.panel.querySelector("[data-key='" + i + "-" + worth + "']");
        if (key && !key.disabled) {
            key.focus();
        } else {
            focusOn(this.panel.querySelector("[data-try='" + i + "']"));
        }
    }

    /* A number, in everyday units; typed also where throws could be tapped. */
    typed(draft, i, a, says) {
        const { activity } = this.hour;
        const input = el("input", { type: "text", id: "hall-try-" + i, class: "hall-number", autocomplete: "off", maxlength: "8",
            inputmode: activity.unit === "ms" || activity.unit === "mm" ? "decimal" : "numeric", "aria-describedby": says.id,
            value: a && a.way === "total" ? shortValue(a.value, activity.unit).replace(/ .*/, "") : "" });
        input.addEventListener("input", () => {
            const got = readValue(input.value, activity.unit);
            this.attempt(draft, i, got === null ? null : { way: "total", value: toResolution(got, activity.resolution) }, false);
            this.say(draft, i, says, input.value);
        });
        return el("label", { class: "hall-typed", for: input.id }, activity.throws ? "or the total" : "In " + unitName(activity.unit), input);
    }

    say(draft, i, says, text) {
        const { activity } = this.hour;
        const a = draft.attempts[i];
        if (valueOf(a) === null) {
            fill(says, text && text.trim() ? "That is no number." : "");
        } else if (cannotBe(activity, a)) {
            fill(says, cannotBe(activity, a));
        } else if (isSurprising(activity, a)) {
            fill(says, askWords(activity, a), " ", button("Yes, it is right", () => this.attempt(draft, i, { ...a, sure: true }, true)));
        } else {
            fill(says);
        }
    }

    oneTry(draft, i) {
        const { activity } = this.hour;
        const a = draft.attempts[i];
        const says = el("span", { class: "wrong", id: "hall-says-" + i, "aria-live": "polite" });
        const value = valueOf(a);
        const throws = a && a.way === "throws" ? a.throws : [];
        const tapped = throws.length > 0;
        this.say(draft, i, says, "");
        return el("li", { class: "hall-try" }, el("h3", { "data-try": String(i) }, "Try " + (i + 1), value === null ? null : el("span", { class: "hall-value" }, ": " + shortValue(value, activity.unit)),
            tapped ? el("span", { class: "small quiet" }, " (" + throws.join(" ") + "; " + throws.length + " of " + activity.throws + ")") : null),
        activity.throws && !(a && a.way === "total") ? this.keys(draft, i, a) : null,
        tapped ? null : this.typed(draft, i, a, says), says);
    }

    pick(label, id, choices, value, taken) {
        const node = el("select", { id }, choices.map((c) => el("option", { value: c.value, selected: c.value === value }, c.text)));
        node.addEventListener("change", () => taken(node.value));
        return el("div", { class: "field" }, el("label", { for: id }, label), node);
    }

    how(draft) {
        const { activity } = this.hour;
        const put = (name, as) => (value) => {
            draft[name] = as(value);
            this.put(draft);
        };
        return el("div", { class: "field-row" },
            activity.versions.length > 1 ? this.pick("Version", "hall-version", activity.versions.map((v) => ({ value: v.id, text: VERSIONS[v.kind] })), draft.version, put("version", String)) : null,
            activity.distances_mm.length ? this.pick("Distance", "hall-child-far", activity.distances_mm.map((d) => ({ value: String(d), text: distance(d) })), String(draft.far), put("far", Number)) : null);
    }

    tries(pupil) {
        const { activity, done, sent } = this.hour;
        const draft = this.draftOf(pupil);
        const values = done[pupil.id];
        const words = values && values.map((v) => shortValue(v, activity.unit)).join(", ");
        if (draft.ready) {
            return [el("p", null, "Tries in: " + words + ". On the way; can be changed until they are sent."), button("Change them", () => this.again(draft))];
        }
        if (values && !this.drafts.has(pupil.id)) {
            return [el("p", null, "Tries sent: " + words + ". Anything wrong is mended on the challenge's page."),
                button("A second go", () => {
                    delete this.hour.done[pupil.id];
                    this.keep(() => keepHour(this.hour));
                    this.drawChild();
                })];
        }
        const some = draft.attempts.some((a) => valueOf(a) !== null);
        return [sent[pupil.id] && !some ? el("p", { class: "small" }, "Sent tries before this hour. These would be a second go.") : null,
            this.how(draft), el("ol", { class: "hall-tries" }, draft.attempts.map((a, i) => this.oneTry(draft, i))),
            el("p", { class: "small quiet" }, "Whole tries go when you turn to the next child."),
            button("These tries are all", () => {
                const none = draft.attempts.every((a) => valueOf(a) === null);
                if (none || this.wrong(draft)) {
                    announce(none ? "No try yet." : "One of the tries cannot be, or has to be confirmed first.");
                    return;
                }
                this.send(draft);
                this.drawChild();
                focusOn(this.panel.querySelector("h2"));
            })];
    }

    /* Teaching points ----------------------------------------------------------------------------- */

    points(pupil) {
        const { cues } = this.hour;
        return cues.length ? [el("h3", null, "Look for"), el("ul", { class: "hall-points" }, cues.map((c) => el("li", null, this.point(pupil, c))))] : null;
    }

    point(pupil, cue) {
        const said = this.hour.seen[pupil.id] || {};
        const state = SAID.find((s) => s.value === (said[cue.id] === undefined ? null : said[cue.id]));
        const node = button("", () => this.mark(pupil, cue, SAID[(SAID.indexOf(state) + 1) % SAID.length]),
            { class: "hall-point" + (state.value === null ? "" : state.value ? " hall-point-yes" : " hall-point-no"), "data-cue": cue.id });
        return fill(node, el("span", { class: "hall-sign", "aria-hidden": "true" }, state.sign), el("span", null, cue.text), el("span", { class: "hall-said" }, state.words));
    }

    mark(pupil, cue, state) {
        const { hour } = this;
        const about = pupil.id + " " + cue.id;
        const at = Math.max(Date.now(), (this.lastSaid.get(about) || 0) + APART_MS);
        this.lastSaid.set(about, at);
        hour.seen[pupil.id] = { ...hour.seen[pupil.id], [cue.id]: state.value };
        const item = { id: uuid7(), type: "mark", staff: hour.staff, hour: hour.key, unit: hour.challenge.unit, pupil: pupil.id, cue: cue.id, seen: state.value, at };
        this.keep(async () => {
            await keepItem(item);
            await keepHour(hour);
        });
        this.drawNames();
        this.drawChild();
        const again = this.panel.querySelector("[data-cue='" + cue.id + "']");
        again.focus();
        announce(pupil.name + ", " + cue.text + ": " + state.words);
    }

    drawChild() {
        const pupil = this.at;
        if (!pupil) {
            fill(this.panel, el("h2", { id: "hall-name" }, "Choose a child"), el("p", { class: "quiet" }, "Tap a name: the tries and the teaching points of that child open here."));
            return;
        }
        fill(this.panel, el("div", { class: "hall-steps" }, button("‹ Before", () => this.step(-1)), button("All names", () => this.go(null), { class: "button-second hall-back" }), button("Next ›", () => this.step(1), { class: "button" })),
            el("h2", { id: "hall-name" }, pupil.name), this.tries(pupil), this.points(pupil));
    }
}

export function hallSheet(options) {
    return new Sheet(options).node;
}
