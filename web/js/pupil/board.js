/* SPDX-License-Identifier: MIT
 * The set-up as it lies on the floor, drawn from the activity's own zones, the child's line below.
 * Zones that lie in one another are drawn so, rings round; zones side by side as strips or columns.
 * Places decide where they are said; else the English names do, as in kit.js. `strip(zone, index)` is
 * what stands in a zone's free band (a button of the try pad, or only words); a tap beside it, in the
 * same zone, is a tap on it. */

import { el } from "../dom.js";
import { figure } from "../figures.js";
import { activityPose, kitPicture, thing } from "../kit.js";
import { t } from "../msg.js";

const said = (x) => x !== null && x !== undefined;
const FAR = /\bfar|\bback\b|\bthird|\bright\b/i,
    NEAR = /\bnear|\bfront|\bfirst|\bleft\b/i,
    ASIDE = /\bleft\b|\bright\b/i,
    ROUND = /\brings?\b|\bcircle|\bhoop/i,
    WITHIN = /\bmiddle|\bcent(re|er)|\binner|\bouter|\bedge|\binside|\boutside|\baround/i;

/* [how they lie, higher is further or further right] */
function lying(zones) {
    const names = zones.map((z) => z.name).join(" ");
    const apart = (a, b) => zones.some((p) => zones.some((q) => p[b] <= q[a]));
    if (zones.length && zones.every((z) => said(z.x1_mm) && said(z.y1_mm))) {
        return apart("y1_mm", "y2_mm")
            ? ["rows", (z) => z.y1_mm]
            : apart("x1_mm", "x2_mm")
              ? ["columns", (z) => z.x1_mm]
              : ["within"];
    }
    const place = (z) => (FAR.test(z.name) ? 1 : NEAR.test(z.name) ? -1 : 0);
    if (zones.some(place)) {
        return [ASIDE.test(names) && zones.length < 5 ? "columns" : "rows", place];
    }
    return ROUND.test(names) ? ["rings"] : WITHIN.test(names) ? ["within"] : ["rows", () => 0];
}

export function zoneBoard(activity, kind, strip) {
    const order = activity.zones
        .map((zone, i) => ({ zone, i }))
        .sort((a, b) => a.zone.points - b.zone.points);
    const worth = order.filter(({ zone }) => zone.points);
    const [how, place] = lying(worth.map(({ zone }) => zone));
    const draw = (inner, { zone, i }) => {
        const own = strip(zone, i);
        const box = el(
            "div",
            {
                class: "zone-box",
                onclick: (event) => event.target === box && own.click && own.click()
            },
            own,
            inner
        );
        return box;
    };
    const miss = order.filter(({ zone }) => !zone.points);
    const way = how === "rows" ? -1 : 1;
    const strips =
        place &&
        worth.length &&
        el(
            "div",
            { class: "zone-strips" },
            worth
                .sort((a, b) => way * (place(a.zone) - place(b.zone)) || b.zone.points - a.zone.points)
                .map((one) => draw(null, one))
        );
    const drawn = strips ? miss.reduceRight(draw, strips) : order.reduceRight(draw, null);
    return el(
        "div",
        { class: "board " + how },
        drawn,
        el(
            "div",
            { class: "board-line" },
            figure(activityPose(activity, kind), 0),
            el("span", null, t("pad.line"))
        )
    );
}

/* What is done, and with what: for activities without zones. */
export function scene(activity, kind, className) {
    const kit = kind === "no_kit" ? [] : activity.kit || [];
    const names = kit.map((k) => kitPicture(k.item)).filter((name, i, all) => all.indexOf(name) === i);
    return el(
        "div",
        { class: "learn-pic " + (className || ""), "aria-hidden": "true" },
        figure(activityPose(activity, kind), 0),
        names.slice(0, 2).map((name) => thing(name))
    );
}
