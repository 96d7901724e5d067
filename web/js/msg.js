/* SPDX-License-Identifier: MIT
 * Every word that a child or a family reads, from one file a language (web/msg). The English file is
 * always there too: a message that a language lacks is read in English, and words about safety stand
 * beside their English. Staff pages read the same file, in English only.
 *
 * Digits stay 0 to 9 in every language: they are what the card's sheet, the keyboard and the lanes show. */

import { words, get } from "./api.js";
import { el } from "./dom.js";

export const LANGUAGES = [
    { code: "en", name: "English", tag: "en-GB", dir: "ltr" },
    { code: "pl", name: "Polski", tag: "pl", dir: "ltr" },
    { code: "ur", name: "اردو", tag: "ur", dir: "rtl" }
];
const KEPT = "thrice.lang"; /* a setting of the device; nothing about a child */

const tables = {};
const asked = {}; /* "pl.card" -> a promise of that cut */
let cuts = [""]; /* the whole file, or the cuts of it that this page fetches (server/embed.sh) */
let now = LANGUAGES[0];

const has = (table, key) => Boolean(table) && Object.prototype.hasOwnProperty.call(table, key);

/* Under its whole name in a whole file, under its stem in a cut. */
function found(code, key) {
    const table = tables[code];
    if (has(table, key)) {
        return table[key];
    }
    const [stem, rest] = key.split(".");
    return has(table, stem) && has(table[stem], rest) ? table[stem][rest] : undefined;
}

function form(message, n, tag) {
    if (typeof message === "string") {
        return message;
    }
    const rule =
        window.Intl && Intl.PluralRules
            ? new Intl.PluralRules(tag).select(n)
            : n === 1
              ? "one"
              : "other";
    return message[rule] || message.other;
}

function said(language, key, values) {
    const message = found(language.code, key);
    if (message === undefined) {
        return undefined;
    }
    const given = values || {};
    /* Among letters that run the other way a name or a number keeps its own direction. */
    const [open, close] = language.dir === "rtl" ? ["\u2068", "\u2069"] : ["", ""];
    return form(message, given.n, language.tag).replace(/\{(\w+)\}/g, (all, name) =>
        given[name] === undefined ? all : open + given[name] + close
    );
}

/* The words of a message in the language chosen, else in English. */
export function t(key, values) {
    const here = said(now, key, values);
    if (here !== undefined) {
        return here;
    }
    const english = said(LANGUAGES[0], key, values);
    return english === undefined ? key : english;
}

function beside(here, english) {
    return here === english
        ? [here]
        : [here, " ", el("span", { lang: "en-GB", dir: "ltr", class: "english" }, english)];
}

/* What `make` says in English. */
function inEnglish(make) {
    const was = now;
    now = LANGUAGES[0];
    try {
        return make();
    } finally {
        now = was;
    }
}

/* Nodes: the words, and their English beside them. For all that has to do with safety. `values` may
 * be a function, for values that are words themselves. */
export function both(key, values) {
    const say = () => t(key, typeof values === "function" ? values() : values);
    return beside(say(), inEnglish(say));
}

/* A starter activity's own text in the language chosen; any other text as it is, in its own direction. */
export function own(text) {
    const texts = found(now.code, "texts");
    const theirs = now.dir === "rtl" && text ? "\u2068" + text + "\u2069" : text;
    return has(texts, text) ? texts[text] : theirs;
}

export function ownBoth(text) {
    const here = own(text);
    return here.indexOf(text) < 0 ? beside(here, text) : [here];
}

/* There is a message of this name. */
export function knows(key) {
    return found("en", key) !== undefined;
}

export function language() {
    return now.code;
}

async function fetched(name, code) {
    try {
        const cut = await words(name);
        tables[code] = Object.assign(tables[code] || {}, cut); /* looked at now: two cuts may be on their way */
    } catch (error) {
        delete asked[name];
        throw error;
    }
}

function load(code) {
    return Promise.all(
        cuts.map((cut) => {
            const name = code + cut;
            asked[name] = asked[name] || fetched(name, code);
            return asked[name];
        })
    );
}

/* This page needs only one cut of the words, for now. */
export function onlyWords(cut) {
    cuts = ["." + cut];
}

/* And this one too. Throws when there is no English of it. */
export function moreWords(cut) {
    cuts.push("." + cut);
    return speak(now.code);
}

/* Loads a language without keeping the choice; English when that one cannot be had. Throws only when
 * there is no English either. */
export async function speak(code) {
    const wanted = LANGUAGES.find((l) => l.code === code) || LANGUAGES[0];
    const there = load(wanted.code).then(
        () => wanted,
        () => LANGUAGES[0]
    );
    await load("en");
    now = await there;
    document.documentElement.lang = now.tag;
    document.documentElement.dir = now.dir;
}

export async function useLanguage(code) {
    try {
        window.localStorage.setItem(KEPT, code);
    } catch (e) {
        /* Storage may be forbidden: then the choice lasts as long as the page. */
    }
    await speak(code);
}

/* The language that was chosen on this device. */
export function keptLanguage() {
    try {
        return window.localStorage.getItem(KEPT) || "en";
    } catch (e) {
        return "en";
    }
}

let read = null;

/* Says that the words are machine-made, until the school has said that somebody read them. */
function machineMade() {
    const line = el("p", { class: "small" }, both("lang.machine"));
    const known = () => {
        line.hidden = read.indexOf(now.code) >= 0;
    };
    if (read) {
        known();
    } else {
        get("/words", { quiet: true }).then(
            (answer) => {
                read = answer.read;
                known();
            },
            () => line
        );
    }
    return line;
}

/* The row of languages, each in its own words; `chosen()` runs when the language has changed. */
export function languageRow(chosen) {
    const row = el(
        "nav",
        { class: "languages", "aria-label": t("lang.row") },
        LANGUAGES.map((l) =>
            el(
                "button",
                {
                    class: "button-plain",
                    type: "button",
                    lang: l.tag,
                    dir: l.dir,
                    "aria-current": l === now ? "true" : null,
                    onclick: async () => {
                        await useLanguage(l.code);
                        chosen();
                    }
                },
                l.name
            )
        )
    );
    return now === LANGUAGES[0] ? row : [row, machineMade()];
}
