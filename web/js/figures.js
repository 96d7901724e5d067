/* SPDX-License-Identifier: MIT
 * Chalk people. One hand throughout: a thick stroke a limb, a coloured trunk, a head that is only a
 * line, so that anyone may see themselves in it. A pose is ten points on a 100 x 100 sheet: neck,
 * hips, then elbow and hand twice, knee and foot twice. A pose and a body (who it is) are put
 * together here, so few numbers make many pictures. Poses whose name begins with "s-" sit: only they
 * are used where somebody has chosen to sit. */

import { svg } from "./dom.js";

/* [points, marks of movement in sky, things in sun] */
const POSES = {
    stand: ["50 31 50 56 39 43 36 56 61 43 64 56 45 75 43 92 55 75 57 92"],
    march: [
        "50 31 50 56 38 44 36 33 62 43 66 55 40 63 42 78 55 75 56 92",
        "M27 72V58m-5 5 5-6 5 6"
    ],
    reach: [
        "50 33 50 58 37 26 34 9 63 26 66 9 45 76 43 92 55 76 57 92",
        "M21 24V10m-5 6 5-7 5 7m53 8V10m-5 6 5-7 5 7"
    ],
    circles: [
        "50 31 50 56 35 33 20 31 65 33 80 31 45 75 43 92 55 75 57 92",
        "M13 20c11-7 18 3 12 9m62-9c-11-7-18 3-12 9m-49-7-1 8-7-2m56-6 1 8 7-2"
    ],
    shake: [
        "50 31 50 56 37 45 28 34 63 45 72 34 45 75 43 92 55 75 57 92",
        "m19 39-4-4m7-6-3-5m11 1v-6m51 20 4-4m-7-6 3-5m-11 1v-6"
    ],
    toes: [
        "50 31 50 56 35 43 45 54 65 43 55 54 40 74 29 90 55 75 56 92",
        "m18 84-4-4m1 12H9"
    ],
    twist: [
        "50 31 50 56 43 42 60 43 64 36 78 43 45 75 43 92 55 75 57 92",
        "M30 58c8 10 32 10 41 0m1 9V57l-10 1"
    ],
    tiptoes: [
        "50 27 50 52 37 38 32 49 63 38 68 49 46 70 46 89 54 70 54 89",
        "M22 34V20m-5 6 5-7 5 7m51 8V20m-5 6 5-7 5 7"
    ],
    rest: [
        "50 31 50 56 36 43 46 50 64 43 54 50 45 75 43 92 55 75 57 92",
        "M22 30c6-4 6 6 12 2m32 0c6-4 6 6 12 2"
    ],
    throw: [
        "46 33 45 58 35 45 32 57 57 45 71 43 38 76 33 92 56 74 61 92",
        "M66 58c6-1 11-5 13-8",
        "M78 33c6 0 6 9 0 9s-6-9 0-9Z"
    ],
    slide: [
        "46 42 38 66 40 55 48 66 57 56 68 74 41 91 22 92 59 69 58 92",
        "M66 90h18m-4-4 5 4-5 4",
        "M64 80c8-4 14 0 13 4-4 3-11 2-13-4Z"
    ],
    catch: [
        "44 32 44 57 54 42 68 38 57 48 70 47 37 75 33 92 52 74 56 92",
        "M96 16c-4 1-7 4-9 6",
        "M79 25c7 0 7 10 0 10s-7-10 0-10Z"
    ],
    skip: [
        "50 28 50 51 38 40 30 47 62 40 70 47 43 67 46 82 57 67 54 82",
        "",
        "M29 47C2 96 24 96 50 96s48 0 21-49"
    ],
    balance: [
        "50 30 50 55 35 34 19 28 65 34 81 28 35 65 47 73 51 75 50 92",
        ""
    ],
    carry: [
        "48 31 46 56 57 44 68 44 56 47 66 48 38 73 28 89 56 71 62 92",
        "M80 88h14m-4-4 5 4-5 4",
        "M66 32c9-2 13 4 10 10-6 2-11 0-10-10Z"
    ],
    jump: [
        "48 28 45 51 58 22 69 14 60 28 73 23 55 62 50 75 50 66 42 78",
        "M22 92c12-12 40-10 52 0m0-10 1 11-11-1"
    ],
    "s-sit": ["42 37 40 63 47 50 56 60 51 49 60 59 57 64 55 92 63 64 64 92"],
    "s-march": [
        "42 37 40 63 50 48 58 42 36 50 38 60 57 64 55 92 63 54 66 77",
        "M82 70V56m-5 5 5-6 5 6"
    ],
    "s-reach": [
        "42 37 40 63 33 29 30 12 52 28 58 12 57 64 55 92 63 64 64 92",
        "M18 27V13m-5 6 5-7 5 7m47 8V13m-5 6 5-7 5 7"
    ],
    "s-circles": [
        "42 37 40 63 30 40 16 38 56 38 72 36 57 64 55 92 63 64 64 92",
        "M9 27c11-7 18 2 12 8m58-10c-11-7-17 3-12 9m-45-6-1 8-7-2m52-7 1 8 7-2"
    ],
    "s-shake": [
        "42 37 40 63 33 49 24 38 55 48 67 39 57 64 55 92 63 64 64 92",
        "m15 42-4-4m7-6-3-5m12 2v-6m50 21 4-3m-6-8 4-4m-12 0v-6"
    ],
    "s-toes": [
        "42 37 40 63 47 50 55 60 36 50 34 60 57 64 55 92 64 66 80 88",
        "m89 80 4-4m-3 12h6"
    ],
    "s-twist": [
        "42 37 40 63 53 44 68 42 50 49 64 51 57 64 55 92 63 64 64 92",
        "M22 54c12 20 36 18 52 6m0 10 1-11-11 1"
    ],
    "s-tiptoes": [
        "42 37 40 63 33 50 36 61 50 49 52 60 57 60 57 87 63 60 66 87",
        "M80 92V78m-5 6 5-7 5 7"
    ],
    "s-rest": [
        "42 37 40 63 51 48 49 55 33 50 46 55 57 64 55 92 63 64 64 92",
        "M66 30c6-4 6 6 12 2M66 42c6-4 6 6 12 2"
    ],
    "s-throw": [
        "42 37 40 63 36 50 40 60 54 48 68 46 57 64 55 92 63 64 64 92",
        "M64 58c6-1 11-4 14-7",
        "M77 36c6 0 6 9 0 9s-6-9 0-9Z"
    ],
    "s-catch": [
        "42 37 40 63 53 46 67 40 52 50 69 49 57 64 55 92 63 64 64 92",
        "M96 16c-4 1-7 4-9 6",
        "M79 25c7 0 7 10 0 10s-7-10 0-10Z"
    ],
    "s-balance": ["42 37 41 63 54 45 43 49 33 48 47 51 60 59 77 68 59 55 80 59", "M70 82v-6m8 4v-6"],
    "s-carry": [
        "42 37 40 63 54 44 67 42 36 50 42 60 57 64 55 92 63 64 64 92",
        "M80 36c7 2 9 8 8 14m-5-3 5 4 4-6",
        "M65 30c9-2 13 4 10 10-6 2-11 0-10-10Z"
    ],
    "s-skip": [
        "42 37 40 63 51 48 64 46 35 50 38 60 57 64 55 92 63 64 64 92",
        "",
        "M65 45c31-27 35 21 0 2"
    ]
};

/* Who: [trunk, head-wear or hair, its colour, width, size, other] */
const BODIES = [
    ["sun", "short", "ink", 15, 1],
    ["coral", "scarf", "sky", 15, 1],
    ["sky", "puffs", "ink", 21, 1],
    ["leaf", "cap", "coral", 14, 0.9],
    ["coral", "curls", "ink", 15, 1, "arm"],
    ["sun", "wrap", "coral", 16, 1],
    ["sky", "long", "ink", 15, 1]
];

const HEADS = {
    short: "M-9.5 0C-11-14 11-14 9.5 0 6-5 2-3-1-5c-3 2-7 0-8.5 5Z",
    puffs: "M-9.5-1C-9-12 9-12 9.5-1 5-6-5-6-9.5-1Zm-1.5-9a4.5 4.5 0 1 0 .1 0Zm22 0a4.5 4.5 0 1 0 .1 0Z",
    scarf: "M-8 11c-6-13-2-24 8-24S14-2 8 11c-4 3-12 3-16 0ZM0-6.5a7 7 0 1 0 .1 0Z",
    cap: "M-10-3c0-13 20-13 20 0 3 0 6 1 7 3-7-2-21-2-27-3Z",
    curls: "M-10 2c-4-3-3-8 1-9 0-5 6-7 9-4 3-3 9-1 9 4 4 1 5 6 1 9-1-5-4-7-7-6-2-2-4-2-6 0-3-1-6 1-7 6Z",
    wrap: "M-10-2c-3-14 23-14 20 0C5-6 2-7 0-9c-2 2-5 3-10 7Z",
    long: "M-10 10c-3-12-2-22 10-22S13-2 10 10C7 6 9-1 6-5 2-4-4-5-7-3c-1 4 0 9-3 13Z"
};

const SEATS = {
    chair: "m27 38 4 30h28m-27 0-3 25m27-25 2 25",
    wheels: "M42 60c14 0 19 10 18 18-1 11-10 17-19 16-10-1-17-8-16-17 1-11 8-17 17-17ZM22 42l8 2 3 22m34 18-7-2m8 5c5 0 5 8 0 8s-5-8 0-8Z"
};

const line = (d, colour, width, extra) =>
    svg("path", { d, class: "c-" + colour, "stroke-width": width, ...extra });

/* From a by the joint to b, the joint a little round. */
function limb(a, k, b) {
    const at = (p, q, t) => [p[0] + (q[0] - p[0]) * t, p[1] + (q[1] - p[1]) * t].map((v) => v.toFixed(1));
    return `M${a}L${at(a, k, 0.65)}Q${k} ${at(k, b, 0.35)}L${b}`;
}

function head(x, y, who) {
    const face = "translate(" + x.toFixed(1) + " " + y.toFixed(1) + ")";
    return svg(
        "g",
        { transform: face },
        svg("circle", { r: 9.5, class: "c-face", "stroke-width": 2.6 }),
        svg("path", { d: HEADS[who[1]], class: "f-" + who[2], "fill-rule": "evenodd" }),
        line("M-3 1.5V2m6.5-.5V2M-3 5Q.5 8 4 5", "ink", 2)
    );
}

export function isPose(name) {
    return Boolean(POSES[name]);
}

/* The figure as a group on a 100 x 100 sheet. */
export function person(pose, body) {
    const [text, moves, thing] = POSES[pose];
    const n = text.split(" ").map(Number);
    const p = [];
    for (let i = 0; i < n.length; i += 2) {
        p.push([n[i], n[i + 1]]);
    }
    const sits = pose.startsWith("s-");
    const wheels = sits && body % 2 === 0;
    const who = BODIES[body % BODIES.length];
    const [neck, hips] = p;
    const wide = who[3],
        thick = wide > 18 ? 7 : 5.5;
    const len = Math.hypot(neck[0] - hips[0], neck[1] - hips[1]);
    const up = [(neck[0] - hips[0]) / len, (neck[1] - hips[1]) / len];
    const off = (q, by) => [q[0] + by, q[1] + 2];
    const foot = (f, side) => line(`M${f}l${sits ? 5 : side} 0.500`, "ink", thick + 1);
    const trunk = `M${neck[0]} ${neck[1] + wide / 2 - 4}L${hips[0]} ${hips[1] - 3}`;
    const hand = who[5] === "arm" ? null : line(limb(off(neck, sits ? -2 : -wide / 2 + 2), p[2], p[3]), "ink", thick - 0.5);
    return svg(
        "g",
        {
            class: "chalk",
            transform: who[4] === 1 ? null : `translate(${50 - 50 * who[4]} ${94 - 94 * who[4]}) scale(${who[4]})`
        },
        sits ? null : line("M14 96q36-2 72 .5", "edge", 2),
        sits && !wheels ? line(SEATS.chair, "edge", 3.5) : null,
        line(limb(off(hips, sits ? 0 : -3), p[6], p[7]), "soft", thick),
        foot(p[7], -3.5),
        line(limb(off(hips, sits ? 0 : 3), p[8], p[9]), "soft", thick),
        foot(p[9], 3.5),
        hand,
        who[5] === "arm" ? line(`M${off(neck, -wide / 2 + 2)}l-5 8`, "ink", thick - 0.5) : null,
        line(trunk, who[0], wide),
        wheels ? line(SEATS.wheels, "leaf", 3) : null,
        head(neck[0] + up[0] * 10, neck[1] + up[1] * 10 - 1, who),
        line(limb(off(neck, sits ? 2 : wide / 2 - 2), p[4], p[5]), "ink", thick - 0.5),
        moves ? line(moves, "sky", 2.4) : null,
        thing ? line(thing, "sun", 3) : null
    );
}

/* A picture of somebody doing something; `words` when nothing beside it says so. */
export function figure(pose, body, words, className) {
    return svg(
        "svg",
        {
            viewBox: "0 0 100 100",
            class: "pic " + (className || ""),
            "data-pose": pose,
            focusable: "false",
            role: words ? "img" : null,
            "aria-label": words || null,
            "aria-hidden": words ? null : "true"
        },
        person(pose, body)
    );
}
