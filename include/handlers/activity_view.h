/* SPDX-License-Identifier: MIT
 * Activities, challenges and units as the API shows them: the one place where their members are
 * named. */
#pragma once

#include <stdbool.h>

#include "base/buf.h"
#include "base/err.h"
#include "http/request.h"
#include "store/activities.h"
#include "store/challenges.h"
#include "store/units.h"

enum activity_for { ACTIVITY_FOR_STAFF, ACTIVITY_FOR_PUPIL };

/* The whole object. A pupil's has no band lines and does not say which answer is right. */
void view_activity(struct buf *b, const struct activity *a, enum activity_for who);
/* {"id","revision","name","kind","unit"} */
void view_activity_short(struct buf *b, const struct activity *a);
/* The whole object; `a` is the revision it was set with. */
void view_challenge(struct buf *b, const struct challenge *c, const struct activity *a);
void view_unit(struct buf *b, const struct unit *u);
