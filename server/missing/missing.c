/* SPDX-License-Identifier: MIT
 * Weak stand-ins, linked last, for entries of the tables that have no definition yet: they answer
 * "not found" and "failed", so that the rest of the program can be built and tried.
 */
#include "cmd.h"
#include "handlers/handlers.h"

#define MISSING(name)                                                                              \
    __attribute__((weak)) enum err name(struct request *rq, struct reply *rp)                      \
    {                                                                                              \
        (void)rq;                                                                                  \
        (void)rp;                                                                                  \
        return ERR_NOT_FOUND;                                                                      \
    }
#define MISSING_COMMAND(name)                                                                      \
    __attribute__((weak)) int name(int argc, char **argv)                                          \
    {                                                                                              \
        (void)argc;                                                                                \
        return cmd_fail(argv[0], "not in this build");                                             \
    }

MISSING(h_session_post)
MISSING(h_session_post_parse)
MISSING(h_session_post_slow)
MISSING(h_session_get)
MISSING(h_session_delete)
MISSING(h_me_passphrase_put)
MISSING(h_me_passphrase_put_parse)
MISSING(h_me_passphrase_put_slow)
MISSING(h_me_sessions_get)
MISSING(h_me_session_delete)
MISSING(h_sign_in_window_post)
MISSING(h_class_cards_post)
MISSING(h_pupil_cards_post)
MISSING(h_pupil_cards_get)
MISSING(h_card_delete)
MISSING(h_staff_get)
MISSING(h_staff_put)
MISSING(h_staff_post)
MISSING(h_staff_post_parse)
MISSING(h_staff_post_slow)
MISSING(h_staff_passphrase_post)
MISSING(h_staff_passphrase_post_parse)
MISSING(h_staff_passphrase_post_slow)
MISSING(h_school_get)
MISSING(h_school_put)
MISSING(h_audit_get)
MISSING(h_home_get)
MISSING(h_classes_get)
MISSING(h_classes_post)
MISSING(h_class_get)
MISSING(h_class_put)
MISSING(h_class_pupils_get)
MISSING(h_class_pupils_post)
MISSING(h_class_roster_post)
MISSING(h_pupil_get)
MISSING(h_pupil_put)
MISSING(h_units_get)
MISSING(h_units_post)
MISSING(h_unit_put)
MISSING(h_activities_get)
MISSING(h_activities_post)
MISSING(h_activity_get)
MISSING(h_activity_put)
MISSING(h_activity_delete)
MISSING(h_challenges_get)
MISSING(h_challenges_post)
MISSING(h_challenge_get)
MISSING(h_challenge_put)
MISSING(h_me_challenges_get)
MISSING(h_me_challenge_get)
MISSING(h_me_bests_get)
MISSING(h_hand_in_post)
MISSING(h_hand_in_post_parse)
MISSING(h_hand_in_mistake_post)
MISSING(h_quick_post)
MISSING(h_class_grid_get)
MISSING(h_class_board_get)
MISSING(h_challenge_results_get)
MISSING(h_challenge_hand_in_post)
MISSING(h_challenge_hand_in_post_parse)
MISSING(h_hand_in_set_aside_post)
MISSING(h_hand_in_keep_post)
MISSING(h_hand_in_ask_again_post)
MISSING(h_unit_assess_get)
MISSING(h_unit_assessment_put)
MISSING(h_unit_assessments_post)
MISSING(h_unit_share_post)
MISSING(h_unit_seen_post)
MISSING(h_unit_taking_part_put)
MISSING(h_pupil_progress_get)
MISSING(h_pupil_record_get)
MISSING(h_children_get)
MISSING(h_child_get)
MISSING(h_messages_post)
MISSING(h_messages_get)
MISSING(h_message_acknowledgement_post)
MISSING(h_export_results_get)
MISSING(h_export_roster_get)
MISSING(h_export_pupil_get)
MISSING(h_healthz_get)

MISSING_COMMAND(cmd_init)
MISSING_COMMAND(cmd_demo)
MISSING_COMMAND(cmd_serve)
MISSING_COMMAND(cmd_staff)
MISSING_COMMAND(cmd_roster)
MISSING_COMMAND(cmd_cards)
MISSING_COMMAND(cmd_export)
MISSING_COMMAND(cmd_backup)
MISSING_COMMAND(cmd_restore)
MISSING_COMMAND(cmd_purge)
MISSING_COMMAND(cmd_check)
