/* SPDX-License-Identifier: MIT
 * How a challenge stands for each of its classes, as SQL: the one place where a class's own dates
 * and its cancellation stand in for what was set. */
#pragma once

/* class_id, challenge_id, opens_at, due_at, closes_at, cancelled_at, cancelled_by, and `came`:
 * tries of somebody who is or was in the class. (The connection allows no views.) */
#define CLASS_CHALLENGE \
    "(SELECT cc.class_id, cc.challenge_id, coalesce(x.opens_at, o.opens_at) AS opens_at," \
    " coalesce(x.due_at, o.due_at) AS due_at, coalesce(x.closes_at, o.closes_at) AS closes_at," \
    " x.cancelled_at, x.cancelled_by, EXISTS (SELECT 1 FROM hand_in ch JOIN membership cm" \
    " ON cm.pupil_id = ch.pupil_id WHERE ch.challenge_id = cc.challenge_id" \
    " AND cm.class_id = cc.class_id) AS came" \
    " FROM challenge_class cc JOIN challenge o ON o.id = cc.challenge_id" \
    " LEFT JOIN challenge_change x ON x.class_id = cc.class_id" \
    " AND x.challenge_id = cc.challenge_id)"
