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
        "M27 72V58M22 63L27 57L32 63"
    ],
    reach: [
        "50 33 50 58 37 26 34 9 63 26 66 9 45 76 43 92 55 76 57 92",
        "M21 24V10M16 16L21 9L26 16M79 24V10M74 16L79 9L84 16"
    ],
    circles: [
        "50 31 50 56 35 33 20 31 65 33 80 31 45 75 43 92 55 75 57 92",
        "M13 20C24 13 31 23 25 29M87 20C76 13 69 23 75 29M26 22L25 30L18 28M74 22L75 30L82 28"
    ],
    shake: [
        "50 31 50 56 37 45 28 34 63 45 72 34 45 75 43 92 55 75 57 92",
        "M19 39L15 35M22 29L19 24M30 25V19M81 39L85 35M78 29L81 24M70 25V19"
    ],
    toes: [
        "50 31 50 56 35 43 45 54 65 43 55 54 40 74 29 90 55 75 56 92",
        "M18 84L14 80M15 92H9"
    ],
    twist: [
        "50 31 50 56 43 42 60 43 64 36 78 43 45 75 43 92 55 75 57 92",
        "M30 58C38 68 62 68 71 58M72 67L72 57L62 58"
    ],
    tiptoes: [
        "50 27 50 52 37 38 32 49 63 38 68 49 46 70 46 89 54 70 54 89",
        "M22 34V20M17 26L22 19L27 26M78 34V20M73 26L78 19L83 26"
    ],
    rest: [
        "50 31 50 56 36 43 46 50 64 43 54 50 45 75 43 92 55 75 57 92",
        "M22 30C28 26 28 36 34 32M66 32C72 28 72 38 78 34"
    ],
    throw: [
        "46 33 45 58 35 45 32 57 57 45 71 43 38 76 33 92 56 74 61 92",
        "M66 58C72 57 77 53 79 50",
        "M78 33C84 33 84 42 78 42C72 42 72 33 78 33Z"
    ],
    slide: [
        "46 42 38 66 40 55 48 66 57 56 68 74 41 91 22 92 59 69 58 92",
        "M66 90H84M80 86L85 90L80 94",
        "M64 80C72 76 78 80 77 84C73 87 66 86 64 80Z"
    ],
    catch: [
        "44 32 44 57 54 42 68 38 57 48 70 47 37 75 33 92 52 74 56 92",
        "M96 16C92 17 89 20 87 22",
        "M79 25C86 25 86 35 79 35C72 35 72 25 79 25Z"
    ],
    skip: [
        "50 28 50 51 38 40 30 47 62 40 70 47 43 67 46 82 57 67 54 82",
        "",
        "M29 47C2 96 24 96 50 96C76 96 98 96 71 47"
    ],
    balance: [
        "50 30 50 55 35 34 19 28 65 34 81 28 35 65 47 73 51 75 50 92",
        ""
    ],
    carry: [
        "48 31 46 56 57 44 68 44 56 47 66 48 38 73 28 89 56 71 62 92",
        "M80 88H94M90 84L95 88L90 92",
        "M66 32C75 30 79 36 76 42C70 44 65 42 66 32Z"
    ],
    jump: [
        "48 28 45 51 58 22 69 14 60 28 73 23 55 62 50 75 50 66 42 78",
        "M22 92C34 80 62 82 74 92M74 82L75 93L64 92"
    ],
    "s-sit": ["42 37 40 63 47 50 56 60 51 49 60 59 57 64 55 92 63 64 64 92"],
    "s-march": [
        "42 37 40 63 50 48 58 42 36 50 38 60 57 64 55 92 63 54 66 77",
        "M82 70V56M77 61L82 55L87 61"
    ],
    "s-reach": [
        "42 37 40 63 33 29 30 12 52 28 58 12 57 64 55 92 63 64 64 92",
        "M18 27V13M13 19L18 12L23 19M70 27V13M65 19L70 12L75 19"
    ],
    "s-circles": [
        "42 37 40 63 30 40 16 38 56 38 72 36 57 64 55 92 63 64 64 92",
        "M9 27C20 20 27 29 21 35M79 25C68 18 62 28 67 34M22 28L21 36L14 34M66 27L67 35L74 33"
    ],
    "s-shake": [
        "42 37 40 63 33 49 24 38 55 48 67 39 57 64 55 92 63 64 64 92",
        "M15 42L11 38M18 32L15 27M27 29V23M77 44L81 41M75 33L79 29M67 29V23"
    ],
    "s-toes": [
        "42 37 40 63 47 50 55 60 36 50 34 60 57 64 55 92 64 66 80 88",
        "M89 80L93 76M90 88H96"
    ],
    "s-twist": [
        "42 37 40 63 53 44 68 42 50 49 64 51 57 64 55 92 63 64 64 92",
        "M22 54C34 74 58 72 74 60M74 70L75 59L64 60"
    ],
    "s-tiptoes": [
        "42 37 40 63 33 50 36 61 50 49 52 60 57 60 57 87 63 60 66 87",
        "M80 92V78M75 84L80 77L85 84"
    ],
    "s-rest": [
        "42 37 40 63 51 48 49 55 33 50 46 55 57 64 55 92 63 64 64 92",
        "M66 30C72 26 72 36 78 32M66 42C72 38 72 48 78 44"
    ],
    "s-throw": [
        "42 37 40 63 36 50 40 60 54 48 68 46 57 64 55 92 63 64 64 92",
        "M64 58C70 57 75 54 78 51",
        "M77 36C83 36 83 45 77 45C71 45 71 36 77 36Z"
    ],
    "s-catch": [
        "42 37 40 63 53 46 67 40 52 50 69 49 57 64 55 92 63 64 64 92",
        "M96 16C92 17 89 20 87 22",
        "M79 25C86 25 86 35 79 35C72 35 72 25 79 25Z"
    ],
    "s-balance": ["42 37 41 63 54 45 43 49 33 48 47 51 60 59 77 68 59 55 80 59", "M70 82V76M78 80V74"],
    "s-carry": [
        "42 37 40 63 54 44 67 42 36 50 42 60 57 64 55 92 63 64 64 92",
        "M80 36C87 38 89 44 88 50M83 47L88 51L92 45",
        "M65 30C74 28 78 34 75 40C69 42 64 40 65 30Z"
    ],
    "s-skip": [
        "42 37 40 63 51 48 64 46 35 50 38 60 57 64 55 92 63 64 64 92",
        "",
        "M65 45C96 18 100 66 65 47"
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
    short: "M-9.500 0C-11 -14 11 -14 9.500 0C6 -5 2 -3 -1 -5C-4 -3 -8 -5 -9.500 0Z",
    puffs: "M-9.500 -1C-9 -12 9 -12 9.500 -1C5 -6 -5 -6 -9.500 -1ZM-11 -10a4.500 4.500 0 1 0 .1 0ZM11 -10a4.500 4.500 0 1 0 .1 0Z",
    scarf: "M-8 11C-14 -2 -10 -13 0 -13C10 -13 14 -2 8 11C4 14 -4 14 -8 11ZM0 -6.500a7 7 0 1 0 .1 0Z",
    cap: "M-10 -3C-10 -16 10 -16 10 -3C13 -3 16 -2 17 0C10 -2 -4 -2 -10 -3Z",
    curls: "M-10 2C-14 -1 -13 -6 -9 -7C-9 -12 -3 -14 0 -11C3 -14 9 -12 9 -7C13 -6 14 -1 10 2C9 -3 6 -5 3 -4C1 -6 -1 -6 -3 -4C-6 -5 -9 -3 -10 2Z",
    wrap: "M-10 -2C-13 -16 13 -16 10 -2C5 -6 2 -7 0 -9C-2 -7 -5 -6 -10 -2Z",
    long: "M-10 10C-13 -2 -12 -12 0 -12C12 -12 13 -2 10 10C7 6 9 -1 6 -5C2 -4 -4 -5 -7 -3C-8 1 -7 6 -10 10Z"
};

const SEATS = {
    chair: "M27 38L31 68L59 68M32 68L29 93M56 68L58 93",
    wheels: "M42 60C56 60 61 70 60 78C59 89 50 95 41 94C31 93 24 86 25 77C26 66 33 60 42 60ZM22 42L30 44L33 66M67 84L60 82M68 87C73 87 73 95 68 95C63 95 63 87 68 87Z"
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
        line("M-3 1.500V2M3.500 1.500V2M-3 5Q.5 8 4 5", "ink", 2)
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
        sits ? null : line("M14 96Q50 94 86 96.500", "edge", 2),
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
