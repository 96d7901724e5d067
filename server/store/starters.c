/* SPDX-License-Identifier: MIT
 * What a new school is given to begin with: six activities, at least one of each kind of score.
 *
 * Owns: their list. They are data, stored through the same door as a teacher's own, and from then
 * on are the school's to change, copy or archive. Band lines are made for the three bands that are
 * offered at set-up; they are starting points for a school to move, not norms. */
#include "store/starters.h"

#include "starters_internal.h"

const struct activity *const starters[STARTER_COUNT] = {
    &starter_slide, &starter_gate, &starter_catch, &starter_skip, &starter_heron, &starter_trail,
};

enum err starters_install(struct store *st, int64_t now, struct activity_id created[STARTER_COUNT])
{
    struct activity_by by = {.now = now};
    enum err e = OK;
    for (size_t i = 0; e == OK && i < STARTER_COUNT; i++) {
        const struct activity *made = NULL;
        e = activity_create(st, starters[i], (struct activity_id){0}, by, &made);
        if (e == OK && created) {
            created[i] = made->id;
        }
    }
    return e;
}
