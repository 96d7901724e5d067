/* SPDX-License-Identifier: MIT
 * The strands of a unit as three lanes: a column for each band, a marker for each strand that is
 * known, an open ring where nothing is known yet. The bracket says what the unit could still come
 * to; the strand that decides has a ring round its marker. The same is said in words beside it. */

import { el, svg } from "../dom.js";
import { hand, chalkLine, chalkRing } from "../lanes.js";

const NAMES = { doing: "doing", thinking: "thinking", taking_part: "taking part" };
const LEFT = 106;
const STEP = 34;
const PITCH = 16;

/* "doing: met the aim (2 activities; 3 of 4 teaching points seen), decides" */
function strandWords(strand) {
    return NAMES[strand.name] + ": " + (strand.word || "not known yet") + " (" + strand.evidence + ")" + (strand.decides ? ", this decides" : "");
}

export function strandsWords(s, words) {
    const bounds = s.status === "provisional" ? " It could come to anything from " + words[s.lo] + " to " + words[s.hi] + "." : "";
    return s.strands.map(strandWords).join(". ") + "." + bounds;
}

function lane(strand, i, last, wobble) {
    const y = 4 + PITCH * i + PITCH / 2;
    const x = LEFT + STEP * (strand.band === null ? 0 : strand.band) + STEP / 2;
    const parts = [svg("text", { x: 0, y: y + 4.5, class: "strand-name" }, NAMES[strand.name])];
    if (strand.band === null) {
        parts.push(svg("path", { d: chalkRing(LEFT - 9, y, 4.5, wobble, -0.7), class: "lane-edge" }));
        return parts;
    }
    parts.push(svg("path", { d: chalkLine(LEFT, y, Math.max(LEFT + 1, x - 8), y, wobble), class: "lane-trail lane-" + (i + 1) }));
    parts.push(svg("path", { d: chalkRing(x, y, 5.4, wobble, 0) + "Z", class: "lane-mark lane-" + (i + 1) }));
    if (strand.decides) {
        parts.push(svg("path", { d: chalkRing(x, y, 8.2, wobble, 0.5), class: "lane-ring" }));
    }
    return parts;
}

/* s: a suggestion; words: the school's band words. */
export function strandsDrawing(s, words) {
    const wide = LEFT + STEP * words.length + 2;
    const bottom = 4 + PITCH * 3;
    const wobble = hand(words.length * 13 + 5);
    const drawing = svg("svg", { viewBox: "0 0 " + wide + " " + (bottom + 18), width: wide, height: bottom + 18, role: "img", "aria-label": strandsWords(s, words) });
    if (s.status !== "not_enough") {
        const from = LEFT + STEP * s.lo + 3;
        const to = LEFT + STEP * (s.hi + 1) - 3;
        drawing.appendChild(svg("rect", { x: from, y: 3, width: to - from, height: bottom - 2, class: "strand-span" }));
    }
    for (let i = 0; i <= words.length; i += 1) {
        drawing.appendChild(svg("path", { d: chalkLine(LEFT + STEP * i, 3, LEFT + STEP * i, bottom + 2, wobble), class: "lane-edge lane-thin" }));
    }
    words.forEach((word, i) => {
        drawing.appendChild(svg("text", { x: LEFT + STEP * i + STEP / 2, y: bottom + 15, "text-anchor": "middle", class: "strand-name" + (s.band === i ? " strand-told" : "") }, String(i)));
    });
    s.strands.forEach((strand, i) => lane(strand, i, words.length, wobble).forEach((p) => drawing.appendChild(p)));
    return el("div", { class: "lanes strands" }, drawing);
}

/* What decides, and what could still come of it: one short line with the numbers of the key, or null. */
export function strandsLine(s) {
    const parts = [];
    const decides = s.strands.filter((x) => x.decides).map((x) => NAMES[x.name]);
    if (decides.length) {
        parts.push("What decides: " + decides.join(" and ") + ".");
    }
    if (s.status === "provisional" && s.lo !== s.hi) {
        const missing = s.strands.filter((x) => x.band === null).map((x) => NAMES[x.name]);
        parts.push("Once " + missing.join(" and ") + (missing.length > 1 ? " are" : " is") + " known: " + s.lo + " to " + s.hi + ".");
    }
    return parts.length ? parts.join(" ") : null;
}

/* The same in words, for the fold. */
export function strandsList(s) {
    return el("ul", { class: "small plain strand-list" }, s.strands.map((x) => el("li", null, NAMES[x.name] + (x.decides ? " (decides)" : "") + ": ",
        el("strong", null, x.word || "not known yet"), el("span", { class: "quiet" }, " · " + x.evidence))));
}
