/* SPDX-License-Identifier: MIT
 * Parts of what is held about one child, shared by the record and the data copy. Each but the first
 * begins with a comma. */
#pragma once

#include "base/buf.h"
#include "handlers/hand_in_view.h"
#include "http/request.h"
#include "store/assessments.h"
#include "store/observations.h"
#include "store/pupils.h"
#include "store/statements.h"
#include "store/units.h"

/* An audit row of a read; the object is "<kind>:<id>". */
enum err record_note(struct request *rq, const char *action, const char *kind,
                     int64_t id) MUST_USE;
/* "pupil":{..} */
enum err record_pupil(struct request *rq, struct buf *b, struct pupil_id id) MUST_USE;
/* ,"hand_ins":[..] as staff see them */
enum err record_hand_ins(struct request *rq, struct buf *b,
                         const struct hand_in_list *all) MUST_USE;
/* ,"assessments":[..] */
void record_assessments(struct buf *b, const struct assessment_list *list);
/* ,"seen":[..],"lesson_answers":[..],"statements":[..]; `ever`: all that is held, also what no
 * longer holds, null where something was taken back */
enum err record_lessons(struct request *rq, struct buf *b, struct pupil_id id,
                        bool ever) MUST_USE;
