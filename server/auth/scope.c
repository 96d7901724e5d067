/* SPDX-License-Identifier: MIT
 * Scopes: the second half of every permission.
 *
 * One rule (`staff_passes`) decides for staff: the object exists, and the person either holds a
 * school-wide right that the route names, or one of the scope's class rights that the route names
 * too, on a class of the object, today. A scope never opens what the route's mask does not. Every
 * failure, also of the database, is "no". Pupils and carers have scopes of their own. */
#include "auth/scope.h"

#include <string.h>

#include "base/clock.h"
#include "base/log.h"
#include "http/route.h"
#include "store/activity_maker.h"
#include "store/rights.h"
#include "store/second_views.h"
#include "store/sessions.h"

enum {
    CLASS_RIGHTS = ALLOW_TEACH | ALLOW_HELP | ALLOW_READ,
    SCHOOL_RIGHTS = ALLOW_PE_LEAD | ALLOW_SAFEGUARDING | ALLOW_OFFICE,
    TEACH = ALLOW_TEACH,
    RESULTS = ALLOW_TEACH | ALLOW_READ,
    ENTER = ALLOW_TEACH | ALLOW_HELP,
    SEE = ALLOW_TEACH | ALLOW_HELP | ALLOW_READ,
};

typedef enum err rights_fn(const struct rights_of *of, int64_t id, struct rights_found *out);

/* False when the database failed: then nothing is granted. */
static bool look(struct request *rq, rights_fn *fn, int64_t id, struct rights_found *out)
{
    struct rights_of of = {rq->store, rq->who.staff, clock_day(rq->now)};

    *out = (struct rights_found){0};
    if (rq->who.role != ROLE_STAFF || id <= 0) {
        return false;
    }
    enum err e = fn(&of, id, out);
    if (e) {
        log_event(LOG_ERROR, "scope_failed", "request=%s", rq->request_id);
        *out = (struct rights_found){0};
    }
    return !e;
}

static bool staff_passes(const struct request *rq, const struct rights_found *f, unsigned mask)
{
    unsigned allow = rq->route->allow;

    if (!f->there || rq->who.role != ROLE_STAFF) {
        return false;
    }
    return (rq->who.rights & SCHOOL_RIGHTS & allow) != 0 || (f->bits & mask & allow) != 0;
}

static bool passes(struct request *rq, rights_fn *fn, int64_t id, unsigned mask)
{
    struct rights_found f;
    return look(rq, fn, id, &f) && staff_passes(rq, &f, mask);
}

static unsigned held(struct request *rq, rights_fn *fn, int64_t id)
{
    struct rights_found f;
    return look(rq, fn, id, &f) && f.there ? f.bits | rq->who.rights : 0;
}

unsigned rights_on_class(struct request *rq, int64_t class_id)
{
    return held(rq, rights_class, class_id);
}

unsigned rights_on_pupil(struct request *rq, int64_t pupil_id)
{
    return held(rq, rights_pupil, pupil_id);
}

unsigned rights_on_challenge(struct request *rq, int64_t challenge_id)
{
    return held(rq, rights_challenge, challenge_id);
}

unsigned rights_anywhere(struct request *rq)
{
    struct rights_of of = {rq->store, rq->who.staff, clock_day(rq->now)};
    unsigned bits = 0;

    if (rq->who.role != ROLE_STAFF || rights_any(&of, &bits) != OK) {
        return 0;
    }
    return bits | rq->who.rights;
}

bool carer_sees_child(struct request *rq, int64_t pupil_id)
{
    bool yes = false;
    struct pupil_id pupil = {pupil_id};

    if (rq->who.role != ROLE_CARER ||
        session_has_child(rq->store, rq->who.session, pupil, rq->now, &yes) != OK) {
        return false;
    }
    return yes;
}

/* Classes -------------------------------------------------------------------------------------- */

bool scope_class_teach(struct request *rq)
{
    return passes(rq, rights_class, rq->args[0].id, TEACH);
}

bool scope_class_see(struct request *rq)
{
    return passes(rq, rights_class, rq->args[0].id, SEE);
}

bool scope_class_see_or_office(struct request *rq)
{
    return passes(rq, rights_class, rq->args[0].id, SEE);
}

bool scope_class_results(struct request *rq)
{
    return passes(rq, rights_class, rq->args[0].id, RESULTS);
}

bool scope_class_teach_or_office(struct request *rq)
{
    return passes(rq, rights_class, rq->args[0].id, TEACH);
}

/* Pupils --------------------------------------------------------------------------------------- */

bool scope_pupil_teach_or_office(struct request *rq)
{
    return passes(rq, rights_pupil, rq->args[0].id, TEACH);
}

bool scope_pupil_results(struct request *rq)
{
    return passes(rq, rights_pupil, rq->args[0].id, RESULTS);
}

bool scope_pupil_results_or_office(struct request *rq)
{
    return passes(rq, rights_pupil, rq->args[0].id, RESULTS);
}

bool scope_pupil_progress(struct request *rq)
{
    return rq->who.role == ROLE_CARER ? scope_child(rq) : scope_pupil_results(rq);
}

bool scope_pupil_cards(struct request *rq)
{
    return passes(rq, rights_pupil, rq->args[0].id, TEACH);
}

bool scope_child(struct request *rq)
{
    return (rq->route->allow & ALLOW_CARER) != 0 && carer_sees_child(rq, rq->args[0].id);
}

bool scope_card(struct request *rq)
{
    int64_t pupil = 0;

    return rights_pupil_of_card(rq->store, rq->args[0].id, &pupil) == OK &&
           passes(rq, rights_pupil, pupil, TEACH);
}

/* Challenges and hand-ins ---------------------------------------------------------------------- */

bool scope_challenge_see(struct request *rq)
{
    return passes(rq, rights_challenge, rq->args[0].id, SEE);
}

bool scope_challenge_own(struct request *rq)
{
    bool yes = false;

    if (rq->who.role != ROLE_PUPIL ||
        rights_pupil_has_challenge(rq->store, rq->who.pupil.v, rq->args[0].id, clock_day(rq->now),
                                   &yes) != OK) {
        return false;
    }
    return yes;
}

bool scope_challenge_teach(struct request *rq)
{
    return passes(rq, rights_challenge, rq->args[0].id, TEACH);
}

/* A challenge may be set to classes of several teachers. With ?class= that class is asked about;
 * without, results of all its classes would show, so a right on every one of them is needed. */
bool scope_challenge_results(struct request *rq)
{
    struct rights_found f;
    int64_t class_id = 0;

    if (!passes(rq, rights_challenge, rq->args[0].id, RESULTS) ||
        request_query_id(rq, "class", &class_id) != OK) {
        return false;
    }
    if (class_id) {
        return passes(rq, rights_class, class_id, RESULTS);
    }
    if (!look(rq, rights_challenge, rq->args[0].id, &f)) {
        return false;
    }
    f.bits = f.results_everywhere ? f.bits : 0;
    return staff_passes(rq, &f, RESULTS);
}

/* The teacher of the class that ?class= names. Whether it has the challenge, the handler asks. */
bool scope_challenge_starts(struct request *rq)
{
    int64_t class_id = 0;

    if (!passes(rq, rights_challenge, rq->args[0].id, TEACH) ||
        request_query_id(rq, "class", &class_id) != OK) {
        return false;
    }
    return !class_id || passes(rq, rights_class, class_id, TEACH);
}

bool scope_challenge_enter(struct request *rq)
{
    return passes(rq, rights_challenge, rq->args[0].id, ENTER);
}

bool scope_hand_in_own(struct request *rq)
{
    int64_t pupil = 0;

    return rq->who.role == ROLE_PUPIL &&
           rights_pupil_of_hand_in(rq->store, &rq->args[0].uuid, &pupil) == OK && pupil != 0 &&
           pupil == rq->who.pupil.v;
}

bool scope_hand_in_mark(struct request *rq)
{
    int64_t pupil = 0;

    return rights_pupil_of_hand_in(rq->store, &rq->args[0].uuid, &pupil) == OK &&
           passes(rq, rights_pupil, pupil, TEACH);
}

/* Units, messages, the rest -------------------------------------------------------------------- */

static bool unit_there(struct request *rq)
{
    bool there = false;
    return rights_unit_exists(rq->store, rq->args[0].id, &there) == OK && there;
}

static bool anywhere(struct request *rq, unsigned mask)
{
    struct rights_found f = {.there = true, .bits = rights_anywhere(rq)};
    return staff_passes(rq, &f, mask);
}

bool scope_unit_any(struct request *rq)
{
    return unit_there(rq) && anywhere(rq, SEE);
}

bool scope_unit_teach(struct request *rq)
{
    return unit_there(rq) && anywhere(rq, TEACH);
}

bool scope_unit_pupil_teach(struct request *rq)
{
    return unit_there(rq) && passes(rq, rights_pupil, rq->args[1].id, TEACH);
}

/* Report sentences: written by whoever teaches or reads the child's class. */
bool scope_unit_pupil_report(struct request *rq)
{
    return unit_there(rq) && passes(rq, rights_pupil, rq->args[1].id, ALLOW_TEACH | ALLOW_READ);
}

bool scope_teach_anywhere(struct request *rq)
{
    return anywhere(rq, TEACH);
}

bool activity_is_own(struct request *rq, struct staff_id maker)
{
    unsigned held_anywhere = rights_anywhere(rq);
    return (held_anywhere & ALLOW_PE_LEAD) ||
           ((held_anywhere & ALLOW_TEACH) && maker.v && maker.v == rq->who.staff.v);
}

bool scope_activity_own(struct request *rq)
{
    struct activity_maker m;
    return scope_teach_anywhere(rq) &&
           activity_maker(rq->mem, rq->store, (struct activity_id){rq->args[0].id}, &m) == OK &&
           activity_is_own(rq, m.id);
}

bool scope_message(struct request *rq)
{
    int64_t pupil = 0;

    return rights_pupil_of_message(rq->store, rq->args[0].id, &pupil) == OK &&
           passes(rq, rights_pupil, pupil, TEACH);
}

static bool second_view(struct request *rq, struct second_view *v)
{
    return second_view_get(rq->store, rq->mem, rq->args[0].id, v) == OK;
}

bool scope_second_view_mine(struct request *rq)
{
    struct second_view v;
    return rq->who.role == ROLE_STAFF && second_view(rq, &v) &&
           v.asked_of.v == rq->who.staff.v && passes(rq, rights_pupil, v.pupil.v, RESULTS);
}

bool scope_second_view_teach(struct request *rq)
{
    struct second_view v;
    return second_view(rq, &v) && passes(rq, rights_pupil, v.pupil.v, TEACH);
}

bool scope_session_own(struct request *rq)
{
    struct session_list_row *rows;
    size_t n;

    if (rq->who.role != ROLE_STAFF ||
        sessions_of_staff(rq->store, rq->mem, rq->who.staff, &rows, &n) != OK) {
        return false;
    }
    for (size_t i = 0; i < n; i++) {
        if (rows[i].id.v == rq->args[0].id) {
            return true;
        }
    }
    return false;
}

bool scope_any_staff(struct request *rq)
{
    unsigned allow = rq->route->allow;
    return rq->who.role == ROLE_STAFF &&
           ((allow & ALLOW_STAFF) != 0 || (allow & rq->who.rights & SCHOOL_RIGHTS) != 0);
}

/* Where any staff may ask, any right on the class will do, and the lead's and office's. */
bool scope_query_class(struct request *rq)
{
    struct rights_found f;
    int64_t class_id = 0;
    bool any_staff = (rq->route->allow & ALLOW_STAFF) != 0;

    if (rq->who.role != ROLE_STAFF || request_query_id(rq, "class", &class_id) != OK) {
        return false;
    }
    if (!class_id) {
        return any_staff || (rq->who.rights & SCHOOL_RIGHTS & rq->route->allow) != 0;
    }
    if (!look(rq, rights_class, class_id, &f) || !f.there) {
        return false;
    }
    if (any_staff) {
        return f.bits != 0 || (rq->who.rights & (ALLOW_PE_LEAD | ALLOW_OFFICE)) != 0;
    }
    return staff_passes(rq, &f, SEE);
}

bool scope_query_pupil(struct request *rq)
{
    int64_t pupil = 0;

    return request_query_id(rq, "pupil", &pupil) == OK && passes(rq, rights_pupil, pupil, SEE);
}
