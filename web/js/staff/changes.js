/* SPDX-License-Identifier: MIT
 * Changes by which somebody would come to read children's messages: what waits for a second person, who
 * reads them now, what was decided of late. For office and safeguarding. */

import { get, post, del } from "../api.js";
import { el, fill, byId, choices, focusOn } from "../dom.js";
import { start, titled, action, notice } from "./shell.js";
import { changeWords } from "./change-words.js";
import { yearDay, sentenceFor } from "./words.js";

const PATH = "/pending-changes";

function whoMay(c) {
    if (c.refusal === "asker" || c.refusal === "account_disabled") {
        return null;        /* what the refusal says to do comes first */
    }
    if (!c.second_persons.length) {
        return el("p", null, "Nobody else at the school may accept this. Whoever looks after the server can, with ",
            el("code", null, "thrice staff accept '" + c.of.name + "' --data DIR"), ": all staff are told for 14 days.");
    }
    return el("p", { class: "small quiet" }, "May accept: " + c.second_persons.map((p) => p.name).join(", ") + ".");
}

/* What a person can do about one that waits; `done(words)` draws the page anew. */
function waitingBox(c, done) {
    const opens = c.kind === "safeguarding" || c.kind === "teach";
    const older = opens ? choices({ name: "older_" + c.id, type: "checkbox", tight: true, choices: [{ value: "older", text: "Open messages from before as well",
        hint: "Children sent them when others read them." }] }) : null;
    const take = (text, words, look) => action(text, async () => {
        await del(PATH + "/" + c.id);
        await done(words);
    }, { class: look });
    const accept = action("Accept", async () => {
        await post(PATH + "/" + c.id + "/acceptance", { older: Boolean(older) && older.values().length > 0 });
        await done("Accepted. " + c.of.name + " and safeguarding see it for 14 days.");
    });
    const mine = c.refusal === "asked_by_you";
    return el("article", { class: "panel panel-sun" }, el("p", null, changeWords(c)),
        c.refusal ? el("p", null, sentenceFor({}, { code: c.refusal, pointer: "" }))
            : el("p", null, "Accept it only when " + c.of.name + " has told you in person that this is right."),
        c.refusal ? null : older,
        el("div", { class: "buttons" }, c.refusal ? null : accept, c.refusal === "not_agreed" ? null
            : mine ? take("Take back", "Taken back.", "button-second") : take("Decline", "Declined.", "button-careful")),
        whoMay(c));
}

/* "3 Alder (teach): messages since 3 Mar 2026; those from before are closed." */
function holderWords(h) {
    if (!h.agreed) {
        return "not yet, no second person has agreed.";
    }
    if (!h.sure) {
        return "not now, no second person has agreed to the account since it was let in again.";
    }
    return h.right === "office" ? "since " + yearDay(h.since) + "."
        : "messages since " + yearDay(h.since) + (h.opened_on ? ", and from before (opened " + yearDay(h.opened_on) + ")." : "; those from before are closed.");
}

function holderRow(h, changes, done) {
    const waits = (kinds) => changes.some((c) => c.state === "waiting" && c.of.id === h.staff.id && kinds.indexOf(c.kind) >= 0 &&
        (c.class ? h.class && c.class.id === h.class.id : c.kind !== "older" || !h.class));
    const who = h.staff.name + ", " + (h.class ? h.class.name : "all classes");
    const ask = (text, kind) => action(text, async () => {
        await post(PATH, { kind, staff: h.staff.id, class: kind === "teach" || kind === "older" ? (h.class ? h.class.id : null) : null });
        await done("Asked. A second person has seven days to accept it.");
    }, { class: "button-second", "aria-label": text + ": " + who });
    const reads = h.right !== "office";
    const button = !h.agreed ? (waits([h.right]) ? null : ask("Ask again", h.right))
        : !h.sure ? (waits(["reset", "enabled"]) ? null : ask("Ask again", "reset"))
        : reads && !h.opened_on && !waits(["older"]) ? ask("Ask to open those from before", "older") : null;
    const what = h.right === "office" ? "accepts changes (office)" : h.class ? h.class.name + " (teach)" : "all classes (safeguarding)";
    return el("li", null, el("span", null, el("strong", null, h.staff.name), " " + what + ": " + holderWords(h)),
        button ? el("span", { class: "buttons-tight" }, button) : null);
}

start(async ({ body }) => {
    titled("Two persons agree", "who may read children's messages");
    const draw = async () => {
        const { changes, holders } = await get(PATH);
        const waiting = changes.filter((c) => c.state === "waiting");
        const over = changes.filter((c) => c.state !== "waiting");
        const all = new Set(holders.filter((h) => h.right === "safeguarding" && h.agreed).map((h) => h.staff.id));
        const done = async (words) => {
            await draw();
            notice(words);
            focusOn(byId("title"));
        };
        fill(body, el("p", null, "Nobody comes to read children's messages by one person's hand. " +
            "One asks; a second, with office or safeguarding, accepts within seven days."),
            el("h2", null, "Waiting"), waiting.length ? waiting.map((c) => waitingBox(c, done)) : el("p", null, "Nothing waits for a second person."),
            el("h2", null, "Who reads messages and who accepts"),
            el("ul", { class: "plain share-list" }, holders.filter((h) => h.right !== "teach" || !all.has(h.staff.id)).map((h) => holderRow(h, changes, done))),
            el("h2", null, "Decided or lapsed in the last 14 days"),
            over.length ? el("ul", null, over.map((c) => el("li", null, changeWords(c)))) : el("p", null, "None."));
    };
    await draw();
});
