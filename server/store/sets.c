/* SPDX-License-Identifier: MIT
 * Every set of statements in the program. store.c prepares them all, tests/store/test_plans.c asks
 * each for its plan; tests/lint/sets.sh holds this list to the files beside it. */
#include "store/audit.h"
#include "store/classes.h"
#include "store/grid.h"
#include "store/hand_in_marks.h"
#include "store/hand_ins.h"
#include "store/messages.h"
#include "store/pupils.h"
#include "store/rights.h"
#include "store/school.h"
#include "store/staff.h"
#include "store_internal.h"

const struct stmt_set *const store_sets[] = {
    &tx_stmts,
    &audit_stmts,
    &classes_stmts,
    &grid_stmts,
    &hand_in_marks_stmts,
    &hand_ins_stmts,
    &messages_stmts,
    &pupils_stmts,
    &rights_stmts,
    &school_stmts,
    &staff_stmts,
    NULL,
};
