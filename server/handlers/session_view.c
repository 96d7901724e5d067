/* SPDX-License-Identifier: MIT
 * What a signed-in person is told about their session. Nothing here is about anybody else: a
 * carer's list holds the children whose cards this session opened and no more. */
#include "people_internal.h"
#include "sign_in_internal.h"

#include <string.h>

#include "auth/auth.h"
#include "base/clock.h"
#include "store/messages.h"
#include "store/school.h"
#include "store/sessions.h"
#include "store/staff.h"

static const char *const role_words[] = {
    [ROLE_NONE] = "", [ROLE_PUPIL] = "pupil", [ROLE_CARER] = "carer", [ROLE_STAFF] = "staff"};

/* Whether messages go to a reader now, or when school opens again and what it says until then. */
static enum err messages_view(struct request *rq, struct pupil_id pupil, json_t *to)
{
    struct message_hours hours;
    struct school school;
    enum err e = messages_for_pupil(rq->store, pupil, rq->now, &hours);

    if (!e) {
        e = school_get(rq->store, rq->mem, &school);
    }
    if (e) {
        return e;
    }
    json_t *open = hours.known ? json_boolean(hours.school_open) : json_null();
    json_t *again = hours.has_opens_again ? day_json(hours.opens_again_day) : json_null();
    return json_object_set_new(to, "messages",
                               json_pack("{s:b,s:o,s:o,s:s}", "on", hours.on, "school_open", open,
                                         "opens_again", again, "away_phone", school.away_phone))
               ? ERR_INTERNAL
               : OK;
}

static enum err pupil_view(struct request *rq, const struct who *who, json_t *to)
{
    struct session_at at = {who->pupil, rq->now, clock_day(rq->now)};
    struct session_pupil p;
    enum err e = session_pupil_get(rq->store, rq->mem, &at, &p);

    if (e) {
        return e;
    }
    json_t *in = p.class_id.v ? json_pack("{s:o,s:s}", "id", id_json(p.class_id.v), "name",
                                          p.class_name)
                              : json_null();
    int bad = json_object_set_new(to, "display_name", json_string(p.display_name));
    bad |= json_object_set_new(to, "pupil", id_json(who->pupil.v));
    bad |= json_object_set_new(to, "picture", json_integer(p.picture));
    bad |= json_object_set_new(to, "class", in);
    bad |= json_object_set_new(to, "family_can_see", json_boolean(p.family_can_see));
    return bad ? ERR_INTERNAL : messages_view(rq, who->pupil, to);
}

static enum err carer_view(struct request *rq, const struct who *who, json_t *to)
{
    struct session_child *c;
    size_t n;
    enum err e = session_children(rq->store, rq->mem, who->session, rq->now, &c, &n);

    if (e) {
        return e;
    }
    json_t *list = json_array();
    int bad = 0;
    for (size_t i = 0; i < n; i++) {
        bad |= json_array_append_new(list, json_pack("{s:o,s:s,s:i}", "id", id_json(c[i].pupil.v),
                                                     "display_name", c[i].display_name, "picture",
                                                     c[i].picture));
    }
    bad |= json_object_set_new(to, "display_name", json_string("Family"));
    bad |= json_object_set_new(to, "children", list);
    return bad ? ERR_INTERNAL : OK;
}

static json_t *classes_view(const struct staff_class_row *rows, size_t n)
{
    json_t *list = json_array();

    for (size_t i = 0; i < n; i++) {
        const struct staff_class_row *r = &rows[i];
        json_t *until = r->has_until ? day_json(r->until_day) : json_null();
        json_array_append_new(list, json_pack("{s:o,s:s,s:s,s:s,s:o}", "id",
                                              id_json(r->class_id.v), "name", r->class_name, "kind",
                                              r->kind, "right", right_word(r->right), "until",
                                              until));
    }
    return list;
}

static enum err staff_view(struct request *rq, const struct who *who, json_t *to)
{
    static const unsigned wide[] = {ALLOW_PE_LEAD, ALLOW_SAFEGUARDING, ALLOW_OFFICE};
    struct staff_row s;
    struct staff_class_row *rows;
    size_t n;
    enum err e = staff_get(rq->store, rq->mem, who->staff, &s);

    if (!e) {
        const struct staff_classes_want held = {.id = who->staff, .today = clock_day(rq->now)};
        e = staff_classes(rq->store, rq->mem, &held, &rows, &n);
    }
    if (e) {
        return e;
    }
    char kept_key[KEPT_KEY_TEXT];
    keys_kept(rq->auth->keys, s.id.v, kept_key);
    /* what holds now: without safeguarding while no second person has agreed to the account */
    struct who me = *who;
    me.rights = s.reads_all ? s.rights : s.rights & ~(unsigned)ALLOW_SAFEGUARDING;
    json_t *rights = json_array();
    for (size_t i = 0; i < sizeof wide / sizeof *wide; i++) {
        if (me.rights & wide[i]) {
            json_array_append_new(rights, json_string(right_word(wide[i])));
        }
    }
    int bad = json_object_set_new(to, "display_name", json_string(s.name));
    bad |= json_object_set_new(to, "staff", id_json(s.id.v));
    bad |= json_object_set_new(to, "rights", rights);
    bad |= json_object_set_new(to, "classes", classes_view(rows, n));
    bad |= json_object_set_new(to, "must_change", json_boolean(s.must_change));
    bad |= json_object_set_new(to, "kept_key", json_string(kept_key));
    return bad ? ERR_INTERNAL : changes_for_session(rq, &me, to);
}

enum err session_view(struct request *rq, const struct who *who, json_t **out)
{
    json_t *to = json_pack("{s:s,s:s,s:s}", "role", role_words[who->role], "display_name", "",
                           "csrf_token", who->csrf);
    enum err e = to ? OK : ERR_INTERNAL;

    if (!e && who->role == ROLE_PUPIL) {
        e = pupil_view(rq, who, to);
    } else if (!e && who->role == ROLE_CARER) {
        e = carer_view(rq, who, to);
    } else if (!e) {
        e = staff_view(rq, who, to);
    }
    if (e) {
        json_decref(to);
        to = NULL;
    }
    *out = to;
    return e;
}
