/* SPDX-License-Identifier: MIT
 * Name and passphrase, and the one-time code where the account asks for one: the same on the sign-in page and on a
 * page whose session has ended. */

import { el, announce } from "../dom.js";
import { field } from "../field.js";
import { signIn } from "../session.js";

const asksForCode = (error) => (error.errors || []).some((e) => e.pointer === "/one_time_code" && e.code === "required");

/* {name (to begin with), signed(session), failed(error), clear()}: the form; .begin() puts the focus where typing starts. */
export function signInForm({ name, signed, failed, clear }) {
    const who = field({ label: "Your name", name: "name", autocomplete: "username", type: "text", maxlength: "60", autocapitalize: "none", value: name || "" });
    const passphrase = field({ label: "Passphrase", name: "passphrase", type: "password", autocomplete: "current-password", maxlength: "128" });
    const code = field({ label: "One-time code", hint: "Six digits", name: "one_time_code", autocomplete: "one-time-code", type: "text", inputmode: "numeric", maxlength: "6" });
    const node = el("form", { novalidate: true, class: "ask" }, who, passphrase, code, el("div", { class: "buttons" }, el("button", { class: "button" }, "Sign in")));
    code.hidden = true;

    async function send() {
        const way = { name: who.control.value, passphrase: passphrase.control.value };
        try {
            await signed(await signIn(code.hidden ? way : { ...way, one_time_code: code.control.value.replace(/\s/g, "") }));
        } catch (error) {
            if (code.hidden && asksForCode(error)) {
                code.hidden = false;
                code.control.focus();
                announce("This account needs its one-time code too.");
                return;
            }
            failed(error);
            (code.hidden ? passphrase : code).control.select();
        }
    }

    node.addEventListener("submit", async (event) => {
        event.preventDefault();
        if (node.getAttribute("aria-busy") === "true") {
            return;
        }
        node.setAttribute("aria-busy", "true");
        clear();
        await send().finally(() => node.removeAttribute("aria-busy"));
    });
    node.begin = () => (name ? passphrase : who).control.focus();
    return node;
}
