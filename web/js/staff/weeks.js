/* SPDX-License-Identifier: MIT
 * Weeks of a term and what of a challenge falls in each, in days of the school's own time zone: a week
 * when the clocks change has its seven days like any other. Days are "YYYY-MM-DD". */

const DAY_MS = 86400000;

function toMs(day) {
    const [y, m, d] = day.split("-").map(Number);
    return Date.UTC(y, m - 1, d);
}

function toDay(ms) {
    return new Date(ms).toISOString().slice(0, 10);
}

export function addDays(day, n) {
    return toDay(toMs(day) + n * DAY_MS);
}

/* Monday of that day's week (ISO 8601: weeks begin on Monday). */
export function monday(day) {
    return addDays(day, -((new Date(toMs(day)).getUTCDay() + 6) % 7));
}

/* The day on which an instant falls in a time zone; `before`: of the last moment before it. */
export function dayIn(zone, instant, before) {
    const parts = new Intl.DateTimeFormat("en-GB", { timeZone: zone, year: "numeric", month: "2-digit", day: "2-digit" }).formatToParts(new Date(new Date(instant).getTime() - (before ? 1000 : 0)));
    const of = (type) => parts.find((p) => p.type === type).value;
    return of("year") + "-" + of("month") + "-" + of("day");
}

/* [{monday, days: school days, closed: of them}] from the term's first day to its last. */
export function weeksOf(term, closedDays) {
    const weeks = [];
    for (let m = monday(term.starts_on); m <= term.ends_on; m = addDays(m, 7)) {
        const days = [0, 1, 2, 3, 4].map((n) => addDays(m, n)).filter((d) => d >= term.starts_on && d <= term.ends_on);
        const closed = days.filter((d) => closedDays.indexOf(d) >= 0);
        weeks.push({ monday: m, days: days.length, closed: closed.length });
    }
    return weeks;
}

/* What a challenge does in the week from that Monday: ["opens", "due", "closes"], or ["open"] where it only
 * goes on until it is due. */
export function inWeek(zone, challenge, from) {
    const to = addDays(from, 6);
    const at = { opens: dayIn(zone, challenge.opens_at), due: dayIn(zone, challenge.due_at, true), closes: dayIn(zone, challenge.closes_at, true) };
    const events = ["opens", "due", "closes"].filter((name) => at[name] >= from && at[name] <= to).map((name) => ({ name, day: at[name] }));
    return events.length ? events : at.opens < from && at.due > to ? [{ name: "open", day: null }] : [];
}
