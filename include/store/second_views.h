/* SPDX-License-Identifier: MIT
 * A colleague's second view: another member of staff says which band a child reaches, without
 * seeing what was suggested or decided. Until it is given, everything that would tell that person
 * is hidden from that person (second_view_hides); once given it stands beside the first, and what
 * the two agree on is kept with both. */
#pragma once

#include <stdbool.h>
#include <stddef.h>
#include <stdint.h>

#include "base/err.h"
#include "base/ids.h"
#include "store/assessments.h"
#include "store/store.h"

enum { SECOND_VIEWS_OPEN = 8 };     /* at once, in a class and unit */

struct second_view {
    int64_t id;
    struct unit_id unit;
    const char *unit_name;
    struct pupil_id pupil;
    const char *display_name;
    struct staff_id asked_of, asked_by;
    const char *asked_of_name, *asked_by_name;
    int32_t asked_day;
    int band;                       /* -1: not given yet */
    int32_t given_day;              /* 0: not given yet */
    int now_band;                   /* the assessment that holds; -1: none */
    int first_band;                 /* the one that held when they agreed; -1: not agreed */
    int agreed_band;                /* -1: not agreed yet */
    int32_t agreed_day;
};

struct second_view_list {
    struct second_view *v;          /* on ctx */
    size_t n;
};

/* ERR_NOT_FOUND. */
enum err second_view_get(struct store *st, void *ctx, int64_t id, struct second_view *out)
    MUST_USE;
/* Of the pupils in the class today, in the unit: by the pupil's name, then the colleague's. */
enum err second_views_of_class(struct store *st, void *ctx, const struct unit_class *k,
                               struct second_view_list *out) MUST_USE;
/* Not given yet, by this person: by unit, then name. Rights on pupils are the caller's to check. */
enum err second_views_asked_of(struct store *st, void *ctx, struct staff_id staff,
                               struct second_view_list *out) MUST_USE;
/* Every one about the pupil, oldest first: for a copy of the data. */
enum err second_views_of_pupil(struct store *st, void *ctx, struct pupil_id pupil,
                               struct second_view_list *out) MUST_USE;

struct second_view_new {
    struct unit_id unit;
    struct pupil_id pupil;
    struct staff_id asked_of, asked_by;
    int32_t day;
};
/* ERR_CONFLICT: this person has been asked about this child and unit already, or is the asker. */
enum err second_view_ask(struct store *st, const struct second_view_new *n, int64_t *id) MUST_USE;
/* ERR_NOT_FOUND: not there, or given already (both of these). */
enum err second_view_give(struct store *st, int64_t id, int band, int32_t day) MUST_USE;
enum err second_view_withdraw(struct store *st, int64_t id) MUST_USE;
struct second_view_agree {
    int64_t id;
    int first_band, band;
    struct staff_id by;
    int32_t day;
};
/* ERR_NOT_FOUND: not there, not given yet, or agreed already. */
enum err second_view_agree(struct store *st, const struct second_view_agree *a) MUST_USE;

struct second_view_person { struct staff_id id; const char *name; };
struct second_view_people {
    struct second_view_person *v;   /* on ctx, by name */
    size_t n;
};
/* Who may be asked about a class on the day: accounts not disabled that teach or read it, or lead
 * PE; never `but`. */
struct second_view_may { struct class_id cls; int32_t today; struct staff_id but; };
enum err second_view_may_ask(struct store *st, void *ctx, const struct second_view_may *may,
                             struct second_view_people *out) MUST_USE;

/* What is hidden from one person: the pupils and units of the second views they still owe. */
struct second_blind { struct unit_id unit; struct pupil_id pupil; };
struct second_blind_list {
    struct second_blind *v;         /* on ctx */
    size_t n;
};
/* Empty for staff.v 0 (nobody of the staff). */
enum err second_blind_of(struct store *st, void *ctx, struct staff_id staff,
                         struct second_blind_list *out) MUST_USE;
/* Are suggestion and assessment of this pupil in this unit to be kept from that person? */
bool second_view_hides(const struct second_blind_list *from, struct unit_id unit,
                       struct pupil_id pupil);
/* In any unit? */
bool second_view_hides_some(const struct second_blind_list *from, struct pupil_id pupil);

extern const struct stmt_set second_views_stmts;
