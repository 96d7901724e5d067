/* SPDX-License-Identifier: MIT
 * The set-up as it lies on the floor, drawn from the activity's own zones: each lies in the one that
 * is worth less, the child's line below. `strip(zone, index)` is what stands in a zone's free band
 * (a button of the try pad, or only words); a tap beside it, in the same zone, is a tap on it. */

import { el } from "../dom.js";
import { figure } from "../figures.js";
import { activityPose } from "../kit.js";
import { t } from "../msg.js";

function wide(zone) {
    return zone.x1_mm === null || zone.x1_mm === undefined ? 0 : zone.x2_mm - zone.x1_mm;
}

export function zoneBoard(activity, kind, strip) {
    const order = activity.zones
        .map((zone, i) => ({ zone, i }))
        .sort((a, b) => a.zone.points - b.zone.points);
    const drawn = order.reduceRight((inner, { zone, i }, depth) => {
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
        const outer = depth ? wide(order[depth - 1].zone) : 0;
        if (outer && wide(zone)) {
            box.style.width = Math.min(92, Math.max(62, (100 * wide(zone)) / outer)) + "%";
        }
        return box;
    }, null);
    return el(
        "div",
        { class: "board" },
        drawn,
        el(
            "div",
            { class: "board-line" },
            figure(activityPose(activity, kind), 0),
            el("span", null, t("pad.line"))
        )
    );
}
