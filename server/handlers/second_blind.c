/* SPDX-License-Identifier: MIT
 * Keeping two looks two: whoever owes a second view of a child is told neither what is suggested
 * nor what was decided, by any answer. Every handler that writes either asks here. */
#include "second_internal.h"

#include "base/mem.h"

enum err second_blind_load(struct request *rq, struct second_blind_list *out)
{
    const struct staff_id nobody = {0};
    return second_blind_of(rq->store, rq->mem,
                           rq->who.role == ROLE_STAFF ? rq->who.staff : nobody, out);
}

enum err second_view_refuse(struct request *rq, struct unit_id unit, struct pupil_id pupil,
                            const char *pointer)
{
    struct second_blind_list blind;
    enum err e = second_blind_load(rq, &blind);
    if (e != OK || !second_view_hides(&blind, unit, pupil)) {
        return e;
    }
    e = request_blame(rq, pointer, "second_view_open", NULL);
    return e == ERR_BAD_INPUT ? ERR_CONFLICT : e;
}

enum err second_view_filter(struct request *rq, struct assessment_list *list)
{
    struct second_blind_list blind;
    size_t kept = 0;
    enum err e = second_blind_load(rq, &blind);
    if (e != OK) {
        return e;
    }
    for (size_t i = 0; i < list->n; i++) {
        if (!second_view_hides(&blind, list->v[i].unit, list->v[i].pupil)) {
            list->v[kept++] = list->v[i];
        }
    }
    list->n = kept;
    return OK;
}

enum err second_view_member(struct request *rq, struct buf *b, struct pupil_id pupil)
{
    struct second_blind_list blind;
    enum err e = second_blind_load(rq, &blind);
    if (e == OK) {
        buf_str(b, second_view_hides_some(&blind, pupil) ? ",\"second_view\":\"open\""
                                                         : ",\"second_view\":null");
    }
    return e;
}
