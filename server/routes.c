/* SPDX-License-Identifier: MIT
 * The routing table: every path that is not a static file, who may use it, how much it may send.
 *
 * .allow is a mask of rights (deny by default: 0 lets nobody in); .scope then says whether the
 * object named by the path, or by ?class= or ?pupil=, is this person's to touch. Both are settled
 * before a handler runs; what is refused looks like what is not there. Scope functions answer
 * within the route's mask: a school-wide right that the mask does not name opens nothing. Where a
 * body names classes or pupils the store checks each one again.
 *
 * A GET with .work = WRITES is a read that leaves an audit row, answered after that row is on the
 * disk. server/http/router.c checks this table at every start. */
#include "http/route.h"

#include "auth/scope.h"
#include "base/who.h"
#include "handlers/handlers.h"

#define V1 "/api/v1"

enum {
    ANYONE = ALLOW_ANYONE,
    P = ALLOW_PUPIL,
    C = ALLOW_CARER,
    T = ALLOW_TEACH,
    H = ALLOW_HELP,
    R = ALLOW_READ,
    L = ALLOW_PE_LEAD,
    S = ALLOW_SAFEGUARDING,
    O = ALLOW_OFFICE,
    STAFF = ALLOW_STAFF,
    SIGNED_IN = ALLOW_PUPIL | ALLOW_CARER | ALLOW_STAFF,
    KIB = 1024,
    SMALL = 4 * KIB,
    USUAL = 16 * KIB,
    LARGE = 64 * KIB,
    ROSTER = 1024 * KIB,
};

/* Shorthand for the two halves every entry has. */
#define READ(m, p, a) .method = (m), .path = (p), .allow = (a), .work = READS
#define WRITE(m, p, a) .method = (m), .path = (p), .allow = (a), .work = WRITES
#define NO_BODY .body = BODY_NONE
#define JSON(n) .body = BODY_JSON, .max = (n)

const struct route routes[] = {
    /* Session and own account */
    {WRITE(POST, V1 "/session", ANYONE), JSON(SMALL), .no_session = true,
     .parse = h_session_post_parse, .slow = h_session_post_slow, .fn = h_session_post,
     .doc = "Sign in with a card code, a QR key, or name and passphrase"},
    {READ(GET, V1 "/session", SIGNED_IN), NO_BODY, .fn = h_session_get,
     .doc = "Who is signed in"},
    {WRITE(DELETE, V1 "/session", SIGNED_IN), NO_BODY, .fn = h_session_delete,
     .doc = "Sign out"},
    {WRITE(PUT, V1 "/me/passphrase", STAFF), JSON(SMALL), .parse = h_me_passphrase_put_parse,
     .slow = h_me_passphrase_put_slow, .fn = h_me_passphrase_put,
     .doc = "Change own passphrase; ends other sessions"},
    {READ(GET, V1 "/me/sessions", STAFF), NO_BODY, .fn = h_me_sessions_get,
     .doc = "Own open sessions"},
    {WRITE(DELETE, V1 "/me/sessions/:session", STAFF), NO_BODY, .scope = scope_session_own,
     .fn = h_me_session_delete, .doc = "End one of one's own sessions"},
    {WRITE(POST, V1 "/classes/:class/sign-in-window", T), JSON(SMALL), .scope = scope_class_teach,
     .fn = h_sign_in_window_post, .doc = "My class is signing in now: 20 minutes of room"},

    /* Staff and school */
    {READ(GET, V1 "/staff", O), NO_BODY, .fn = h_staff_get, .doc = "Staff with their rights"},
    {WRITE(POST, V1 "/staff", O), JSON(USUAL), .parse = h_staff_post_parse,
     .slow = h_staff_post_slow, .fn = h_staff_post,
     .doc = "A new member of staff; the passphrase is shown once"},
    {WRITE(PUT, V1 "/staff/:staff", O), JSON(USUAL), .scope = scope_any_staff, .fn = h_staff_put,
     .doc = "Rights, classes, disabled"},
    {WRITE(POST, V1 "/staff/:staff/passphrase", O), JSON(SMALL), .scope = scope_any_staff,
     .parse = h_staff_passphrase_post_parse, .slow = h_staff_passphrase_post_slow,
     .fn = h_staff_passphrase_post, .doc = "A new passphrase, shown once; ends sessions"},
    {READ(GET, V1 "/school", STAFF), NO_BODY, .fn = h_school_get,
     .doc = "The school's settings, terms and bands"},
    {WRITE(PUT, V1 "/school", O | L), JSON(LARGE), .fn = h_school_put,
     .doc = "Change the school's settings"},
    {READ(GET, V1 "/audit", O | S), NO_BODY, .fn = h_audit_get,
     .doc = "What was done, newest first"},
    {READ(GET, V1 "/home", STAFF), NO_BODY, .fn = h_home_get, .doc = "Digest for the first page"},

    /* Classes, pupils, roster, cards */
    {READ(GET, V1 "/classes", STAFF), NO_BODY, .fn = h_classes_get,
     .doc = "Classes this person may see"},
    {WRITE(POST, V1 "/classes", O | T), JSON(SMALL), .scope = scope_teach_anywhere,
     .fn = h_classes_post, .doc = "A new class or group"},
    {READ(GET, V1 "/classes/:class", T | H | R | L | O), NO_BODY,
     .scope = scope_class_see_or_office, .fn = h_class_get, .doc = "A class and who can see it"},
    {WRITE(PUT, V1 "/classes/:class", O | T), JSON(SMALL), .scope = scope_class_teach_or_office,
     .fn = h_class_put, .doc = "Rename, archive, name the readers of messages"},
    {READ(GET, V1 "/classes/:class/pupils", T | H | R | L | O), NO_BODY,
     .scope = scope_class_see_or_office, .fn = h_class_pupils_get, .doc = "The class list"},
    {WRITE(POST, V1 "/classes/:class/pupils", T | O), JSON(SMALL),
     .scope = scope_class_teach_or_office, .fn = h_class_pupils_post,
     .doc = "A new pupil, or one into a group"},
    {WRITE(POST, V1 "/classes/:class/roster", T | O), .body = BODY_CSV, .max = ROSTER,
     .scope = scope_class_teach_or_office, .fn = h_class_roster_post,
     .doc = "A class list as CSV; ?dry_run=1 only looks"},
    {WRITE(POST, V1 "/classes/:class/cards", T | O), JSON(USUAL),
     .scope = scope_class_teach_or_office, .fn = h_class_cards_post,
     .doc = "Cards for a class, shown once"},
    {READ(GET, V1 "/pupils/:pupil", T | R | L | O), NO_BODY,
     .scope = scope_pupil_results_or_office, .fn = h_pupil_get, .doc = "One pupil"},
    {WRITE(PUT, V1 "/pupils/:pupil", T | O | S), JSON(SMALL), .scope = scope_pupil_cards,
     .parse = h_pupil_put_parse, .slow = h_pupil_put_slow, .fn = h_pupil_put,
     .doc = "Rename, year group, move, leave, family view"},
    {WRITE(PUT, V1 "/pupils/:pupil/fresh-start", T | L), JSON(SMALL),
     .scope = scope_pupil_teach_or_office, .fn = h_pupil_fresh_start_put,
     .doc = "Own bests and gains count from this day"},
    {WRITE(POST, V1 "/pupils/:pupil/cards", T | O), JSON(SMALL),
     .scope = scope_pupil_teach_or_office, .fn = h_pupil_cards_post,
     .doc = "Another card for one pupil, shown once"},
    {READ(GET, V1 "/pupils/:pupil/cards", T | O | S), NO_BODY, .scope = scope_pupil_cards,
     .fn = h_pupil_cards_get, .doc = "Cards of one pupil, without codes"},
    {WRITE(DELETE, V1 "/cards/:card", T | O | S), NO_BODY, .scope = scope_card,
     .fn = h_card_delete, .doc = "Cancel a card; its sessions end"},

    /* Plan */
    {READ(GET, V1 "/units", STAFF), NO_BODY, .fn = h_units_get, .doc = "Units with their lessons"},
    {WRITE(POST, V1 "/units", L | T), JSON(LARGE), .scope = scope_teach_anywhere,
     .fn = h_units_post, .doc = "A new unit"},
    {WRITE(PUT, V1 "/units/:unit", L | T), JSON(LARGE), .scope = scope_unit_teach,
     .fn = h_unit_put, .doc = "Change a unit"},
    {READ(GET, V1 "/activities", STAFF), NO_BODY, .fn = h_activities_get, .doc = "All activities"},
    {WRITE(POST, V1 "/activities", L | T), JSON(LARGE), .scope = scope_teach_anywhere,
     .fn = h_activities_post, .doc = "A new activity, maybe a copy"},
    {READ(GET, V1 "/activities/:activity", STAFF), NO_BODY, .scope = scope_any_staff,
     .fn = h_activity_get, .doc = "One activity"},
    {WRITE(PUT, V1 "/activities/:activity", L | T), JSON(LARGE), .scope = scope_teach_anywhere,
     .fn = h_activity_put, .doc = "A new revision; challenges already set keep theirs"},
    {WRITE(DELETE, V1 "/activities/:activity", L | T), NO_BODY, .scope = scope_teach_anywhere,
     .fn = h_activity_delete, .doc = "Archive an activity"},
    {READ(GET, V1 "/activities/:activity/band-preview", L | T), NO_BODY,
     .scope = scope_query_class, .fn = h_band_preview_get,
     .doc = "How the last tries of ?class= would fall under ?lines="},
    {WRITE(PUT, V1 "/activities/:activity/lines", L | T), JSON(SMALL),
     .scope = scope_teach_anywhere, .fn = h_activity_lines_put,
     .doc = "New band lines; nothing else of the activity changes"},
    {READ(GET, V1 "/challenges", STAFF), NO_BODY, .scope = scope_query_class,
     .fn = h_challenges_get, .doc = "Challenges of one's own classes"},
    {WRITE(POST, V1 "/challenges", L | T), JSON(USUAL), .scope = scope_teach_anywhere,
     .fn = h_challenges_post, .doc = "Set an activity to classes"},
    {READ(GET, V1 "/challenges/:challenge", T | H | R | L), NO_BODY, .scope = scope_challenge_see,
     .fn = h_challenge_get, .doc = "One challenge with its activity"},
    {WRITE(PUT, V1 "/challenges/:challenge", L | T), JSON(SMALL), .scope = scope_challenge_teach,
     .fn = h_challenge_put, .doc = "Move the due or closing day"},

    /* A child's tries */
    {READ(GET, V1 "/me/challenges", P), NO_BODY, .fn = h_me_challenges_get,
     .doc = "What is set for me now"},
    {READ(GET, V1 "/me/challenges/:challenge", P), NO_BODY, .scope = scope_challenge_own,
     .fn = h_me_challenge_get, .doc = "One challenge with my tries"},
    {READ(GET, V1 "/me/bests", P), NO_BODY, .fn = h_me_bests_get, .doc = "My bests this year"},
    {WRITE(POST, V1 "/hand-ins", P), JSON(USUAL), .parse = h_hand_in_post_parse,
     .fn = h_hand_in_post, .doc = "Send my tries"},
    {WRITE(POST, V1 "/hand-ins/:hand_in/mistake", P), JSON(SMALL), .scope = scope_hand_in_own,
     .fn = h_hand_in_mistake_post, .doc = "I made a mistake"},
    {WRITE(POST, "/quick", ANYONE), .body = BODY_FORM, .max = SMALL, .no_session = true,
     .html = true, .fn = h_quick_post, .doc = "The form without script"},

    /* Grid, results, assessment */
    {READ(GET, V1 "/classes/:class/grid", T | H | R | L | O), NO_BODY,
     .scope = scope_class_see_or_office, .fn = h_class_grid_get, .doc = "Who's done it"},
    {READ(GET, V1 "/classes/:class/board", T | H | R | L), NO_BODY, .scope = scope_class_see,
     .fn = h_class_board_get, .doc = "Counts for a whiteboard, no names"},
    {READ(GET, V1 "/challenges/:challenge/results", T | R | L), NO_BODY,
     .scope = scope_challenge_results, .fn = h_challenge_results_get,
     .doc = "Every pupil's attempts of ?class="},
    {WRITE(POST, V1 "/challenges/:challenge/hand-ins", T | H), JSON(USUAL),
     .scope = scope_challenge_enter, .parse = h_challenge_hand_in_post_parse,
     .fn = h_challenge_hand_in_post, .doc = "Enter tries on a child's behalf"},
    {WRITE(POST, V1 "/hand-ins/:hand_in/set-aside", T | L), JSON(SMALL),
     .scope = scope_hand_in_mark, .fn = h_hand_in_set_aside_post,
     .doc = "Set a hand-in aside, with a reason"},
    {WRITE(POST, V1 "/hand-ins/:hand_in/keep", T | L), JSON(SMALL), .scope = scope_hand_in_mark,
     .fn = h_hand_in_keep_post, .doc = "Let a hand-in count"},
    {WRITE(POST, V1 "/hand-ins/:hand_in/ask-again", T | L), JSON(SMALL),
     .scope = scope_hand_in_mark, .fn = h_hand_in_ask_again_post, .doc = "Ask for it again"},
    {READ(GET, V1 "/units/:unit/assess", T | R | L), NO_BODY, .scope = scope_query_class,
     .fn = h_unit_assess_get, .doc = "Evidence and suggestions of ?class= at unit end"},
    {READ(GET, V1 "/units/:unit/next-lesson", T | R | L), NO_BODY, .scope = scope_query_class,
     .fn = h_unit_next_lesson_get, .doc = "?class= in groups by what comes next"},
    {WRITE(PUT, V1 "/units/:unit/assessments/:pupil", T | L), JSON(SMALL),
     .scope = scope_unit_pupil_teach, .fn = h_unit_assessment_put, .doc = "Decide one assessment"},
    {WRITE(POST, V1 "/units/:unit/assessments", T | L), JSON(USUAL), .scope = scope_unit_any,
     .fn = h_unit_assessments_post, .doc = "Accept many suggestions"},
    {WRITE(POST, V1 "/units/:unit/share", T | L), JSON(USUAL), .scope = scope_unit_any,
     .fn = h_unit_share_post, .doc = "Show assessments to families"},
    {READ(GET, V1 "/units/:unit/seen", T | H | R | L), NO_BODY, .scope = scope_query_class,
     .fn = h_unit_seen_get, .doc = "What was seen in lessons, of ?class="},
    {WRITE(POST, V1 "/units/:unit/seen", T | H), JSON(LARGE), .scope = scope_unit_any,
     .fn = h_unit_seen_post, .doc = "Teaching points seen, looked for and not seen, taken back"},
    {WRITE(POST, V1 "/units/:unit/answers", T | H), JSON(SMALL), .scope = scope_unit_any,
     .fn = h_unit_answers_post, .doc = "A question answered in a lesson, or taken back"},
    {WRITE(PUT, V1 "/units/:unit/taking-part/:pupil", T), JSON(SMALL),
     .scope = scope_unit_pupil_teach, .fn = h_unit_taking_part_put,
     .doc = "Taking part, from lessons, or taken back"},
    {READ(GET, V1 "/statements", T | R | L), NO_BODY, .scope = scope_query_class,
     .fn = h_statements_get, .doc = "Statements, and ticks of ?class="},
    {WRITE(POST, V1 "/statements", L), JSON(SMALL), .fn = h_statements_post,
     .doc = "A new statement"},
    {WRITE(PUT, V1 "/statements/:statement", L), JSON(SMALL), .scope = scope_any_staff,
     .fn = h_statement_put, .doc = "Reword or archive a statement"},
    {WRITE(PUT, V1 "/pupils/:pupil/statements/:statement", T), JSON(SMALL),
     .scope = scope_pupil_teach_or_office, .fn = h_pupil_statement_put,
     .doc = "Tick a statement: yes, not yet, or taken back"},
    {READ(GET, V1 "/units/:unit/second-views", T | L), NO_BODY, .scope = scope_unit_any,
     .fn = h_unit_second_views_get, .doc = "Second views of ?class= side by side"},
    {WRITE(POST, V1 "/units/:unit/second-views", T | L), JSON(SMALL), .scope = scope_unit_any,
     .fn = h_unit_second_views_post, .doc = "Ask a colleague for a second view"},
    {READ(GET, V1 "/second-views", STAFF), NO_BODY, .fn = h_second_views_get,
     .doc = "Second views asked of me, with the evidence"},
    {WRITE(PUT, V1 "/second-views/:view", T | R | L), JSON(SMALL), .scope = scope_second_view_mine,
     .fn = h_second_view_put, .doc = "Give my second view"},
    {WRITE(POST, V1 "/second-views/:view/agreement", T | L), JSON(SMALL),
     .scope = scope_second_view_teach, .fn = h_second_view_agreement_post,
     .doc = "What the two agreed on"},
    {WRITE(DELETE, V1 "/second-views/:view", T | L), NO_BODY, .scope = scope_second_view_teach,
     .fn = h_second_view_delete, .doc = "Take back what was asked, while it is open"},
    {READ(GET, V1 "/pupils/:pupil/progress", T | R | L | C), NO_BODY,
     .scope = scope_pupil_progress, .fn = h_pupil_progress_get, .doc = "The family page's content"},
    {WRITE(GET, V1 "/pupils/:pupil/record", T | R | L), NO_BODY, .scope = scope_pupil_results,
     .fn = h_pupil_record_get, .doc = "All of a pupil's attempts and assessments (audited)"},

    /* Families */
    {READ(GET, V1 "/children", C), NO_BODY, .fn = h_children_get,
     .doc = "Children whose cards this session opened"},
    {READ(GET, V1 "/children/:pupil", C), NO_BODY, .scope = scope_child, .fn = h_child_get,
     .doc = "One child's page"},

    /* Messages */
    {WRITE(POST, V1 "/messages", P), JSON(SMALL), .fn = h_messages_post, .doc = "Tell my teacher"},
    {WRITE(GET, V1 "/messages", T | S), NO_BODY, .scope = scope_teach_anywhere,
     .fn = h_messages_get, .doc = "Messages of one's own classes, or all (audited)"},
    {WRITE(POST, V1 "/messages/:message/acknowledgement", T | S), JSON(SMALL),
     .scope = scope_message, .fn = h_message_acknowledgement_post, .doc = "Acknowledge a message"},

    /* Exports */
    {WRITE(GET, V1 "/exports/results.csv", T | L), NO_BODY, .scope = scope_query_class,
     .fn = h_export_results_get, .doc = "Results of ?class= (audited)"},
    {WRITE(GET, V1 "/exports/roster.csv", T | O), NO_BODY, .scope = scope_query_class,
     .fn = h_export_roster_get, .doc = "Class list of ?class= (audited)"},
    {WRITE(GET, V1 "/exports/pupil.json", T | L | O), NO_BODY, .scope = scope_query_pupil,
     .fn = h_export_pupil_get, .doc = "One pupil's data (audited)"},

    /* The process */
    {READ(GET, "/healthz", ANYONE), NO_BODY, .no_session = true, .fn = h_healthz_get,
     .doc = "ok when the database answers"},
};
const size_t route_count = sizeof routes / sizeof *routes;
