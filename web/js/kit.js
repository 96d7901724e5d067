/* SPDX-License-Identifier: MIT
 * Chalk things: parts of the body that a cue speaks of, kit, safety, faces; and the tables by which a
 * picture is found for a teacher's own words. What the tables do not know gets a plain picture that
 * is right for anything. Same hand as figures.js. */

import { svg } from "./dom.js";
import { figure, isPose } from "./figures.js";

/* On a 48 x 48 sheet: [lines in ink, in sun, in coral, in sky] */
const THINGS = {
    eye: ["M4 25c9-14 31-14 40 0-9 13-31 13-40 0Zm6-12L7 9m13 0-1-5m11 5 1-5m8 9 3-4", "M24 17a7.5 7.5 0 1 0 .1 0Zm0 6v2"],
    hand: ["M15 44c-2-8-7-13-8-19 2-3 5-1 7 3l-1-18c0-4 5-4 5 0l1 12 1-16c0-3 5-3 5 0v16l3-14c1-3 5-2 5 1l-3 14 6-9c2-3 6-1 4 3l-6 15c-2 6-2 8-2 12"],
    arm: ["M8 12c3 9 7 15 15 19 6 2 11 0 16-2m0 0c4-1 5 4 1 5", "", "", "M20 10c11 1 17 6 19 12m-6-2 7 3 3-7"],
    knee: ["M12 4c2 10 5 16 15 19-2 8-5 13-7 19l11 1", "M28 17a6 6 0 1 0 .1 0Z"],
    foot: ["M13 5c1 11 0 19-2 27s0 10 8 10h19c5 0 4-6-1-7-8-2-11-6-11-13l1-16M17 42v-4"],
    shoe: ["M5 38h38c2-7-3-9-9-10-5-2-8-6-10-11l-9 3-9-2c-2 7-1 14-1 20Zm0-5 38 1", "m25 25 5-4m-1 7 4-4"],
    head: ["M24 6c11 0 14 10 12 18s-7 11-12 11-10-3-12-11S13 6 24 6Zm-4 14v1m9-1v1m-9 6q4 3 9-1", "", "", "M24 45v-6m-4 4 4-5 4 5"],
    back: ["M24 4a5 5 0 1 0 .1 0Zm0 12v16m0 0 16 1v12M10 12v33m0-12h14", "", "", "M17 28V16m-3 4 3-5 3 5"],
    tummy: ["M15 6c2 10 0 16-2 24 0 8 3 12 4 14M33 6c-2 10 0 16 2 24 0 8-3 12-4 14", "M24 25a5 5 0 1 0 .1 0Z"],
    hips: ["M24 5a5 5 0 1 0 .1 0Zm0 10v14m-8 2-3 13m19-13 3 13M24 29l-8 2m8-2 8 2", "M6 30h36m-32-4-4 4 4 4m28-8 4 4-4 4"],
    beat: ["M15 37V12l24-4v25M9 32a6 5 0 1 0 .1 10A6 5 0 1 0 9 32Zm24-4a6 5 0 1 0 .1 10 6 5 0 1 0-.1-10Z"],
    soft: ["M6 30c6-8 14 10 20 0 5-8 12 8 17 0", "M6 41L43 41", "", "M24 6v14m-5-5 5 6 5-6"],
    ball: ["M24 6c12 0 18 9 18 18 0 10-8 18-18 18-11 0-18-9-18-18C6 14 13 6 24 6Z", "M8 18c10 4 22 4 32-1M19 41c-5-11-4-25 3-34"],
    bag: ["M10 14c8 3 20 3 29-2 3 9 2 19-2 25-9 4-18 3-27 0-3-7-3-16 0-23Z", "m15 20 18 11m0-12L15 32"],
    socks: ["m14 5 12-1 1 18c4 5 11 6 13 11 1 6-5 9-10 7-7-2-13-6-16-12Z", "m14 11 12-1"],
    rope: ["m9 8 4 8m24-9-2 9", "M13 16C2 50 46 50 35 16"],
    mat: ["M12 14h32l-8 22H4Z", "M20 20h13l-4 10H15Z"],
    paper: ["m12 5 18-1 8 8-1 31H11Zm18-1v8h8", "M17 21h14m-14 7h14m-14 7h9"],
    box: ["m6 20 18 6v18L7 37Zm18 6 18-7-1 18-17 7M6 20l8-11m28 10L34 9"],
    clock: ["M24 11c10 0 16 7 16 16s-7 16-16 16C14 43 8 36 8 27s6-16 16-16Zm-4-6h8m-4 0v6m13 1 3 3", "M24 19v8l6 4"],
    wall: ["M4 10H44V42H4ZM4 21H44M4 31H44M18 10V21M32 10V21M11 21V31M25 21V31M38 21V31M18 31V42M32 31V42"],
    line: ["M6 40c12-2 24 2 37-1", "M13 8c7-2 9 7 6 12-2 4 0 9-5 9s-4-7-5-12 0-8 4-9Zm20 2c6-1 8 7 6 11-2 5-1 10-6 10s-3-7-4-12 0-8 4-9Z"],
    gate: ["M4 38h11c1-5-3-7-5-11l-6 1Zm29 0h11V27l-6 1c-1 3-5 5-5 10Z", "M24 21a7 7 0 1 0 .1 0Z", "", "M24 15V5m-4 4 4-5 4 5"],
    chair: ["m13 4 2 22h21l2 18M15 26l-3 18"],
    tray: ["m4 32 34-20 6 6-34 22Z", "M28 9a5 5 0 1 0 .1 0Z"],
    cushion: ["M8 10c10 4 22 4 32-1-4 11-3 21 1 30-11-4-23-4-34 1 5-10 5-20 1-30Z"],
    ruler: ["m4 17 40-2v16L4 33Zm6 0v6m7-6v4m7-5v7m7-7v4m7-4v6"],
    bottle: ["M20 4h8v9c6 4 6 8 6 13v17H14V26c0-5 0-9 6-13Z", "M14 27h20v9H14"],
    helper: ["M16 6a6 6 0 1 0 .1 0ZM4 42c0-12 4-20 12-20 7 0 11 6 12 12", "M34 19a5 5 0 1 0 .1 0ZM24 42c0-6 4-10 10-10s10 4 10 10"],
    space: ["M24 18a6 6 0 1 0 .1 0Z", "", "", "M14 24H3m4-4-4 4 4 4m27-4h11m-4-4 4 4-4 4M24 14V3m-4 4 4-4 4 4m-4 27v11m-4-4 4 4 4-4"],
    trip: ["M4 40h40m-28 0V28h14v12M16 28l6-6h14l-6 6m6-6v12l-6 6", "", "m8 8 10 8m0-8L8 16"],
    stop: ["M17 4h15l11 12v15L32 43H16L5 32V16Z", "", "M15 27c2 6 16 6 18 0V16M15 27v-8m6 6V12m6 13V12m6 8v-4"],
    dizzy: ["M15 31c0 12 19 12 19 0 0-8-4-11-10-11-5 0-9 4-9 11Zm5-2v1m9-1v1m-7 6h5", "", "", "M8 13c4-9 28-10 33-2 3 6-27 7-25 2 2-4 16-5 18-2"],
    puffer: ["m15 5 14-1 1 20 12 1v13l-26 3Zm0 7 14-1", "", "", "M31 31H37"],
    stairs: ["M4 43h9v-9h9v-9h9v-9h9V8h4", "", "M6 8L18 20M18 8L6 20"],
    pets: ["M12 20V8l8 5h9l8-5v14c0 9-6 13-13 13s-12-5-12-15Zm8 2v1m10-1v1m-8 6q3 2 6-1"],
    careful: ["M24 6c5 10 13 23 19 34-12 2-26 2-38 0 6-11 13-24 19-34Z", "M24 18v11m0 5v1"],
    hush: ["M24 5c11 0 17 9 17 19s-7 18-17 18C13 42 7 34 7 24 7 13 13 5 24 5Zm-8 13v2m16-2v2", "M21 45V29c0-4 6-4 6 0v16M17 33h2m10 0h2"],
    empty: ["M10 14c8 3 20 3 29-2 3 9 2 19-2 25-9 4-18 3-27 0-3-7-3-16 0-23Z", "", "M6 43L43 5"],
    listen: ["M5 18h9L25 8v32L14 30H5Z", "M32 17c4 4 4 10 0 14m6-20c7 8 7 18 0 26"],
    talk: ["M7 8c11-3 24-3 35 0 2 8 2 16 0 23-7 2-13 2-19 2l-10 9 1-10-8-2C4 22 4 15 7 8Z", "M15 19v1m9-1v1m9-1v1"],
    hurt: ["m10 27 17-17c8-6 17 3 11 11L21 38c-8 6-17-3-11-11Zm8-8 11 11m-7-15 11 11", "M24 22v1m3 3v1m-5-1v1"],
    oops: ["m8 40 2-10L32 8l8 8-22 22Z"],
    cannot: ["M24 6c12 0 18 9 18 18 0 10-8 18-18 18-11 0-18-9-18-18C6 14 13 6 24 6Z", "", "M12 12 36 36"],
    easy: ["M24 5c12 0 19 9 19 19 0 11-8 19-19 19S5 35 5 24 13 5 24 5Z", "M13 20q4-4 7 0m9 0q3-4 7 0M18 32l13-1"],
    right: ["M24 5c12 0 19 9 19 19 0 11-8 19-19 19S5 35 5 24 13 5 24 5Z", "M17 18v3m15-3v3m-18 7q10 10 21-1"],
    hard: ["M24 5c12 0 19 9 19 19 0 11-8 19-19 19S5 35 5 24 13 5 24 5Z", "m14 18 6-3m15 3-6-3m-12 7v2m15-2v2M16 34q4-5 8-1 4 3 9-2", "", "M44 4c3 5 1 8-1 8-3 0-3-4 1-8Z"]
};

const COLOURS = ["ink", "sun", "coral", "sky"];

/* One thing; without `words` it is only beside its words. */
export function thing(name, words, className) {
    return svg(
        "svg",
        {
            viewBox: "0 0 48 48",
            class: "pic " + (className || ""),
            "data-pic": name,
            focusable: "false",
            role: words ? "img" : null,
            "aria-label": words || null,
            "aria-hidden": words ? null : "true"
        },
        THINGS[name].map((d, i) =>
            d ? svg("path", { d, class: "c-" + COLOURS[i], "stroke-width": 2.6 }) : null
        )
    );
}

/* A picture by name, thing or pose. */
export function pic(name, words, className) {
    return isPose(name) ? figure(name, 0, words, className) : thing(name, words, className);
}

function firstOf(table, text, otherwise) {
    const fits = (name) => new RegExp("\\b(" + table[name] + ")", "i").test(text);
    return Object.keys(table).find(fits) || otherwise;
}

/* Beginnings of words; the first row that fits wins; the words are the English ones a teacher typed. */
const CUES = {
    eye: "eyes?\\b|look|watch",
    arm: "elbow|arms?\\b|swing",
    knee: "knees?\\b",
    hand: "hand|finger|catch|wrist",
    tummy: "tummy",
    back: "back\\b|tall\\b",
    hips: "hips?\\b",
    head: "head\\b",
    beat: "beat|steady|rhythm",
    foot: "feet|foot|toes?\\b|steps?\\b",
    soft: "soft|jump|land",
    listen: "hear|quiet|listen",
    socks: "socks?\\b|places?\\b"
};
const KIT = {
    rope: "rope|string|ribbon",
    bag: "beanbag|bag",
    ball: "ball",
    mat: "mat\\b|towel|rug|cloth|scarf",
    paper: "paper|card\\b|plate|book",
    box: "box|basket|bowl|bucket|cup",
    clock: "timer|watch|clock",
    chair: "chair|stool",
    tray: "tray|ramp",
    cushion: "cushion|pillow",
    ruler: "ruler|tape",
    bottle: "bottle|skittle",
    socks: "sock",
    line: "line\\b",
    wall: "wall",
    gate: "marker|shoe|gate"
};
const SAFETY = {
    stop: "hurts?\\b|pain",
    dizzy: "dizzy|wheez|breath",
    puffer: "inhaler",
    helper: "grown-up|adult|helper",
    wall: "wall",
    stairs: "stairs",
    trip: "trip\\b|toys|clear\\b",
    pets: "pets?\\b",
    space: "space|round|beside|behind",
    shoe: "shoes?\\b|feet\\b|socks\\b",
    ball: "ball\\b",
    rope: "rope",
    cushion: "soft",
    chair: "chair"
};
const DOING = {
    skip: "skip|rope",
    catch: "catch",
    slide: "roll|slide|push",
    throw: "throw|toss|aim",
    balance: "balance|one.leg|stand|still",
    carry: "carry|walk|trail|move",
    jump: "jump|leap|hop",
    reach: "reach|stretch"
};
const BY_KIND = { zones: "slide", successes: "throw", timed_count: "skip", measure: "balance" };

export const cuePicture = (text) => firstOf(CUES, text, "eye");
export const kitPicture = (text) => firstOf(KIT, text, "bag");
export const safetyPicture = (text) => firstOf(SAFETY, text, "careful");

const SITTING = { slide: "s-throw", jump: "s-march" };

/* What an activity looks like, done in this way. */
export function activityPose(activity, version) {
    const pose = firstOf(DOING, activity.name + " " + (activity.summary || ""), BY_KIND[activity.kind]);
    return version === "seated" ? SITTING[pose] || "s-" + pose : pose;
}

/* The picture on a version's tile: what is done, and what is special about this way. */
export function versionPicture(activity, version, body) {
    const main = figure(activityPose(activity, version), body);
    const extra = { quiet: "hush", no_kit: "empty" }[version];
    return extra ? [main, thing(extra, null, "pic-small")] : [main];
}
