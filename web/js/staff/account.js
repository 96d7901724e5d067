/* SPDX-License-Identifier: MIT
 * The own account: passphrase and open sessions. */

import { get, put, del } from "../api.js";
import { el, fill, banner } from "../dom.js";
import { field } from "../field.js";
import { start, titled, form, action, notice } from "./shell.js";
import { dayWords } from "./words.js";

function passphrase(session, done) {
    const old = field({ label: "Passphrase now", name: "old", type: "password", autocomplete: "current-password", maxlength: "128" });
    const fresh = field({ label: "New passphrase", name: "new", type: "password", autocomplete: "new-password", maxlength: "128", hint: "Three or more random words; 12 letters or more" });
    const again = field({ label: "The new one once more", name: "again", type: "password", autocomplete: "new-password", maxlength: "128" });
    return form({ class: "panel" }, async () => {
        again.wrong(fresh.control.value === again.control.value ? "" : "The two are not the same.");
        if (fresh.control.value !== again.control.value) {
            again.control.focus();
            return;
        }
        await put("/me/passphrase", { old: old.control.value, new: fresh.control.value });
        [old, fresh, again].forEach((f) => { f.control.value = ""; });
        await done();
    }, el("h2", null, "Change the passphrase"), old, fresh, again, el("div", { class: "buttons" }, el("button", { class: "button" }, "Change")));
}

start(async ({ session, body }) => {
    titled("Your account", session.display_name);
    const redraw = async () => {
        const { sessions } = await get("/me/sessions");
        fill(body, session.must_change ? banner("careful", el("p", null, "The office issued your passphrase. Choose your own before going on.")) : null,
            passphrase(session, async () => {
                if (session.must_change) {
                    window.location.assign("/staff");
                    return;
                }
                await redraw();
                notice("Changed. Other sessions have ended.");
            }),
            session.must_change ? null : el("section", { class: "panel" }, el("h2", null, "Where you are signed in"), el("ul", { class: "plain sessions" }, sessions.map((s) => el("li", null, "since " + dayWords(s.started_on) + (s.this_one ? " (here, now)" : " "),
                s.this_one ? null : action("End", async () => { await del("/me/sessions/" + s.id); await redraw(); }, { class: "button-second" }))))));
    };
    await redraw();
});
