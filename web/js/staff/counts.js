/* SPDX-License-Identifier: MIT
 * Counts for the head, by year group: exact for use inside the school; "for publishing" with what is too
 * small hidden. Taking part is shown as a count and says nothing of what a child can do. */

import { get } from "../api.js";
import { el, fill, choices } from "../dom.js";
import { field } from "../field.js";
import { start, titled, form, has } from "./shell.js";
import { deviceDay } from "../words.js";
import { dayWords } from "./words.js";

const HIDDEN = "hidden";

function yearWords(y) {
    return y === null ? "Year group not said" : y === 0 ? "Reception" : "Year " + y;
}

function cell(n) {
    return el("td", null, n === null ? el("span", { class: "quiet" }, HIDDEN) : String(n));
}

function table(label, heads, rows, columns, publish) {
    const last = publish ? ["Per cent, to the nearest five"] : [];
    return el("div", { class: "table-box", tabindex: "0", role: "region", "aria-label": label }, el("table", { class: "table" },
        el("caption", { class: "only-read" }, label), el("thead", null, el("tr", null, ["Year group", "Children"].concat(heads, last).map((h) => el("th", { scope: "col" }, h)))),
        el("tbody", null, rows.map((r) => el("tr", null, el("th", { scope: "row" }, yearWords(r.year_group)),
            r.fewer_than_ten ? el("td", { colspan: String(heads.length + 2) }, "fewer than 10") : [cell(r.pupils), columns.map((c) => cell(r[c])), publish ? cell(r.percent) : null])))));
}

function tables(data, publish) {
    const which = publish ? "publish" : "exact";
    return el("div", null,
        el("p", { class: "small quiet" }, publish ? "Counts of 1 to 4 are hidden, and others with them so that none can be worked out; groups under 10 are not told. Check with whoever looks after data protection before anything leaves the school."
            : "Exact: for use inside the school only. Not sending never lowers anything, and a count of returns says nothing of what a child can do."),
        el("h2", null, "Sent at least one hand-in"), table("Returns by year group", ["Sent", "Did not"], data.returns[which], ["yes", "rest"], publish),
        data.statements.map((s) => [el("h2", null, s.text), table(s.text, ["Yes", "Not yet", "Not said"], s[which], ["yes", "not_yet", "rest"], publish)]),
        el("div", { class: "buttons no-print" }, el("button", { type: "button", class: "button-second", onclick: () => window.print() }, "Print")));
}

start(async ({ session, body }) => {
    titled("Counts", "by year group");
    if (!has(session, "pe_lead")) {
        fill(body, el("p", null, "These counts are for the PE lead."));
        return;
    }
    const { terms } = await get("/school");
    const today = deviceDay();
    const now = terms.find((t) => t.starts_on <= today && today <= t.ends_on) || terms[terms.length - 1];
    const from = field({ label: "From", name: "from", type: "date", value: now ? now.starts_on : today });
    const to = field({ label: "To", name: "to", type: "date", value: now ? now.ends_on : today });
    const place = el("div");
    let data = null;
    const view = choices({ legend: "Show", name: "view", row: true, picked: ["exact"], onchange: () => draw(), choices: [{ value: "exact", text: "exact, inside the school" }, { value: "publish", text: "for publishing" }] });
    const draw = () => fill(place, el("p", null, dayWords(from.control.value) + " to " + dayWords(to.control.value)), tables(data, view.values()[0] === "publish"));
    const load = async () => {
        data = await get("/counts?from=" + from.control.value + "&to=" + to.control.value);
        draw();
    };
    fill(body, el("p", { class: "no-print" }, "How many children of each year group sent something from home in a span of days, and what was ticked from seeing it in swimming. Choose the days, then exact numbers or those that may leave the school."),
        form({ class: "no-print" }, load, el("div", { class: "field-row" }, from, to), el("div", { class: "buttons" }, el("button", { class: "button" }, "Count"))), el("div", { class: "no-print" }, view), place);
    await load();
});
