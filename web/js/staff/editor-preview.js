/* SPDX-License-Identifier: MIT
 * The activity as a child will see it, drawn anew while it is typed: with the child's own words,
 * pictures and colours (the first rule of chalk.css, which this page does not use otherwise). */

import { el, fill } from "../dom.js";
import { t } from "../msg.js";
import { cuePicture, kitPicture, safetyPicture, thing } from "../kit.js";
import { zoneBoard, scene } from "../pupil/board.js";
import { fitting, fittingCues, fittingKit, fittingQuestions } from "../pupil/seated.js";
import { VERSIONS } from "./words.js";

const PAUSE_MS = 250;

function inChalk(node) {
    const sheet = Array.from(document.styleSheets).find((s) => /\/chalk\.css$/.test(s.href || ""));
    const rule = sheet && sheet.cssRules[0];
    for (const name of rule ? Array.from(rule.style) : []) {
        node.style.setProperty(name, rule.style.getPropertyValue(name));
    }
    return node;
}

function picture(a, kind) {
    return a.zones.length ? zoneBoard(a, kind, (zone) => el("div", { class: "zone-name" }, el("span", null, zone.name), el("span", null, zone.points ? "+" + zone.points : "0"))) : scene(a, kind);
}

function pictured(name, words) {
    return el("li", null, thing(name), el("span", null, words));
}

function part(title, ...rest) {
    return [el("h4", null, title), rest];
}

function screen(a, version) {
    const { kind } = version;
    const setUp = fitting(a.set_up, version);
    const kit = kind === "no_kit" ? [] : fittingKit(a, version);
    const cues = fittingCues(a, version);
    return [el("h3", null, a.name || "…"), el("p", { class: "lead" }, a.summary), picture(a, kind),
        kit.length ? part(t("learn.need"), el("ul", { class: "preview-list" }, kit.map((k) => pictured(kitPicture(k.item), k.item + (k.swap ? ". " + t("learn.or", { swap: k.swap }) : ""))))) : null,
        setUp ? part(t("learn.set_out"), el("p", null, setUp)) : null,
        version.how ? el("p", null, version.how) : null,
        cues.length ? part(t("learn.look_for"), el("ul", { class: "preview-list" }, cues.map((c) => pictured(cuePicture(c.text), c.text)))) : null,
        a.scoring ? part(t("learn.score"), el("p", null, fitting(a.scoring, version))) : null,
        a.safety.length ? el("ul", { class: "preview-list" }, a.safety.map((s) => pictured(safetyPicture(s), s))) : null,
        fittingQuestions(a, version).map((q) => [el("p", { class: "lead" }, q.text), el("ul", null, q.choices.filter((c) => c.text).map((c) => el("li", null, c.text)))])];
}

/* collect() gives the activity as it stands in the form, or throws where it cannot be read yet. */
export function preview(form, collect) {
    const phone = inChalk(el("div", { class: "preview-phone" }));
    const says = el("p", { class: "small quiet", role: "status" });
    const pick = el("select", { "aria-label": "Way of doing it that is shown" });
    let timer = 0;
    const draw = () => {
        let a;
        try {
            a = collect();
        } catch (error) {
            says.textContent = "As it was last: " + error.message;
            return;
        }
        says.textContent = "";
        const kinds = a.versions.map((v) => v.kind);
        const now = kinds.indexOf(pick.value) >= 0 ? pick.value : kinds[0];
        fill(pick, kinds.map((k) => el("option", { value: k, selected: k === now }, VERSIONS[k])));
        fill(phone, kinds.length ? screen(a, a.versions.find((v) => v.kind === now)) : null);
    };
    const later = () => {
        window.clearTimeout(timer);
        timer = window.setTimeout(draw, PAUSE_MS);
    };
    form.addEventListener("input", later);
    form.addEventListener("change", later);
    form.addEventListener("click", later);
    pick.addEventListener("change", draw);
    draw();
    return el("section", { class: "preview", "aria-label": "As a child sees it" }, el("h2", null, "As a child sees it"), pick, says, phone);
}
