/* SPDX-License-Identifier: MIT
 * What is kept from a member of staff who still owes a second view, and how an assessment is
 * recorded; shared by every answer that tells suggestions or assessments. */
#pragma once

#include "base/buf.h"
#include "http/request.h"
#include "store/assessments.h"
#include "store/second_views.h"

/* What the signed-in person may not be told yet; empty for pupils and carers. */
enum err second_blind_load(struct request *rq, struct second_blind_list *out) MUST_USE;
/* ERR_CONFLICT with code "second_view_open" at `pointer` when this pupil is hidden in this unit. */
enum err second_view_refuse(struct request *rq, struct unit_id unit, struct pupil_id pupil,
                            const char *pointer) MUST_USE;
/* The list without what is hidden, on rq->mem. */
enum err second_view_filter(struct request *rq, struct assessment_list *list) MUST_USE;
/* ,"second_view":"open" or null: does this person owe one about the pupil, in any unit? */
enum err second_view_member(struct request *rq, struct buf *b, struct pupil_id pupil) MUST_USE;

/* {"band": n} of the body, within the school's scale. */
enum err second_band_read(struct request *rq, int *out) MUST_USE;
/* Asked of the signed-in person, not given, on pupils whose results that person still may see. */
enum err second_views_owed(struct request *rq, struct second_view_list *out) MUST_USE;

/* handlers/assess.c: keeps beside *a what is suggested now, stores it, reads it back. */
enum err assessment_record(struct request *rq, struct assessment *a) MUST_USE;
