/* SPDX-License-Identifier: MIT
 * Is this object this person's to touch? Route scopes run after the role mask. A school-wide right
 * that the route allows passes for every object that exists; else the person needs one of the
 * rights in the scope's name on a class that the object belongs to today, and the route must allow
 * that right. False is answered as 404.
 *
 * Class of a challenge: any of its classes. Class of a pupil: any membership that holds today. */
#pragma once

#include <stdbool.h>
#include <stdint.h>

#include "http/request.h"

/* What the signed-in member of staff holds: ALLOW_TEACH | ALLOW_HELP | ALLOW_READ bits, within the
 * right's end date, together with the school-wide bits of rq->who.rights. 0: nothing, or no such
 * object. Handlers use these for ids in bodies, and to show less to `help`. Answers of one request
 * are not cached: ask once. */
unsigned rights_on_class(struct request *rq, int64_t class_id);
unsigned rights_on_pupil(struct request *rq, int64_t pupil_id);
unsigned rights_on_challenge(struct request *rq, int64_t challenge_id);
unsigned rights_anywhere(struct request *rq);
/* An activity made by `maker` (0: the command line): are its boundaries and its archive this
 * person's? Made it and still teaches, or leads PE. */
bool activity_is_own(struct request *rq, struct staff_id maker);
/* Carer: one of this session's cards is live and this child's, and the family view is not off. */
bool carer_sees_child(struct request *rq, int64_t pupil_id);

/* args[0] is the class */
bool scope_class_teach(struct request *rq); /* teach */
bool scope_class_see(struct request *rq); /* teach, help or read */
bool scope_class_see_or_office(struct request *rq); /* the same */
bool scope_class_results(struct request *rq); /* teach or read */
bool scope_class_teach_or_office(struct request *rq); /* teach */
/* args[0] is the pupil */
bool scope_pupil_teach_or_office(struct request *rq); /* teach */
bool scope_pupil_results(struct request *rq); /* teach or read */
bool scope_pupil_results_or_office(struct request *rq); /* teach or read */
bool scope_pupil_progress(struct request *rq); /* teach or read; carer: own child */
bool scope_pupil_cards(struct request *rq); /* teach */
bool scope_child(struct request *rq); /* carer: own child */
/* args[0] is the card */
bool scope_card(struct request *rq); /* teach */
/* args[0] is the challenge */
bool scope_challenge_see(struct request *rq); /* teach, help or read */
bool scope_challenge_own(struct request *rq); /* pupil: set for a class of mine */
bool scope_challenge_teach(struct request *rq); /* teach */
bool scope_challenge_results(struct request *rq); /* teach or read; with ?class=, on that class */
bool scope_challenge_enter(struct request *rq); /* teach or help */
bool scope_challenge_starts(struct request *rq); /* teach or help */
/* args[0] is the hand-in (uuid) */
bool scope_hand_in_own(struct request *rq); /* pupil: own */
bool scope_hand_in_mark(struct request *rq); /* teach on its pupil */
/* args[0] is the unit: it is there and the person has a right that the route allows, anywhere. The
 * handler checks pupils and classes of the body with rights_on_pupil and rights_on_class. */
bool scope_unit_any(struct request *rq);
bool scope_unit_teach(struct request *rq); /* the unit is there; teach anywhere */
bool scope_unit_pupil_teach(struct request *rq); /* args[1] the pupil: teach */
bool scope_unit_pupil_report(struct request *rq); /* args[1] the pupil: teach */
/* teach on some class, or an allowed school-wide right */
bool scope_teach_anywhere(struct request *rq);
/* args[0] the activity: made by this person, who teaches somewhere; or the PE lead */
bool scope_activity_own(struct request *rq);
bool scope_message(struct request *rq); /* args[0] the message: teach on its pupil */
/* args[0] is the second view: asked of this person, who still may see the pupil's results */
bool scope_second_view_mine(struct request *rq);
bool scope_second_view_teach(struct request *rq); /* teach on its pupil */
bool scope_session_own(struct request *rq); /* args[0]: a session of this account */
bool scope_any_staff(struct request *rq); /* any signed-in staff; the object is the school's */
/* ?class=: a right on it that the route allows; absent: passes with an allowed school-wide
 * right, or where the route allows any staff: the handler keeps to own classes */
bool scope_query_class(struct request *rq);
bool scope_query_pupil(struct request *rq); /* ?pupil=: the same; absent: does not pass */
