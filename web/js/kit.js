/* SPDX-License-Identifier: MIT
 * Chalk things: parts of the body that a cue speaks of, kit, safety, faces; and the tables by which a
 * picture is found for a teacher's own words. What the tables do not know gets a plain picture that
 * is right for anything. Same hand as figures.js. */

import { svg } from "./dom.js";
import { figure, isPose } from "./figures.js";

/* On a 48 x 48 sheet: [lines in ink, in sun, in coral, in sky] */
const THINGS = {
    eye: ["M4 25C13 11 35 11 44 25C35 38 13 38 4 25ZM10 13L7 9M20 9L19 4M30 9L31 4M39 13L42 9", "M24 17a7.500 7.500 0 1 0 .1 0ZM24 23v2"],
    hand: ["M15 44C13 36 8 31 7 25C9 22 12 24 14 28L13 10C13 6 18 6 18 10L19 22L20 6C20 3 25 3 25 6L25 22L28 8C29 5 33 6 33 9L30 23L36 14C38 11 42 13 40 17L34 32C32 38 32 40 32 44"],
    arm: ["M8 12C11 21 15 27 23 31C29 33 34 31 39 29M39 29C43 28 44 33 40 34", "", "", "M20 10C31 11 37 16 39 22M33 20L40 23L43 16"],
    wrist: ["M4 32L20 28M6 41L23 37M20 28C25 24 31 24 33 28C36 32 30 38 23 37", "", "", "M34 14C43 17 44 29 38 36M29 16L34 14L37 20"],
    elbow: ["M10 6C11 18 13 28 18 34C25 33 34 31 42 30", "M16 29a5 5 0 1 0 .1 0Z"],
    knee: ["M12 4C14 14 17 20 27 23C25 31 22 36 20 42L31 43", "M28 17a6 6 0 1 0 .1 0Z"],
    foot: ["M13 5C14 16 13 24 11 32C9 40 11 42 19 42L38 42C43 42 42 36 37 35C29 33 26 29 26 22L27 6M17 42L17 38"],
    shoe: ["M5 38L43 38C45 31 40 29 34 28C29 26 26 22 24 17L15 20L6 18C4 25 5 32 5 38ZM5 33L43 34", "M25 25L30 21M29 28L33 24"],
    head: ["M24 6C35 6 38 16 36 24C34 32 29 35 24 35C19 35 14 32 12 24C10 16 13 6 24 6ZM20 20V21M29 20V21M20 27Q24 30 29 26", "", "", "M24 45V39M20 43L24 38L28 43"],
    back: ["M24 4a5 5 0 1 0 .1 0ZM24 16L24 32M24 32L40 33L40 45M10 12L10 45M10 33L24 33", "", "", "M17 28V16M14 20L17 15L20 20"],
    tummy: ["M15 6C17 16 15 22 13 30C13 38 16 42 17 44M33 6C31 16 33 22 35 30C35 38 32 42 31 44", "M24 25a5 5 0 1 0 .1 0Z"],
    hips: ["M24 5a5 5 0 1 0 .1 0ZM24 15V29M16 31L13 44M32 31L35 44M24 29L16 31M24 29L32 31", "M6 30H42M10 26L6 30L10 34M38 26L42 30L38 34"],
    beat: ["M15 37V12L39 8V33M9 32a6 5 0 1 0 .1 10a6 5 0 1 0 -.1 -10ZM33 28a6 5 0 1 0 .1 10a6 5 0 1 0 -.1 -10Z"],
    soft: ["M6 30C12 22 20 40 26 30C31 22 38 38 43 30", "M6 41L43 41", "", "M24 6V20M19 15L24 21L29 15"],
    balloon: ["M24 6C35 6 39 15 36 23C33 30 28 33 24 33C20 33 15 30 12 23C9 15 13 6 24 6Z"],
    ball: ["M24 6C36 6 42 15 42 24C42 34 34 42 24 42C13 42 6 33 6 24C6 14 13 6 24 6Z", "M8 18C18 22 30 22 40 17M19 41C14 30 15 16 22 7"],
    bag: ["M10 14C18 17 30 17 39 12C42 21 41 31 37 37C28 41 19 40 10 37C7 30 7 21 10 14Z", "M15 20L33 31M33 19L15 32"],
    socks: ["M14 5L26 4L27 22C31 27 38 28 40 33C41 39 35 42 30 40C23 38 17 34 14 28Z", "M14 11L26 10"],
    rope: ["M9 8L13 16M37 7L35 16", "M13 16C2 50 46 50 35 16"],
    string: ["", "M4 26C12 14 18 38 26 26C32 16 38 34 44 24"],
    mat: ["M12 14L44 14L36 36L4 36Z", "M20 20L33 20L29 30L15 30Z"],
    paper: ["M12 5L30 4L38 12L37 43L11 43ZM30 4L30 12L38 12", "M17 21H31M17 28H31M17 35H26"],
    box: ["M6 20L24 26L24 44L7 37ZM24 26L42 19L41 37L24 44M6 20L14 9M42 19L34 9"],
    bowl: ["M5 20C18 24 31 24 43 19C42 33 34 41 24 41C14 41 6 33 5 20Z"],
    clock: ["M24 11C34 11 40 18 40 27C40 36 33 43 24 43C14 43 8 36 8 27C8 18 14 11 24 11ZM20 5H28M24 5V11M37 12L40 15", "M24 19V27L30 31"],
    wall: ["M4 10H44V42H4ZM4 21H44M4 31H44M18 10V21M32 10V21M11 21V31M25 21V31M38 21V31M18 31V42M32 31V42"],
    line: ["M6 40C18 38 30 42 43 39", "M13 8C20 6 22 15 19 20C17 24 19 29 14 29C9 29 10 22 9 17C8 12 9 9 13 8ZM33 10C39 9 41 17 39 21C37 26 38 31 33 31C28 31 30 24 29 19C28 14 29 11 33 10Z"],
    gate: ["M4 38L15 38C16 33 12 31 10 27L4 28ZM33 38L44 38L44 27L38 28C37 31 33 33 33 38Z", "M24 21a7 7 0 1 0 .1 0Z", "", "M24 15V5M20 9L24 4L28 9"],
    chair: ["M13 4L15 26L36 26L38 44M15 26L12 44"],
    book: ["M24 12C17 7 10 8 5 9L5 39C11 37 18 38 24 42C30 38 37 37 43 39L43 9C38 8 31 7 24 12ZM24 12V42"],
    tray: ["M4 32L38 12L44 18L10 40Z", "M28 9a5 5 0 1 0 .1 0Z"],
    cushion: ["M8 10C18 14 30 14 40 9C36 20 37 30 41 39C30 35 18 35 7 40C12 30 12 20 8 10Z"],
    ruler: ["M4 17L44 15L44 31L4 33ZM10 17V23M17 17V21M24 16V23M31 16V20M38 16V22"],
    cloth: ["M6 12C18 8 30 15 42 10L43 36C33 42 18 34 7 39Z", "M12 18C20 16 30 20 37 17M12 26C20 24 30 28 37 25"],
    bottle: ["M20 4H28V13C34 17 34 21 34 26V43H14V26C14 21 14 17 20 13Z", "M14 27H34V36H14"],
    helper: ["M16 6a6 6 0 1 0 .1 0ZM4 42C4 30 8 22 16 22C23 22 27 28 28 34", "M34 19a5 5 0 1 0 .1 0ZM24 42C24 36 28 32 34 32C40 32 44 36 44 42"],
    space: ["M24 18a6 6 0 1 0 .1 0Z", "", "", "M14 24H3M7 20L3 24L7 28M34 24H45M41 20L45 24L41 28M24 14V3M20 7L24 3L28 7M24 34V45M20 41L24 45L28 41"],
    trip: ["M4 40H44M16 40L16 28L30 28L30 40M16 28L22 22L36 22L30 28M36 22L36 34L30 40", "", "M8 8L18 16M18 8L8 16"],
    stop: ["M17 4L32 4L43 16L43 31L32 43L16 43L5 32L5 16Z", "", "M15 27C17 33 31 33 33 27V16M15 27V19M21 25V12M27 25V12M33 20V16"],
    dizzy: ["M15 31C15 43 34 43 34 31C34 23 30 20 24 20C19 20 15 24 15 31ZM20 29V30M29 29V30M22 36H27", "", "", "M8 13C12 4 36 3 41 11C44 17 14 18 16 13C18 9 32 8 34 11"],
    puffer: ["M15 5L29 4L30 24L42 25L42 38L16 41ZM15 12L29 11", "", "", "M31 31H37"],
    stairs: ["M4 43H13V34H22V25H31V16H40V8H44", "", "M6 8L18 20M18 8L6 20"],
    pets: ["M12 20L12 8L20 13H29L37 8L37 22C37 31 31 35 24 35C17 35 12 30 12 20ZM20 22V23M30 22V23M22 29Q25 31 28 28"],
    careful: ["M24 6C29 16 37 29 43 40C31 42 17 42 5 40C11 29 18 16 24 6Z", "M24 18V29M24 34V35"],
    hush: ["M24 5C35 5 41 14 41 24C41 34 34 42 24 42C13 42 7 34 7 24C7 13 13 5 24 5ZM16 18V20M32 18V20", "M21 45V29C21 25 27 25 27 29V45M17 33H19M29 33H31"],
    empty: ["M10 14C18 17 30 17 39 12C42 21 41 31 37 37C28 41 19 40 10 37C7 30 7 21 10 14Z", "", "M6 43L43 5"],
    ear: ["M16 29C11 22 11 6 24 6C36 6 37 19 31 25C26 30 29 38 22 41C18 43 15 40 15 36M19 20C18 12 29 11 29 18C29 22 25 22 24 26"],
    listen: ["M5 18L14 18L25 8L25 40L14 30L5 30Z", "M32 17C36 21 36 27 32 31M38 11C45 19 45 29 38 37"],
    talk: ["M7 8C18 5 31 5 42 8C44 16 44 24 42 31C35 33 29 33 23 33L13 42L14 32L6 30C4 22 4 15 7 8Z", "M15 19V20M24 19V20M33 19V20"],
    hurt: ["M10 27L27 10C35 4 44 13 38 21L21 38C13 44 4 35 10 27ZM18 19L29 30M22 15L33 26", "M24 22V23M27 26V27M22 26V27"],
    oops: ["M8 40L10 30L32 8L40 16L18 38ZM28 12L36 20", "M24 42H43"],
    cannot: ["M24 6C35 6 42 14 42 24C42 34 34 42 24 42C14 42 6 34 6 24C6 14 13 6 24 6Z", "", "M12 12L36 36"],
    easy: ["M24 5C36 5 43 14 43 24C43 35 35 43 24 43C13 43 5 35 5 24C5 13 13 5 24 5Z", "M13 20Q17 16 20 20M29 20Q32 16 36 20M18 32L31 31"],
    right: ["M24 5C36 5 43 14 43 24C43 35 35 43 24 43C13 43 5 35 5 24C5 13 13 5 24 5Z", "M17 18V21M32 18V21M14 28Q24 38 35 27"],
    hard: ["M24 5C36 5 43 14 43 24C43 35 35 43 24 43C13 43 5 35 5 24C5 13 13 5 24 5Z", "M14 18L20 15M35 18L29 15M17 22V24M32 22V24M16 34Q20 29 24 33Q28 36 33 31", "", "M44 4C47 9 45 12 43 12C40 12 40 8 44 4Z"]
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
    const found = table.find((row) => row[0].test(text));
    return found ? found[1] : otherwise;
}

/* The first row that fits wins; the words are the English ones a teacher typed. */
const CUES = [
    [/\beyes?\b|\blook|\bwatch/i, "eye"],
    [/\bwrist/i, "wrist"],
    [/\belbow/i, "elbow"],
    [/\bknees?\b/i, "knee"],
    [/\bhand|\bfinger|\bcatch/i, "hand"],
    [/\barms?\b|\bswing/i, "arm"],
    [/\btummy/i, "tummy"],
    [/\bback\b|\btall\b/i, "back"],
    [/\bhips?\b/i, "hips"],
    [/\bhead\b/i, "head"],
    [/\bbeat|\bsteady|\brhythm/i, "beat"],
    [/\bfeet|\bfoot|\btoes?\b|\bsteps?\b/i, "foot"],
    [/\bsoft|\bjump|\bland/i, "soft"],
    [/\bhear|\bquiet|\blisten/i, "ear"],
    [/\bsocks?\b|\bplaces?\b/i, "socks"]
];
const KIT = [
    [/\brope/i, "rope"],
    [/\bstring|\bribbon/i, "string"],
    [/\bbeanbag|\bbag/i, "bag"],
    [/\bball/i, "ball"],
    [/\bmat\b|\btowel|\brug/i, "mat"],
    [/\bpaper|\bcard\b|\bplate/i, "paper"],
    [/\bbox|\bbasket/i, "box"],
    [/\bbowl|\bbucket|\bcup/i, "bowl"],
    [/\btimer|\bwatch|\bclock/i, "clock"],
    [/\bchair|\bstool/i, "chair"],
    [/\bbook/i, "book"],
    [/\btray|\bramp/i, "tray"],
    [/\bcushion|\bpillow/i, "cushion"],
    [/\bruler|\btape/i, "ruler"],
    [/\bbottle|\bskittle/i, "bottle"],
    [/\bcloth|\bscarf/i, "cloth"],
    [/\bballoon/i, "balloon"],
    [/\bsock/i, "socks"],
    [/\bline\b/i, "line"],
    [/\bwall/i, "wall"],
    [/\bmarker|\bshoe|\bgate/i, "gate"]
];
const SAFETY = [
    [/\bhurts?\b|\bpain/i, "stop"],
    [/\bdizzy|\bwheez|\bbreath/i, "dizzy"],
    [/\binhaler/i, "puffer"],
    [/\bgrown-up|\badult|\bhelper/i, "helper"],
    [/\bwall/i, "wall"],
    [/\bstairs/i, "stairs"],
    [/\btrip\b|\btoys|\bclear\b/i, "trip"],
    [/\bpets?\b/i, "pets"],
    [/\bspace|\bround|\bbeside|\bbehind/i, "space"],
    [/\bshoes?\b|\bfeet\b|\bsocks\b/i, "shoe"],
    [/\bball\b/i, "ball"],
    [/\brope/i, "rope"],
    [/\bsoft/i, "cushion"],
    [/\bchair/i, "chair"]
];
const DOING = [
    [/\bskip|\brope/i, "skip"],
    [/\bcatch/i, "catch"],
    [/\broll|\bslide|\bpush/i, "slide"],
    [/\bthrow|\btoss|\baim/i, "throw"],
    [/\bbalance|\bone leg|\bstand|\bstill/i, "balance"],
    [/\bcarry|\bwalk|\btrail|\bmove/i, "carry"],
    [/\bjump|\bleap|\bhop/i, "jump"]
];
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
