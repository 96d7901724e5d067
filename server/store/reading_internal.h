/* SPDX-License-Identifier: MIT
 * Who may read children's messages and who may accept a pending change, as SQL; :today is the day.
 * A right alone opens no message: a second person has agreed to it, and to the account that holds
 * it. Said here once; messages.c, classes.c, staff.c, sessions.c and changes.c build on it. */
#pragma once

/* A row of staff that nobody let in alone. */
#define READING_SURE(s) s ".disabled_at IS NULL AND " s ".unagreed_at IS NULL"
/* A row of staff_right that reads messages of all classes, if its account is sure. */
#define READING_GUARD(g) g ".right = 'safeguarding' AND " g ".agreed_at IS NOT NULL"
/* A row of class_right that holds today and reads the messages of its class, likewise. */
#define READING_TEACH(t) \
    t ".right = 'teach' AND (" t ".until_day IS NULL OR " t ".until_day >= :today)" \
    " AND " t ".agreed_at IS NOT NULL" \
    " AND (" t ".agreed_until_day IS NULL OR " t ".agreed_until_day >= :today)"
/* Staff s may read messages of the class `class` (an expression) today. */
#define READING_CLASS(class) \
    READING_SURE("s") " AND (EXISTS (SELECT 1 FROM staff_right g WHERE g.staff_id = s.id" \
    " AND " READING_GUARD("g") ") OR EXISTS (SELECT 1 FROM class_right t" \
    " WHERE t.class_id = " class " AND t.staff_id = s.id AND " READING_TEACH("t") "))"
/* Staff s may ask for a change so that it counts, and accept one of somebody else. */
#define READING_MAY_ACCEPT(s) \
    "(" READING_SURE(s) " AND EXISTS (SELECT 1 FROM staff_right q WHERE q.staff_id = " s ".id" \
    " AND q.right IN ('office', 'safeguarding') AND q.agreed_at IS NOT NULL))"
/* ON CONFLICT of a class_right: `teach` that stays `teach` keeps what was agreed, at most as long
 * as the right now lasts: a right cut short and made longer again is agreed to again. */
#define READING_STAYS "excluded.right = 'teach' AND class_right.right = 'teach'"
#define READING_KEPT \
    "agreed_at = CASE WHEN " READING_STAYS " THEN agreed_at END," \
    " opened_at = CASE WHEN " READING_STAYS " THEN opened_at END," \
    " agreed_until_day = CASE WHEN NOT (" READING_STAYS ") THEN NULL" \
    " WHEN excluded.until_day < coalesce(agreed_until_day, 2147483647) THEN excluded.until_day" \
    " ELSE agreed_until_day END"
