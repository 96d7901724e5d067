/* SPDX-License-Identifier: MIT
 * Every set of statements in the program. store.c prepares them all, tests/store/test_plans.c asks
 * each for its plan; tests/lint/sets.sh holds this list to the files beside it. */
#include "store/activities.h"
#include "store/activity_maker.h"
#include "store/assessments.h"
#include "store/audit.h"
#include "store/cards.h"
#include "store/challenge_changes.h"
#include "store/challenges.h"
#include "store/changes.h"
#include "store/classes.h"
#include "store/fresh_start.h"
#include "store/grid.h"
#include "store/hand_in_marks.h"
#include "store/hand_ins.h"
#include "store/head_counts.h"
#include "store/messages.h"
#include "store/observations.h"
#include "store/pupils.h"
#include "store/purge.h"
#include "store/purge_plan.h"
#include "store/reports.h"
#include "store/results.h"
#include "store/rights.h"
#include "store/school.h"
#include "store/second_views.h"
#include "store/sessions.h"
#include "store/staff.h"
#include "store/starting_versions.h"
#include "store/statements.h"
#include "store/units.h"
#include "store/upkeep.h"
#include "store/waiting.h"
#include "store/writer.h"
#include "store/year.h"
#include "store_internal.h"

const struct stmt_set *const store_sets[] = {
    &tx_stmts,
    &activities_stmts,
    &activity_maker_stmts,
    &activity_save_stmts,
    &assessments_stmts,
    &audit_stmts,
    &cards_stmts,
    &challenge_changes_stmts,
    &challenges_stmts,
    &changes_stmts,
    &changes_view_stmts,
    &classes_stmts,
    &fresh_start_stmts,
    &grid_stmts,
    &hand_in_marks_stmts,
    &hand_ins_stmts,
    &hand_in_parts_stmts,
    &head_counts_stmts,
    &messages_stmts,
    &observations_stmts,
    &pupils_stmts,
    &purge_stmts,
    &purge_plan_stmts,
    &reports_stmts,
    &results_stmts,
    &rights_stmts,
    &school_stmts,
    &second_views_stmts,
    &sessions_stmts,
    &staff_stmts,
    &starting_versions_stmts,
    &statements_stmts,
    &units_stmts,
    &upkeep_stmts,
    &waiting_stmts,
    &writer_stmts,
    &year_stmts,
    NULL,
};
