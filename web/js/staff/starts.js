/* SPDX-License-Identifier: MIT
 * The version that chosen children are offered first in one challenge. Stored with each choice; no
 * reason is asked. The list is by name and says nothing of anybody else. */

import { get, put } from "../api.js";
import { el, fill, announce } from "../dom.js";
import { start, titled, rightOn, has, showError, clearError } from "./shell.js";
import { VERSIONS } from "./words.js";

function row(page, pupil) {
    const says = el("span", { class: "small quiet", "aria-live": "polite" });
    const pick = el("select", { id: "p" + pupil.id, "aria-label": pupil.display_name }, page.versions.map((v) => el("option", { value: v, selected: v === pupil.version }, VERSIONS[v])));
    pick.addEventListener("change", async () => {
        clearError();
        fill(says, "Saving …");
        try {
            await put(page.path, { starts: [{ pupil: pupil.id, version: pick.value }] });
            pupil.version = pick.value;
            fill(says, "Saved");
            announce(pupil.display_name + ": " + VERSIONS[pick.value]);
        } catch (error) {
            pick.value = pupil.version;
            fill(says, "Not saved");
            showError(error);
        }
    });
    return el("tr", null, el("th", { scope: "row" }, pupil.display_name), el("td", null, pick), el("td", null, says));
}

start(async ({ session, params, body }) => {
    const id = encodeURIComponent(params.get("id") || "");
    const { challenge, activity } = await get("/challenges/" + id);
    const may = challenge.classes.filter((c) => rightOn(session, c.id) === "teach" || has(session, "pe_lead"));
    const klass = may.find((c) => c.id === params.get("class")) || may[0];
    titled(activity.name, "Another first version for some");
    if (!klass) {
        fill(body, el("p", null, "Only those who teach one of its classes can choose this."));
        return;
    }
    const path = "/challenges/" + id + "/starts?class=" + klass.id;
    const { versions, rows } = await get(path);
    const page = { path, versions };
    fill(body, may.length > 1 ? el("p", null, "Class: ", may.map((c) => [el("a", { href: "/staff/starts?id=" + challenge.id + "&class=" + c.id, "aria-current": c === klass ? "page" : null }, c.name), " "])) : el("p", { class: "quiet" }, klass.name),
        el("p", null, "The chosen version comes first on the child's page. Every child still sees all of them and may choose any; nobody is told. It holds for this challenge alone, and no reason is kept."),
        versions.length < 2 ? el("p", null, "This activity has one version only. ", el("a", { href: "/staff/activity?id=" + activity.id }, "Write another one"))
            : rows.length ? el("table", { class: "table" }, el("caption", { class: "only-read" }, "First version, by child"),
                el("thead", null, el("tr", null, el("th", { scope: "col" }, "Pupil"), el("th", { scope: "col" }, "First version"), el("th", { scope: "col" }, el("span", { class: "only-read" }, "Saved?")))),
                el("tbody", null, rows.map((p) => row(page, p)))) : el("p", null, "No pupil in this class yet."),
        el("p", null, el("a", { href: "/staff/challenge?id=" + challenge.id + "&class=" + klass.id }, "To the results"), " · ", el("a", { href: "/staff/class?id=" + klass.id }, "Who's done it")));
});
