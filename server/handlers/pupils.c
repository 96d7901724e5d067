/* SPDX-License-Identifier: MIT
 * Pupils: the class list, adding one, and changing what is held.
 *
 * A pupil is made in a class; groups take pupils that are there already. Who may change what is
 * finer than the route: name and year group are the teacher's and the office's, moving and leaving
 * the office's, the family page's view the office's and safeguarding's. Why a view is restricted
 * is never asked and never stored. The phrase of a two-part family card is drawn when the view is
 * set to two_part, shown once, and hashed on a hashing thread.
 * Threats: a teacher reaching a child of another class through a group; a family page opened by a
 * change that was meant for something else. */
#include "handlers/handlers.h"

#include <string.h>

#include "auth/passphrase.h"
#include "auth/scope.h"
#include "base/clock.h"
#include "base/mem.h"
#include "people_internal.h"

/* The list ------------------------------------------------------------------------------------- */

static json_t *pupil_row_json(const struct pupil_row *p)
{
    json_t *cards = json_object(), *o = json_object();
    json_put(&cards, "pupil", json_integer(p->pupil_cards));
    json_put(&cards, "family", json_integer(p->family_cards));
    json_put(&o, "id", json_id(p->id.v));
    json_put(&o, "display_name", json_string(p->display_name));
    json_put(&o, "year_group",
             p->year_group == PUPIL_NO_YEAR ? json_null() : json_integer(p->year_group));
    json_put(&o, "picture", json_integer(p->picture));
    json_put(&o, "left", json_boolean(p->left));
    json_put(&o, "cards", cards);
    return o;
}

/* Those in the class today, by name; behind them, for the office, those who have left it. */
enum err h_class_pupils_get(struct request *rq, struct reply *rp)
{
    struct pupils_query want = {.in = {rq->args[0].id}, .day = clock_day(rq->now), .now = rq->now};
    bool office = (rq->who.rights & ALLOW_OFFICE) != 0;
    json_t *list = json_array(), *o = json_object();
    enum err e = OK;
    for (int pass = 0; e == OK && pass < (office ? 2 : 1); pass++) {
        struct pupil_row *rows;
        size_t n;
        want.leavers = pass == 1;
        e = pupils_of_class(rq->store, rq->mem, &want, &rows, &n);
        for (size_t i = 0; e == OK && i < n; i++) {
            json_add(&list, pupil_row_json(&rows[i]));
        }
    }
    json_put(&o, "pupils", list);
    if (e != OK) {
        json_decref(o);
        return e;
    }
    return reply_json(rq, rp, 200, o);
}

static enum err reply_pupil(struct request *rq, struct reply *rp, int status, struct pupil_id id)
{
    json_t *p = NULL, *o;
    enum err e = pupil_json(rq, id, &p);
    if (e != OK) {
        return e;
    }
    o = json_object();
    json_put(&o, "pupil", p);
    return reply_json(rq, rp, status, o);
}

enum err h_pupil_get(struct request *rq, struct reply *rp)
{
    return reply_pupil(rq, rp, 200, (struct pupil_id){rq->args[0].id});
}

/* Adding --------------------------------------------------------------------------------------- */

static enum err add_new(struct request *rq, const struct class_row *in, struct pupil_id *id)
{
    json_t *year = json_object_get(rq->json, "year_group");
    struct pupil_new p = {.year_group = PUPIL_NO_YEAR, .in = in->id,
                          .from_day = clock_day(rq->now), .now = rq->now};
    if (in->group) {
        return request_blame(rq, "/display_name", "group", NULL);
    }
    enum err e = field_name(rq, json_object_get(rq->json, "display_name"), "/display_name",
                            PUPIL_NAME_MAX, &p.display_name);
    if (e == OK && year) {
        e = field_year(rq, year, "/year_group", &p.year_group);
    }
    if (e == OK) {
        e = pupil_make(rq->store, &p, id);
        e = e == ERR_CONFLICT ? request_blame(rq, "/display_name", "duplicate", NULL) : e;
    }
    return e == OK ? people_audit(rq, "pupil made", "pupil", id->v, "") : e;
}

static enum err add_known(struct request *rq, const struct class_row *in, struct pupil_id *id)
{
    struct pupil_row row;
    const char *other = json_object_get(rq->json, "display_name") ? "/display_name"
                        : json_object_get(rq->json, "year_group") ? "/year_group"
                                                                  : NULL;
    if (other) {
        return request_blame(rq, other, "unknown", NULL);
    }
    if (!in->group) {
        return request_blame(rq, "/pupil", "not_a_group", NULL);
    }
    enum err e = field_id(rq, json_object_get(rq->json, "pupil"), "/pupil", &id->v);
    if (e != OK) {
        return e;
    }
    e = pupil_get(rq->store, rq->mem, *id, &row);
    bool may = (rights_on_pupil(rq, id->v) & (ALLOW_TEACH | ALLOW_OFFICE)) != 0;
    if (e == ERR_NOT_FOUND || (e == OK && (row.left || !may))) {
        return request_blame(rq, "/pupil", "not_found", NULL);
    }
    if (e == OK) {
        e = pupil_join(rq->store, *id, in->id, clock_day(rq->now));
        e = e == ERR_CONFLICT ? request_blame(rq, "/pupil", "duplicate", NULL) : e;
    }
    return e == OK ? people_audit(rq, "pupil joined", "pupil", id->v, "group") : e;
}

enum err h_class_pupils_post(struct request *rq, struct reply *rp)
{
    static const char *const allowed[] = {"display_name", "year_group", "pupil", NULL};
    struct class_id in = {rq->args[0].id};
    struct class_row row;
    struct pupil_id id = {0};
    enum err e = class_get(rq->store, rq->mem, in, clock_day(rq->now), &row);
    if (e == OK) {
        e = field_known(rq, rq->json, "", allowed);
    }
    if (e == OK && row.archived) {
        e = request_blame(rq, "", "archived", NULL) == ERR_BAD_INPUT ? ERR_CONFLICT : ERR_INTERNAL;
    }
    if (e == OK) {
        e = json_object_get(rq->json, "pupil") ? add_known(rq, &row, &id) : add_new(rq, &row, &id);
    }
    return e == OK ? reply_pupil(rq, rp, 201, id) : e;
}

/* Changing ------------------------------------------------------------------------------------- */

/* From parse to fn, through the hashing thread. */
struct phrase {
    char words[PASSPHRASE_WORDS];
    char hash[PASSPHRASE_HASH];
};

static enum err read_view(struct request *rq, enum family_view *out)
{
    static const char *const words[] = {"open", "two_part", "off", NULL};
    const char *word = NULL;
    enum err e = field_word(rq, json_object_get(rq->json, "family_view"), "/family_view", words,
                            &word);
    return e == OK && !family_view_parse(word, out) ? ERR_INTERNAL : e;
}

enum err h_pupil_put_parse(struct request *rq, struct reply *rp)
{
    const char *word = json_string_value(json_object_get(rq->json, "family_view"));
    struct pupil_row row;
    (void)rp;
    if (!word || strcmp(word, family_view_word(FAMILY_TWO_PART)) != 0) {
        return OK;
    }
    enum err e = pupil_get(rq->store, rq->mem, (struct pupil_id){rq->args[0].id}, &row);
    if (e == OK && row.family_view != FAMILY_TWO_PART) {
        struct phrase *p = mem_new(rq->mem, struct phrase);
        passphrase_family_words(p->words);
        rq->input = p;
        rq->slow = true;
    }
    return e;
}

enum err h_pupil_put_slow(struct request *rq, struct reply *rp)
{
    struct phrase *p = rq->input;
    char tidy[PASSPHRASE_WORDS];
    (void)rp;
    size_t n = passphrase_family_tidy(p->words, strlen(p->words), tidy);
    return passphrase_hash(tidy, n, p->hash);
}

static enum err may_change(struct request *rq, int64_t pupil)
{
    static const struct { const char *key, *pointer; unsigned who; } fields[] = {
        {"display_name", "/display_name", ALLOW_TEACH | ALLOW_OFFICE},
        {"year_group", "/year_group", ALLOW_TEACH | ALLOW_OFFICE},
        {"left", "/left", ALLOW_OFFICE},
        {"class", "/class", ALLOW_OFFICE},
        {"family_view", "/family_view", ALLOW_OFFICE | ALLOW_SAFEGUARDING},
    };
    unsigned rights = rights_on_pupil(rq, pupil);
    enum err e = OK;
    for (size_t i = 0; i < sizeof fields / sizeof *fields; i++) {
        if (json_object_get(rq->json, fields[i].key) && !(rights & fields[i].who)) {
            e = request_blame(rq, fields[i].pointer, "not_allowed", NULL);
        }
    }
    return e;
}

static enum err put_name(struct request *rq, const struct pupil_row *p, json_t *v)
{
    const char *name = NULL;
    bool taken = false;
    struct name_place place = {.day = clock_day(rq->now), .but = p->id};
    struct home_class home = {.name = NULL};
    enum err e = field_name(rq, v, "/display_name", PUPIL_NAME_MAX, &name);
    if (e == OK) {
        e = pupil_home_class(rq->store, rq->mem, p->id, place.day, &home);
        place.in = home.id;
    }
    if (e == OK && home.id.v) {
        e = pupil_name_taken(rq->store, name, &place, &taken);
    }
    if (e == OK && taken) {
        e = request_blame(rq, "/display_name", "duplicate", NULL);
    }
    if (e != OK || strcmp(name, p->display_name) == 0) {
        return e;
    }
    e = pupil_rename(rq->store, p->id, name);
    return e == OK ? people_audit(rq, "pupil renamed", "pupil", p->id.v, "") : e;
}

static enum err put_year(struct request *rq, const struct pupil_row *p, json_t *v)
{
    int year = PUPIL_NO_YEAR;
    enum err e = field_year(rq, v, "/year_group", &year);
    if (e != OK || year == p->year_group) {
        return e;
    }
    e = pupil_year_put(rq->store, p->id, year);
    return e == OK ? people_audit(rq, "pupil year changed", "pupil", p->id.v, "") : e;
}

static enum err put_left(struct request *rq, const struct pupil_row *p, json_t *v)
{
    bool left = false;
    enum err e = field_bool(rq, v, "/left", &left);
    if (e != OK || left == p->left) {
        return e;
    }
    int32_t today = clock_day(rq->now);
    e = left ? pupil_leave(rq->store, p->id, today, rq->now)
             : pupil_return(rq->store, p->id, today);
    return e == OK ? people_audit(rq, left ? "pupil left" : "pupil returned", "pupil", p->id.v, "")
                   : e;
}

static enum err put_class(struct request *rq, const struct pupil_row *p, json_t *v)
{
    int32_t today = clock_day(rq->now);
    struct class_row to;
    struct name_place place = {.day = today, .but = p->id};
    bool taken = false, in = false;
    enum err e = field_id(rq, v, "/class", &place.in.v);
    if (e == OK) {
        e = class_get(rq->store, rq->mem, place.in, today, &to);
        e = e == ERR_NOT_FOUND ? request_blame(rq, "/class", "not_found", NULL) : e;
    }
    if (e == OK && (to.group || to.archived || p->left)) {
        e = request_blame(rq, "/class", p->left ? "left" : to.group ? "group" : "archived", NULL);
    }
    if (e == OK) {
        e = pupil_in_class(rq->store, p->id, place.in, today, &in);
    }
    if (e != OK || in) {
        return e;
    }
    e = pupil_name_taken(rq->store, p->display_name, &place, &taken);
    if (e == OK && taken) {
        e = request_blame(rq, "/class", "duplicate", NULL);
    }
    if (e == OK) {
        e = pupil_move(rq->store, p->id, place.in, today);
    }
    return e == OK ? people_audit(rq, "pupil moved", "pupil", p->id.v, "") : e;
}

static enum err put_view(struct request *rq, const struct pupil_row *p, json_t *v)
{
    const struct phrase *phrase = rq->input;
    enum family_view view;
    (void)v;
    enum err e = read_view(rq, &view);
    if (e != OK || view == p->family_view) {
        rq->input = NULL;   /* somebody was quicker: the phrase of this request opens nothing */
        return e;
    }
    if (view == FAMILY_TWO_PART && !phrase) {   /* it was two_part a moment ago */
        return ERR_BUSY;
    }
    e = pupil_family_view_put(rq->store, p->id, view, phrase ? phrase->hash : NULL);
    return e == OK ? people_audit(rq, "family view changed", "pupil", p->id.v,
                                  family_view_word(view)) : e;
}

/* The order of the members is the order of the work: a rename first, so that a move of the same
 * request looks for the new name. */
enum err h_pupil_put(struct request *rq, struct reply *rp)
{
    static const char *const allowed[] = {"display_name", "year_group", "left", "class",
                                          "family_view", NULL};
    static enum err (*const parts[])(struct request *, const struct pupil_row *, json_t *) = {
        put_name, put_year, put_left, put_class, put_view,
    };
    struct pupil_id id = {rq->args[0].id};
    struct pupil_row p;
    json_t *shown = NULL;
    enum err e = field_known(rq, rq->json, "", allowed);
    if (e == OK) {
        e = may_change(rq, id.v);
    }
    for (size_t i = 0; e == OK && allowed[i]; i++) {
        json_t *v = json_object_get(rq->json, allowed[i]);
        e = pupil_get(rq->store, rq->mem, id, &p);
        if (e == OK && v) {
            e = parts[i](rq, &p, v);
        }
    }
    if (e == OK) {
        e = pupil_json(rq, id, &shown);
    }
    if (e != OK) {
        return e;
    }
    json_t *o = json_object();
    json_put(&o, "pupil", shown);
    const struct phrase *phrase = rq->input;
    if (phrase) {
        json_put(&o, "phrase", json_string(phrase->words));
    }
    return reply_json(rq, rp, 200, o);
}
