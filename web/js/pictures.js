/* SPDX-License-Identifier: MIT
 * The 24 card pictures: a child who cannot read yet knows its card by the drawing. One is on each
 * card and on "Are you ...?". The number 0-23 is what the server stores; the order never changes. */

import { svg } from "./dom.js";
import { t } from "./msg.js";

/* [name, strokes on a 48 x 48 sheet] */
const PICTURES = [
    [
        "kite",
        "M24 4c5 7 11 12 15 15-6 7-11 12-15 17-5-6-11-11-15-17 6-4 11-9 15-15Zm0 1v30M10 19h28M24 36c-4 3 4 5 0 9"
    ],
    [
        "boat",
        "M6 31c11 2 25 2 36 0-2 6-5 9-9 11-6 1-14 1-19-1-4-2-6-5-8-10Zm18 0V6c6 7 11 13 15 21-5 1-10 1-15 0m-4-15c-3 6-6 11-10 15 3 1 7 1 10 0Z"
    ],
    [
        "leaf",
        "M8 41c6-7 12-14 22-23M10 38C6 24 15 9 40 7c2 21-9 35-28 29m8-9c0-3 0-6-1-9m7 4c3 1 6 1 9 0"
    ],
    [
        "cloud",
        "M13 36c-9 0-10-11-1-12-1-10 12-14 16-6 6-4 13 1 10 8 8 1 7 10-1 10-8 1-16 1-24 0Z"
    ],
    ["moon", "M31 6C17 7 9 18 12 29s15 16 26 10c-10-2-16-8-16-17 0-7 4-12 9-16Z"],
    [
        "fish",
        "M6 24c7-12 21-13 29-1 3-3 6-6 9-8-1 6-1 12 0 18-3-2-6-5-9-8-8 12-22 11-29-1Zm8-3 .5.5M21 17c3 4 3 10 0 14"
    ],
    [
        "snail",
        "M5 40c10 1 24 1 34 0 5-6 3-13 4-20m0 0c1-3 2-5 3-7m-4 7c-2-3-3-5-4-7m-3 26c2-4 3-7 2-12M12 39c-6-10-1-22 9-23 11 0 15 12 9 19-5 5-14 2-13-6 1-6 9-6 9 0"
    ],
    [
        "tree",
        "M21 44c1-6 1-11 0-16m6 16c-1-6-1-11 0-16m-13 1c-9-1-9-12-1-13 0-9 14-13 18-5 9-2 13 9 5 14-2 6-12 7-14 3-2 2-5 2-8 1Z"
    ],
    [
        "drum",
        "M7 17c5-6 29-6 34 0-5 6-29 6-34 0Zm0 0 2 19c6 6 24 6 30 0l2-19m-31 8 8 13 6-16 7 17 7-14M28 13l14-9"
    ],
    [
        "key",
        "M15 15c7-1 9 9 3 13-7 3-13-4-10-10 2-3 5-3 7-3Zm5 9 22 9m-8-3-3 7m8-5-2 6M13 21l1 1"
    ],
    [
        "umbrella",
        "M5 25C7 12 15 7 24 7s17 5 19 18c-4-4-9-4-12 0-4-4-10-4-14 0-3-4-8-4-12 0ZM24 7V4m0 19v15c0 6 9 6 9 0"
    ],
    [
        "bell",
        "M10 35c5-4 4-10 5-16 1-11 17-11 18 0 1 6 0 12 5 16-9 2-19 2-28 0ZM24 8V4m-4 33c1 5 7 5 8 0"
    ],
    [
        "cup",
        "M9 14c9 2 18 2 26 0 0 11-1 20-5 26-5 2-11 2-16 0-4-6-5-15-5-26Zm26 5c9-2 9 11-2 11M17 9c-2-2 2-3 0-6m9 6c-2-2 2-3 0-6"
    ],
    [
        "apple",
        "M24 14C15 7 5 14 8 26c2 10 10 19 16 14 6 5 14-4 16-14 3-12-7-19-16-12Zm0 0c0-5 1-8 4-11m0 6c4-5 9-4 11-4-2 4-6 6-11 4"
    ],
    [
        "flower",
        "M24 17c4 0 4 6 0 6s-4-6 0-6Zm-2 0c-6-7-1-13 3-11 4-2 7 5 1 11m1 2c7-6 13-1 10 3 2 4-5 7-10 0m-2 1c3 8-1 11-5 8-5 1-5-6 2-9m-1-1c-8 5-13 1-10-3-2-5 5-6 10 0m3 14v13m0-4c4-6 9-6 12-5-2 5-7 7-12 6"
    ],
    ["hill", "m3 40 14-28 7 13 6-7 15 22c-14 2-28 2-42 0Zm9-18 5-2 4 2m6 0 4 2 3-1"],
    [
        "house",
        "M8 42V22L24 7l16 15v20c-11 1-21 1-32 0ZM4 25 24 6l20 19M20 42V30h8v12m4-32V5h4v10"
    ],
    [
        "bird",
        "M7 22c2-10 13-11 17-4 7 1 14-1 20-7 0 14-7 26-19 26-9 0-15-5-14-12l-7-1Zm7-4 .5.5M22 25c6 3 11 0 14-5M22 37l-1 7m6-7 1 7"
    ],
    [
        "wheel",
        "M24 5c13 0 19 10 19 19 0 11-8 19-19 19-12 0-19-9-19-19C5 13 13 5 24 5Zm0 14c5 0 6 10 0 10s-6-10 0-10Zm0-13v13m0 10v13M6 24h13m10 0h13M11 11l9 9m8 8 9 9m0-26-9 9m-8 8-9 9"
    ],
    [
        "hat",
        "M4 36c7-4 8-5 9-9 1-11 3-16 11-16s10 5 11 16c1 4 2 5 9 9-10 6-30 6-40 0Zm9-8c7 4 15 4 22 0"
    ],
    [
        "shell",
        "M24 42C12 38 4 27 8 18c3-8 10-11 16-11s13 3 16 11c4 9-4 20-16 24Zm0 0L13 13m11 29L20 8m4 34 4-34m-4 34 11-29M19 42h10"
    ],
    [
        "ladder",
        "m14 44 4-40m16 40L30 4m-12.5 6h13m-13.7 8h14.4M16 26h16m-16.8 8h17.6"
    ],
    [
        "lamp",
        "M13 18h22l-3 20H16Zm-2 20h26v5H11Zm5-20c1-7 15-7 16 0m-8-6V6m-4-1c2-2 6-2 8 0m-4 29c-4-3-3-7 0-11 3 4 4 8 0 11Z"
    ],
    [
        "mushroom",
        "M5 25C6 12 15 6 24 6s18 6 19 19c-12 4-26 4-38 0Zm14 2c1 6 0 11-2 15 5 2 9 2 14 0-2-4-3-9-2-15M16 15c3-2 5 2 2 4-3 1-4-2-2-4Zm13-4c3-1 5 3 2 4s-4-3-2-4Z"
    ]
];

export const pictureCount = PICTURES.length;

export function pictureName(number) {
    const found = PICTURES[number];
    return t("picture." + (found ? found[0] : "card"));
}

/* The drawing, in the colour of the words around it. */
export function picture(number, className) {
    const found = PICTURES[number] || ["card", "M8 10h32v28H8Z"];
    return svg(
        "svg",
        {
            viewBox: "0 0 48 48",
            class: className || "card-picture",
            role: "img",
            "aria-label": t("picture." + found[0])
        },
        svg("path", {
            d: found[1],
            fill: "none",
            stroke: "currentColor",
            "stroke-width": 2.4,
            "stroke-linecap": "round",
            "stroke-linejoin": "round"
        })
    );
}
