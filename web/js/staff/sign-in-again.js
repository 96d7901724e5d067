/* SPDX-License-Identifier: MIT
 * The session has ended while somebody was at work on a page. They sign in again right there and go on. Until then
 * nothing of the page is shown: whoever stands at the device now need not be the one who typed. Somebody else who
 * signs in gets a page of their own. For start() of shell.js: start(render, {again: signInAgain}). */

import { ApiError } from "../api.js";
import { el, fill, byId } from "../dom.js";
import { leaveFor, toSignIn } from "./shell.js";
import { sentenceFor } from "./words.js";
import { signInForm } from "./sign-in-form.js";

/* A promise: the same person is back, and the page stands as it stood. */
export function signInAgain(session) {
    const main = byId("main");
    const was = document.activeElement;
    const wrong = el("p", { class: "wrong", role: "alert" });
    let back = false;
    return new Promise((done, fail) => {
        const another = (fresh) => {
            fill(main); /* first of all: what was typed is nobody's but the typist's */
            leaveFor(() => fresh.role === "staff" && fresh.must_change ? window.location.assign("/staff/account") : window.location.reload());
        };
        const signed = (fresh) => {
            if (fresh.role !== "staff" || fresh.staff !== session.staff || fresh.must_change) {
                another(fresh);
                return;
            }
            back = true;
            box.close();
            box.remove();
            main.hidden = false;
            if (was && main.contains(was)) {
                was.focus();
            }
            done(fresh);
        };
        const failed = (error) => {
            fill(wrong, error.errors && error.errors.length ? sentenceFor(error, error.errors[0]) : sentenceFor(error));
            if (!(error instanceof ApiError)) {
                fail(error);
            }
        };
        const form = signInForm({ name: session.display_name, signed, failed, clear: () => fill(wrong) });
        const box = el("dialog", { class: "again no-print", "aria-labelledby": "again" }, el("h2", { id: "again" }, "Sign in again"),
            el("p", null, "The session has ended. What " + session.display_name + " typed is still here and goes on its way once " + session.display_name + " has signed in."),
            wrong, form, el("button", { type: "button", class: "button-plain", onclick: toSignIn }, "Leave this page"));
        if (!box.showModal) { /* not in this browser: what is kept comes back after the sign-in page */
            leaveFor(toSignIn);
            return;
        }
        box.addEventListener("cancel", (event) => event.preventDefault());
        box.addEventListener("close", () => !back && box.showModal()); /* a browser may close it at a second Escape */
        main.hidden = true;
        document.body.appendChild(box);
        box.showModal();
        form.begin();
    });
}
