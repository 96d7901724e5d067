/* SPDX-License-Identifier: MIT
 * Hand-ins: what a pupil sent in for a challenge. A row is never changed once stored; what is done
 * about it later is a mark (store/hand_in_marks.h), and the last mark decides its state.
 *
 * The store keeps what it is given: whether a value is possible, the challenge open or the child
 * asked to confirm is decided before. It does hold the promise that one id is one hand-in. */
#pragma once

#include <stdbool.h>
#include <stddef.h>
#include <stdint.h>

#include "base/err.h"
#include "base/ids.h"
#include "store/store.h"

enum {
    HAND_IN_ATTEMPTS = 5,
    HAND_IN_THROWS = 20,
    HAND_IN_CUES = 8,
    HAND_IN_ANSWERS = 3,
    HAND_IN_HASH = 32,
};

/* set_aside also stands for "ask again": neither counts for anything. */
enum hand_in_state { HAND_IN_COUNTS, HAND_IN_TO_CHECK, HAND_IN_SET_ASIDE };
extern const char *const hand_in_state_word[3];     /* "counts", "to_check", "set_aside" */

/* The fixed choices, NULL-terminated; each pointer is a literal that a struct hand_in may hold. */
/* no_space no_kit no_device no_grown_up not_today */
extern const char *const hand_in_could_not_words[];
extern const char *const hand_in_felt_words[];      /* too_easy about_right too_hard */
extern const char *const hand_in_place_words[];     /* home school elsewhere */
extern const char *const hand_in_counted_words[];   /* self helper */
extern const char *const hand_in_channel_words[];   /* web quick paper staff */
/* The list's own literal equal to `s`, or NULL. */
const char *hand_in_word(const char *const words[], const char *s);

struct hand_in_attempt {
    int64_t value;              /* total, in the activity's unit */
    int throw_count;            /* 0: only the total is known */
    uint8_t throws[HAND_IN_THROWS];     /* points of each throw as made; successes: 0 or 1 */
    int32_t distance_mm;        /* 0: not said */
    int32_t tries_used;         /* 0: not said */
    bool part;                  /* fewer throws than asked: evidence, no best */
};

struct hand_in_answer {
    int64_t question, choice;
};

struct hand_in {
    int64_t seq;                /* order of arrival; 0 until stored */
    struct uuid id;
    struct pupil_id pupil;
    struct challenge_id challenge;
    struct version_id version;
    const char *channel;        /* of hand_in_channel_words */
    struct staff_id entered_by; /* paper, staff: who typed it; else 0 */
    int64_t received_at;
    int32_t done_day;
    bool after_date;
    const char *could_not;      /* or NULL; as the four below */
    bool has_best;              /* best of the whole attempts: hand_in_settle() fills these three */
    int64_t best;
    int32_t best_distance_mm;   /* where that best was made; 0: not said */
    const char *felt;
    int64_t target, kit;        /* 0: not said */
    const char *place;
    const char *counted_by;
    bool confirmed;             /* the child was asked "are you sure?" and said yes */
    bool surprising;            /* waits for a check before it counts */
    uint8_t content_hash[HAND_IN_HASH];     /* same id, same content? */
    size_t attempt_count;
    struct hand_in_attempt attempts[HAND_IN_ATTEMPTS];
    size_t cue_count;
    int64_t cues[HAND_IN_CUES];
    size_t answer_count;
    struct hand_in_answer answers[HAND_IN_ANSWERS];
    /* Filled by the readers only. */
    enum hand_in_state state;
    struct activity_id activity;
    struct revision_id revision;
    struct unit_id unit;
    const char *version_kind;   /* standard quiet seated no_kit */
    bool lower_is_better;
};

struct hand_in_list {
    struct hand_in *v;          /* on the ctx given to the reader */
    size_t n;
};

/* best, best_distance_mm and has_best from the whole (not part) attempts. Of equal values the one
 * from farther away is kept. */
void hand_in_settle(struct hand_in *h, bool lower_is_better);

enum hand_in_outcome { HAND_IN_NEW, HAND_IN_REPEAT };

/* Stores `h` with its attempts, cues and answers; sets h->seq. The same id from the same pupil with
 * the same content_hash is HAND_IN_REPEAT and stores nothing (h->seq is the stored row's); the same
 * id otherwise is ERR_DIFFERENT. Run inside a transaction or the writer's savepoint. */
enum err hand_in_store(struct store *st, struct hand_in *h, enum hand_in_outcome *out) MUST_USE;

/* Whether an id is stored already: OK with *seq = 0 (not there) or the row's seq (same pupil, same
 * hash); ERR_DIFFERENT when it is there as something else. */
enum err hand_in_known(struct store *st, const struct hand_in *h, int64_t *seq) MUST_USE;

/* Readers. Everything is copied to ctx. Lists are in order of arrival (seq), within a pupil where a
 * class is asked for: by pupil id, then seq. All states are given; look at .state. */
enum err hand_in_get(struct store *st, struct uuid id, struct hand_in *out) MUST_USE;
enum err hand_in_by_seq(struct store *st, int64_t seq, struct hand_in *out) MUST_USE;
enum err hand_ins_of_pupil_challenge(struct store *st, void *ctx, struct pupil_id p,
                                     struct challenge_id c, struct hand_in_list *out) MUST_USE;
/* Those done on or after `from_day`, every activity. */
enum err hand_ins_of_pupil(struct store *st, void *ctx, struct pupil_id p, int32_t from_day,
                           struct hand_in_list *out) MUST_USE;

/* Which hand-ins; each reader names the members it looks at. */
struct hand_in_scope {
    struct pupil_id pupil;
    struct class_id cls;
    struct activity_id activity;
    struct challenge_id challenge;
    struct unit_id unit;
    int32_t from_day;           /* done on or after */
    int32_t today;              /* pupils who are in the class on this day */
};
/* pupil, activity (all its revisions and challenges), from_day */
enum err hand_ins_of_pupil_activity(struct store *st, void *ctx,
                                    const struct hand_in_scope *scope,
                                    struct hand_in_list *out) MUST_USE;
/* cls, today, challenge */
enum err hand_ins_of_class_challenge(struct store *st, void *ctx,
                                     const struct hand_in_scope *scope,
                                     struct hand_in_list *out) MUST_USE;
/* cls, today, activity (all its revisions and challenges), from_day */
enum err hand_ins_of_class_activity(struct store *st, void *ctx, const struct hand_in_scope *scope,
                                    struct hand_in_list *out) MUST_USE;
/* cls, today, unit */
enum err hand_ins_of_class_unit(struct store *st, void *ctx, const struct hand_in_scope *scope,
                                struct hand_in_list *out) MUST_USE;
enum err hand_ins_of_pupil_unit(struct store *st, void *ctx, struct pupil_id p, struct unit_id u,
                                struct hand_in_list *out) MUST_USE;

/* How many this pupil sent for the challenge from `since` (an instant) on. */
enum err hand_ins_count_since(struct store *st, struct pupil_id p, struct challenge_id c,
                              int64_t since, int64_t *out) MUST_USE;

extern const struct stmt_set hand_ins_stmts;
extern const struct stmt_set hand_in_parts_stmts;
