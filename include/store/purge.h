/* SPDX-License-Identifier: MIT
 * Deleting what has been kept long enough, and nothing on the word of a wrong clock. */
#pragma once

#include <stdbool.h>
#include <stddef.h>
#include <stdint.h>

#include "base/err.h"
#include "base/ids.h"
#include "store/store.h"

/* How long what is kept. Audit rows stay: they hold ids and fixed words only. */
enum {
    PURGE_SESSION_S = 24 * 3600,    /* since it began */
    PURGE_CARD_DAYS = 60,           /* since it was cancelled or ran out: until then it says so */
    PURGE_MESSAGE_DAYS = 30,        /* since somebody said it is in the school's own record */
    PURGE_LEAVER_DAYS = 60,         /* since the last day: the whole child */
    PURGE_HAND_IN_DAYS = 400,       /* since it arrived */
    PURGE_STARTING_DAYS = 35,       /* since the challenge closed: as long as tries may come late */
    PURGE_CANCELLED_DAYS = 35,      /* since a challenge without tries was cancelled: the same */
    PURGE_COPY_DAYS = 35,           /* copies made before a migration */
    PURGE_AHEAD_DAYS = 14,          /* a plan lists what is due by then; it goes no sooner */
};
/* Assessments, what was seen, answered in lessons and taking part: to the end of the school year
 * after. The last tick of a statement stays until the child has left; earlier ones go as these.
 * Report drafts that nobody called done go with their school year.
 * Second views go as assessments do; a fresh start with its school year, after which it changes
 * nothing. */

struct purge_done {
    int64_t sessions, cards, messages, leavers, hand_ins, decisions, challenges;
    int64_t copies;                 /* files; purge_copies fills it */
};

/* What may go now (store/purge_plan.h works it out): what plans up to a day listed first. */
struct purge_may {
    bool any;
    int32_t listed_by;
};

/* In a transaction. Deletes what is due and may go; sessions always. Counts rows of what is named,
 * not those that go with them. Days are the school's (clock_set_zone). */
enum err purge_rows(struct store *st, int64_t now, const struct purge_may *may,
                    struct purge_done *out) MUST_USE;
/* The same figures by looking alone: nothing is deleted, not even for a moment. Without `may`: all
 * that is due by `now`, listed or not; a later `now` tells what will be due by then, should nothing
 * else change. */
enum err purge_count(struct store *st, int64_t now, const struct purge_may *may,
                     struct purge_done *out) MUST_USE;
/* In a transaction, for the plan of `today`: forgets what is listed and will not be due within
 * PURGE_AHEAD_DAYS, or was listed by a later day; lists what will be and is not listed yet. */
enum err purge_forget(struct store *st, int32_t today) MUST_USE;
enum err purge_list(struct store *st, int32_t today) MUST_USE;

struct purge_leaver {
    struct pupil_id id;
    const char *display_name;
    int32_t left_day;               /* first day away */
    int32_t goes_day;               /* purge_leaver_goes */
};
/* The first day on which purge_rows may take a child whose first day away that was. */
int32_t purge_leaver_goes(int32_t left_day);
/* Everybody who has left and is still held, by the day they go; on ctx. */
enum err purge_leavers(struct store *st, void *ctx, struct purge_leaver **out, size_t *n) MUST_USE;
/* Files school-before-NNNN.db of DIR last changed more than PURGE_COPY_DAYS ago; with `dry` they
 * are counted only. Not listed by plans: a copy holds nothing that the school did not hold; but ask
 * only while the clock may be believed. */
enum err purge_copies(const char *dir, int64_t now, bool dry, int64_t *out) MUST_USE;
/* Empties the write-ahead log, so that what was deleted is gone from it too (in the database its
 * bytes are zeroed at once); with `rewrite` the database is written anew without its free pages
 * first, which holds up whoever writes meanwhile. *clean is false when a reader (a running server)
 * kept the log. */
enum err purge_compact(void *ctx, const char *dir, bool rewrite, bool *clean, const char **why)
    MUST_USE;

/* Cancels every card not cancelled (a restore without the key). */
enum err purge_all_cards(struct store *st, int64_t now, int64_t *cancelled) MUST_USE;

extern const struct stmt_set purge_stmts;
