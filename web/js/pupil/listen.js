/* SPDX-License-Identifier: MIT
 * A button that reads an instruction aloud, shown only where the device itself has a voice for the
 * language: a voice that is not local would send the words elsewhere, so it is never used. One voice
 * at a time; screens.js hushes it when a screen is left. */

import { el } from "../dom.js";
import { thing } from "../kit.js";
import { t, language } from "../msg.js";

const speech = window.speechSynthesis;
let speaking = null;

function voice() {
    return speech.getVoices().find((v) => v.localService && v.lang.slice(0, 2).toLowerCase() === language());
}

function say(button, words) {
    const again = speaking === button;
    speech.cancel();
    speaking = null;
    const mine = voice();
    if (again || !mine) {
        return;
    }
    const said = new window.SpeechSynthesisUtterance(words);
    said.voice = mine;
    said.lang = mine.lang;
    said.rate = 0.9;
    said.onend = () => {
        speaking = speaking === button ? null : speaking;
    };
    speaking = button;
    speech.speak(said);
}

/* null where no device could speak; hidden until a local voice turns up. `words`: text. */
export function listen(words) {
    return speech && words
        ? el(
              "button",
              {
                  class: "listen",
                  type: "button",
                  hidden: !voice(),
                  "aria-label": t("listen.to", { words }),
                  onclick: (event) => say(event.currentTarget, words)
              },
              thing("listen")
          )
        : null;
}

/* What stands in a node, but not the English beside a translation. */
export function wordsOf(node) {
    const copy = node.cloneNode(true);
    copy.querySelectorAll(".english, .listen").forEach((n) => n.remove());
    return copy.textContent.trim();
}

/* Choices with a button beside their question that reads it and all of them. */
export function aloud(fieldset) {
    const parts = [...fieldset.querySelectorAll("legend, .choice")].map(wordsOf);
    return el("div", { class: "aloud" }, listen(parts.join(", ")), fieldset);
}

/* The node with its button beside it. */
export function heard(node) {
    return el("div", { class: "heard" }, node, listen(wordsOf(node)));
}

if (speech && speech.addEventListener) {
    speech.addEventListener("voiceschanged", () => {
        document.querySelectorAll(".listen").forEach((b) => {
            b.hidden = !voice();
        });
    });
}
