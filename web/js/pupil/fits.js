/* SPDX-License-Identifier: MIT
 * What of an activity's words fits a version: whoever sits is not asked to stand, step or jump and is
 * told nothing about feet, and a version whose own words say "You need no rope" hears of no rope. The
 * English decides. A line about safety never comes through here. No imports: tests read it as it is. */

const UPRIGHT =
    /\b(stand(s|ing)?|stamps?|steps?|stepping|jump(s|ing)?|hop(s|ping)?|land(s|ing)?|kneel(s|ing)?|walk(s|ing)?|run(s|ning)?|feet|foot|toes?|heels?|tiptoe|legs?|knees?)\b/i;
const WITHOUT = /\byou need no (\w+)(?: and no (\w+))?/i;

/* What the version's own words say that it does without, each without its s. */
export function without(version) {
    const found = WITHOUT.exec(version.how || "") || [];
    return found
        .slice(1)
        .filter(Boolean)
        .map((word) => word.replace(/s$/, ""));
}

export function unfit(text, version) {
    return (
        (version.kind === "seated" && UPRIGHT.test(text)) ||
        without(version).some((word) => new RegExp("\\b" + word + "(s|ing)?\\b", "i").test(text))
    );
}

export const sentences = (text) => text.match(/.+?(?:[.!?\u06d4\u061f](?=\s|$)|$)\s*/g) || [];

/* The teaching points that this version can meet. */
export function fittingCues(activity, version) {
    return activity.cues.filter((c) => !unfit(c.text, version));
}

export function fittingQuestions(activity, version) {
    return (activity.questions || []).filter(
        (q) => !unfit(q.text, version) && !q.choices.some((c) => unfit(c.text, version))
    );
}

/* A thing that this version does without gives way to what a home has instead. */
export function fittingKit(activity, version) {
    return (activity.kit || [])
        .map((k) => (unfit(k.item, version) && k.swap ? { ...k, item: k.swap, swap: "" } : k))
        .filter((k) => !unfit(k.item, version));
}
