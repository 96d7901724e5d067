/* SPDX-License-Identifier: MIT
 * An activity's words for one version, in the language chosen: what does not fit it is left out
 * (fits.js). A translation with as many sentences loses the same ones. */

import { own } from "../msg.js";
import { sentences, unfit } from "./fits.js";

export { fittingCues, fittingKit, fittingQuestions } from "./fits.js";

/* `text` in the language chosen, for a version. */
export function fitting(text, version) {
    const here = own(text);
    const parts = sentences(text),
        shown = sentences(here);
    const kept = shown.filter((s, i) => !unfit(parts[i] || "", version));
    return parts.length !== shown.length || kept.length === shown.length ? here : kept.join("").trim();
}

/* The version chosen; before that, and for a single one, as for anybody. */
export function versionOf(activity, draft) {
    return activity.versions.find((v) => draft && v.id === draft.version) || { kind: "standard", how: "" };
}

export function kindOf(activity, draft) {
    return versionOf(activity, draft).kind;
}
