/* SPDX-License-Identifier: MIT
 * Every handler of the routing table, grouped by the file family that holds it.
 *
 * h_<resource>_<verb>          runs on a loop (READS) or on the writer (WRITES)
 * h_<resource>_<verb>_parse    on the loop, before that; may set rq->slow
 * h_<resource>_<verb>_slow     on a key-derivation thread, only when parse set rq->slow; it has no
 *                              store: parse leaves what it needs in rq->input
 *
 * The gate has been passed when a handler runs: session, CSRF, rights and scope are settled. */
#pragma once

#include "http/route.h"

/* Session, own account, cards ----------------------------------------------------------------- */
handler_fn h_session_post, h_session_post_parse, h_session_post_slow;
handler_fn h_session_get, h_session_delete;
handler_fn h_me_passphrase_put, h_me_passphrase_put_parse, h_me_passphrase_put_slow;
handler_fn h_me_sessions_get, h_me_session_delete;
handler_fn h_sign_in_window_post;
handler_fn h_class_cards_get, h_class_cards_post, h_pupil_cards_post, h_pupil_cards_get;
handler_fn h_card_delete;

/* Staff, school, classes, pupils, roster ------------------------------------------------------ */
handler_fn h_staff_get, h_staff_put;
handler_fn h_staff_post, h_staff_post_parse, h_staff_post_slow;
handler_fn h_staff_passphrase_post, h_staff_passphrase_post_parse, h_staff_passphrase_post_slow;
handler_fn h_pending_changes_get, h_pending_changes_post, h_change_acceptance_post, h_change_delete;
handler_fn h_school_get, h_school_put, h_audit_get, h_home_get;
handler_fn h_to_check_get;
handler_fn h_classes_get, h_classes_post, h_class_get, h_class_put, h_class_staff_put;
handler_fn h_class_pupils_get, h_class_pupils_post, h_class_roster_post;
handler_fn h_pupil_get, h_pupil_put, h_pupil_put_parse, h_pupil_put_slow, h_pupil_fresh_start_put;
handler_fn h_year_plan_post, h_year_move_post, h_purge_plan_get, h_purge_plan_put;

/* Plan: units, activities, challenges --------------------------------------------------------- */
handler_fn h_units_get, h_units_post, h_unit_put;
handler_fn h_activities_get, h_activities_post;
handler_fn h_activity_get, h_activity_put, h_activity_delete;
handler_fn h_band_preview_get, h_activity_lines_put, h_unit_next_lesson_get;
handler_fn h_challenges_get, h_challenges_post, h_challenge_get, h_challenge_put;
handler_fn h_unit_file_get, h_unit_file_post;
handler_fn h_head_counts_get;
handler_fn h_unit_reports_get, h_unit_report_put, h_unit_reports_done_post, h_export_reports_get;
handler_fn h_challenge_starts_get, h_challenge_starts_put;

/* Tries: hand-ins, grid, results, assessments, family, messages, exports ---------------------- */
handler_fn h_me_challenges_get, h_me_challenge_get, h_me_bests_get;
handler_fn h_hand_in_post, h_hand_in_post_parse, h_hand_in_mistake_post;
handler_fn h_help_get;
handler_fn h_quick_get;
handler_fn h_quick_thanks_get;
handler_fn h_quick_post;
handler_fn h_words_get;
handler_fn h_class_grid_get, h_class_board_get;
handler_fn h_challenge_results_get, h_challenge_hand_in_post, h_challenge_hand_in_post_parse;
handler_fn h_hand_in_set_aside_post, h_hand_in_keep_post, h_hand_in_ask_again_post;
handler_fn h_unit_assess_get, h_unit_assessment_put, h_unit_assessments_post, h_unit_share_post;
handler_fn h_unit_seen_get, h_unit_seen_post, h_unit_answers_post, h_unit_taking_part_put;
handler_fn h_statements_get, h_statements_post, h_statement_put, h_pupil_statement_put;
handler_fn h_unit_second_views_get, h_unit_second_views_post, h_second_views_get, h_second_view_put;
handler_fn h_second_view_agreement_post, h_second_view_delete;
handler_fn h_pupil_progress_get, h_pupil_record_get;
handler_fn h_children_get, h_child_get;
handler_fn h_messages_post, h_messages_get, h_message_acknowledgement_post;
handler_fn h_export_results_get, h_export_roster_get, h_export_pupil_get;

/* The process itself -------------------------------------------------------------------------- */
handler_fn h_healthz_get;
