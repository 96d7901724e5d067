/* SPDX-License-Identifier: MIT
 * Words for somebody who sits: a sentence that asks to stand, kneel, jump or walk is left out. A
 * line about safety never comes through here. The English decides; a translation with as many
 * sentences loses the same ones. */

import { own } from "../msg.js";

const UPRIGHT =
    /\bstand|\bjump|\bhop|\bland(s|ing)\b|\bkneel|\bwalk|\brun(s|ning)?\b|\bone leg|\btiptoe|\bknees? (down|soft|bend)|\bsoft knees?|\bfoot forward|\bfeet (move|apart)|\bsteps? (to|back|closer|over)\b/i;

const sentences = (text) => text.match(/.+?(?:[.!?\u06d4](?=\s|$)|$)\s*/g) || [];

/* `text` in the language chosen, for a version's kind. */
export function fitting(text, kind) {
    const here = own(text);
    const parts = sentences(text),
        shown = sentences(here);
    return kind !== "seated" || parts.length !== shown.length
        ? here
        : shown
              .filter((s, i) => !UPRIGHT.test(parts[i]))
              .join("")
              .trim();
}

/* The teaching points that this version can meet. */
export function fittingCues(activity, kind) {
    return activity.cues.filter((c) => kind !== "seated" || !UPRIGHT.test(c.text));
}

export function kindOf(activity, draft) {
    const version = activity.versions.find((v) => draft && v.id === draft.version);
    return version ? version.kind : "standard";
}
