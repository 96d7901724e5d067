/* SPDX-License-Identifier: MIT
 * A class under band lines: a track with one chalk mark a child above the score it made, the lines
 * drawn across it and the bands named between them. Further along is always better; where less is
 * better the track runs the other way. No mark belongs to a name. */

import { el, svg } from "../dom.js";
import { hand, chalkLine, chalkRing } from "../lanes.js";
import { shortValue } from "../words.js";

const LEFT = 14;
const TOP = 40;

/* A narrow screen gets a narrower drawing, so that its words stay readable. */
function width() {
    return window.matchMedia("(max-width: 46rem)").matches ? 330 : 560;
}

function n(x) {
    return Math.round(x * 10) / 10;
}

/* Where a value lies: totals that can be made stand side by side, measures on a scale. */
function placer(activity, preview, right) {
    const values = preview.scores.map((s) => s.value).concat(preview.lines);
    const totals = activity.attainable;
    const flip = (part) => LEFT + 20 + (activity.lower_is_better ? 1 - part : part) * (right - LEFT - 40);
    if (totals.length > 1 && totals.length <= 40) {
        const at = (v) => {
            const i = totals.findIndex((t) => t >= v);
            return i < 0 ? totals.length - 1 : totals[i] === v || i === 0 ? i : i - (totals[i] - v) / (totals[i] - totals[i - 1]);
        };
        return { x: (v) => flip(at(v) / (totals.length - 1)), half: (right - LEFT - 40) / (totals.length - 1) / 2, ticks: totals };
    }
    const low = Math.min(...values);
    const high = Math.max(...values);
    const room = (high - low) * 0.08 || 1;
    return { x: (v) => flip((v - low + room) / (high - low + 2 * room)), half: 8, ticks: [low, high] };
}

/* Marks that would lie on each other stand above each other. */
function stacks(preview, place) {
    const found = [];
    preview.scores.forEach((s) => {
        const x = place.x(s.value);
        const near = found.find((f) => Math.abs(f.x - x) < 9);
        if (near) {
            near.count += s.count;
        } else {
            found.push({ x, count: s.count });
        }
    });
    return found;
}

export function spreadWords(activity, preview) {
    const of = preview.from ? preview.from.placed : 0;
    return "Scores of " + of + " children under the lines: " + preview.bands.map((b) => b.count + " in " + b.word).join(", ") + ".";
}

export function spreadDrawing(activity, preview) {
    const wide = width();
    const right = wide - LEFT;
    const place = placer(activity, preview, right);
    const piles = stacks(preview, place);
    const most = Math.max(1, ...piles.map((p) => p.count));
    const pitch = Math.min(13, 130 / most);
    const ground = TOP + Math.max(60, pitch * most + 14);
    const wobble = hand(preview.lines.length * 7 + most);
    const drawing = svg("svg", { viewBox: "0 0 " + wide + " " + (ground + 40), class: "spread", role: "img", "aria-label": spreadWords(activity, preview) });
    const add = (tag, props, ...inner) => drawing.appendChild(svg(tag, props, ...inner));
    [0, 1, 2].forEach((i) => add("path", { d: chalkLine(LEFT, ground + 2 + i * 3.5, right, ground + 2 + i * 3.5, wobble), class: "lane-edge lane-thin" }));
    piles.forEach((p) => {
        for (let i = 0; i < p.count; i += 1) {
            add("path", { d: chalkRing(p.x, ground - 8 - i * pitch, Math.min(6, pitch * 0.48), wobble, 0) + "Z", class: "spread-mark" });
        }
    });
    const step = Math.max(1, Math.ceil(place.ticks.length / (wide / 35)));
    const drawn = new Set(place.ticks.filter((t, i) => i % step === 0));
    preview.lines.forEach((v) => drawn.add(v));
    const lineX = preview.lines.map((v) => place.x(v) + (activity.lower_is_better ? place.half : -place.half));
    const taken = [];
    preview.lines.concat(Array.from(drawn)).forEach((v) => {
        const x = place.x(v);
        if (!taken.some((t) => Math.abs(t - x) < 26)) {
            taken.push(x);
            add("text", { x: n(x), y: ground + 28, "text-anchor": "middle", class: preview.lines.indexOf(v) >= 0 ? "spread-word" : "spread-soft" }, shortValue(v, activity.unit));
        }
    });
    lineX.forEach((x) => add("path", { d: chalkLine(x, TOP - 12, x, ground + 12, wobble), class: "spread-line" }));
    const edges = [LEFT].concat(lineX, [right]);
    preview.bands.forEach((b, i) => {
        const x = (edges[i] + edges[i + 1]) / 2;
        add("text", { x: n(x), y: TOP - 22, "text-anchor": "middle", class: "spread-word" }, i + ": " + b.count);
    });
    return drawing;
}

/* The same in figures. */
export function spreadTable(activity, preview) {
    const bandOf = (v) => preview.lines.filter((l) => (activity.lower_is_better ? v <= l : v >= l)).length;
    return el("table", { class: "table dense" }, el("thead", null, el("tr", null, ["Score", "Children", "Band"].map((h) => el("th", { scope: "col" }, h)))),
        el("tbody", null, preview.scores.map((s) => el("tr", null, el("th", { scope: "row" }, shortValue(Math.round(s.value * 10) / 10, activity.unit)),
            el("td", null, String(s.count)), el("td", null, preview.bands[bandOf(s.value)].word)))));
}
