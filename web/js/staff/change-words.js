/* SPDX-License-Identifier: MIT
 * A change to who reads children's messages in words: what was asked, and how it stands; and the banner of
 * them on top of every staff page. */

import { el, banner } from "../dom.js";
import { dayWords, count } from "./words.js";

const messagesOf = (c) => "messages of " + (c.class ? c.class.name : "all classes");

const ASKED = {
    safeguarding: (c, by) => by + " asked that " + c.of.name + " may read children's messages of all classes (safeguarding)",
    office: (c, by) => by + " gave " + c.of.name + " the office right",
    teach: (c, by) => by + " gave " + c.of.name + " teach on " + c.class.name + (c.until ? ", until " + dayWords(c.until) : ""),
    reset: (c, by) => by + " asked a second person to agree to the account of " + c.of.name + ", which got a new passphrase or was let in again",
    enabled: (c, by) => by + " let the account of " + c.of.name + ", which was disabled, in again",
    older: (c, by) => by + " asked that " + c.of.name + " may read " + messagesOf(c) + " from before the right"
};

const DONE = {
    safeguarding: (c) => c.of.name + " may read children's messages of all classes",
    office: (c) => c.of.name + " holds the office right and may accept changes",
    teach: (c) => c.of.name + " may read messages of " + c.class.name,
    reset: (c) => "the account of " + c.of.name + ", which got a new passphrase or was let in again, was agreed to",
    enabled: (c) => "the account of " + c.of.name + " was let in again",
    older: (c) => c.of.name + " may read " + messagesOf(c) + " from before"
};

/* What does not hold while it waits. */
const UNTIL_THEN = {
    office: (c) => c.of.name + " accepts no change like this one",
    reset: (c) => "no message is open to " + c.of.name + ", who accepts no change either",
    enabled: (c) => "no message is open to " + c.of.name + ", who accepts no change either",
    older: () => "they stay closed"
};

const HOW = {
    waiting: (c) => "A second person has to accept it before it lapses on " + dayWords(c.lapses_on) + ". Until then " +
        (UNTIL_THEN[c.kind] ? UNTIL_THEN[c.kind](c) : c.of.name + " reads no more messages than before") + ".",
    lapsed: () => "Nobody accepted it within seven days: it has lapsed. If it is still wanted, ask again.",
    accepted: (c) => c.decided_by.name + " accepted it on " + dayWords(c.decided_on) + (c.kind !== "safeguarding" && c.kind !== "teach" ? "."
        : c.older ? ", messages from before too." : "; messages from before stay as they were."),
    declined: (c) => c.decided_by.name + " declined it on " + dayWords(c.decided_on) + ".",
    withdrawn: (c) => "Taken back on " + dayWords(c.decided_on) + (c.decided_by ? " by " + c.decided_by.name : "") + "."
};

/* One sentence or two. */
export function changeWords(c) {
    if (c.state === "machine") {
        return "Done on the server itself on " + dayWords(c.decided_on) + ", without a second person: " + DONE[c.kind](c) +
            ". If you do not know why, ask the designated safeguarding lead.";
    }
    return "On " + dayWords(c.asked_on) + " " + ASKED[c.kind](c, c.asked_by ? c.asked_by.name : "somebody") + ". " + HOW[c.state](c);
}

const AT_ONCE = 2;

/* The page that lists them says it itself; the other two are shown to children, on a wall and on a tablet. */
const WITHOUT = ["/staff/changes", "/staff/board", "/staff/hall"];

/* On top of the pages of whom it concerns, of safeguarding, and, for what was done on the server itself, of all. */
export function changesBanner(session) {
    const mayAccept = session.to_accept > 0;
    if (WITHOUT.indexOf(window.location.pathname) >= 0 || (!session.changes.length && !mayAccept)) {
        return null;
    }
    const item = (c) => el("li", null, changeWords(c));
    const [first, rest] = [session.changes.slice(0, AT_ONCE), session.changes.slice(AT_ONCE)];
    const box = banner("careful", el("p", null, el("strong", null, "Who may read children's messages")),
        first.length ? el("ul", null, first.map(item)) : null,
        rest.length ? el("details", null, el("summary", null, count(rest.length, "more change", "more changes") + " in the last 14 days"),
            el("ul", null, rest.map(item))) : null,
        mayAccept ? el("p", null, el("a", { href: "/staff/changes" },
            count(session.to_accept, "change waits", "changes wait") + " for a second person")) : null);
    box.classList.add("no-print");
    return box;
}
