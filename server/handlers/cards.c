/* SPDX-License-Identifier: MIT
 * Making, listing and cancelling cards.
 *
 * A card's secrets are in the answer that makes it and nowhere else. Family cards are made by the
 * office, which knows who may have one; a class's teacher makes pupil cards. Every card made or
 * cancelled leaves an audit row with ids only.
 * A class-wide order is all or nothing: it is one transaction. */
#include "sign_in_internal.h"

#include <string.h>

#include "auth/audit.h"
#include "auth/auth.h"
#include "auth/cards.h"
#include "base/clock.h"
#include "base/mem.h"
#include "base/text.h"
#include "handlers/handlers.h"
#include "http/reply.h"
#include "store/cards.h"

enum { ORDER_PUPILS = 200 };

struct order {
    enum card_holder holder;
    const char *label;          /* NULL: the first free one */
    bool replace;
    bool others;                /* with replace: every live kind anew, not the first alone */
    int64_t replace_card;       /* one pupil: this card goes */
    bool some;                  /* "pupils" was given */
    int64_t pupil[ORDER_PUPILS];
    size_t n;
};

struct made {
    json_t *cards;
    json_t *kept;               /* children whose further cards stay live */
};

/* Reading -------------------------------------------------------------------------------------- */

static enum err read_holder(struct request *rq, struct order *o)
{
    const char *word;
    size_t n;
    enum err e = body_text(rq, "/holder", true, &word, &n);

    if (e) {
        return e;
    }
    if (strcmp(word, "pupil") != 0 && strcmp(word, "family") != 0) {
        return request_blame(rq, "/holder", "unknown", NULL);
    }
    o->holder = strcmp(word, "family") == 0 ? CARD_FOR_FAMILY : CARD_FOR_PUPIL;
    if (o->holder == CARD_FOR_FAMILY && !(rq->who.rights & ALLOW_OFFICE)) {
        (void)request_blame(rq, "/holder", "office_only", NULL);
        return ERR_FORBIDDEN;
    }
    return OK;
}

static enum err read_label(struct request *rq, struct order *o)
{
    const char *word;
    size_t n;
    enum err e = body_text(rq, "/label", false, &word, &n);

    if (e || !word) {
        return e;
    }
    o->label = card_label(o->holder, word);
    return o->label ? OK : request_blame(rq, "/label", "unknown", NULL);
}

/* Whether a replaced set takes further cards along. Left out: they stay, because one of them lies
 * in a second home, to which nobody has carried a new one. */
static enum err read_replace(struct request *rq, struct order *o)
{
    const char *word;
    size_t n;
    enum err e = body_flag(rq, "/replace", &o->replace);

    e = e ? e : body_text(rq, "/others", false, &word, &n);
    if (e || !word) {
        return e;
    }
    if (!o->replace || o->label) {
        return request_blame(rq, "/others", "not_allowed", NULL);
    }
    o->others = strcmp(word, "remake") == 0;
    return o->others || strcmp(word, "keep") == 0 ? OK
                                                  : request_blame(rq, "/others", "unknown", NULL);
}

static enum err read_pupils(struct request *rq, struct order *o)
{
    const json_t *list = json_object_get(rq->json, "pupils");
    enum err e = OK;

    if (!list) {
        return OK;
    }
    size_t n = json_array_size(list);
    if (!json_is_array(list) || n == 0) {
        return request_blame(rq, "/pupils", "required", NULL);
    }
    if (n > ORDER_PUPILS) {
        return request_blame(rq, "/pupils", "too_many", NULL);
    }
    o->some = true;
    for (size_t i = 0; i < n; i++) {
        const char *text = json_string_value(json_array_get(list, i));
        if (!text || !text_id(text, &o->pupil[i])) {
            e = request_blame(rq, mem_printf(rq->mem, "/pupils/%zu", i), "not_an_id", NULL);
        }
    }
    o->n = n;
    return e;
}

static enum err read_replace_card(struct request *rq, struct order *o)
{
    const char *text;
    size_t n;
    enum err e = body_text(rq, "/replace", false, &text, &n);

    if (e || !text) {
        return e;
    }
    return text_id(text, &o->replace_card) ? OK : request_blame(rq, "/replace", "not_an_id", NULL);
}

/* Making --------------------------------------------------------------------------------------- */

static enum err note(struct request *rq, const char *action, const char *kind, int64_t id,
                     const char *code)
{
    char actor[32], object[48];

    audit_actor(&rq->who, actor);
    audit_object(kind, id, object);
    return audit_add(rq->store, rq->auth->keys, rq->now, actor, action, object, code);
}

static json_t *card_view(const struct card_made *c)
{
    return json_pack("{s:o,s:s,s:{s:o,s:s,s:s},s:s,s:i,s:s,s:s,s:{s:i,s:s}}", "id",
                     id_json(c->id.v), "for", card_holder_word(c->holder), "pupil", "id",
                     id_json(c->pupil.v), "display_name", c->display_name, "class", c->class_name,
                     "label", c->label, "picture", c->picture, "code", c->code, "url", c->url, "qr",
                     "size", c->qr.size, "path", c->qr.path);
}

static enum err make_one(struct request *rq, const struct order *o, int64_t pupil,
                         const char *label, json_t *list)
{
    struct card_made made;
    struct card_order order = {
        .keys = rq->auth->keys,
        .origin = rq->origin_base,
        .pupil = {pupil},
        .holder = o->holder,
        .label = label,
        .by = rq->who.staff,
        .now = rq->now,
    };
    enum err e = card_make(rq->store, rq->mem, &order, &made);

    e = e ? e : note(rq, "card made", "pupil", pupil, card_holder_word(o->holder));
    if (e) {
        return e;
    }
    return json_array_append_new(list, card_view(&made)) ? ERR_INTERNAL : OK;
}

static enum err note_kept(const struct card_pupil *p, const struct card_split *split, json_t *kept)
{
    json_t *words = json_array();

    for (size_t i = 0; i < split->kept_n; i++) {
        json_array_append_new(words, json_string(split->kept[i].label));
    }
    json_t *row = json_pack("{s:{s:o,s:s},s:o}", "pupil", "id", id_json(p->pupil.v),
                            "display_name", p->display_name, "labels", words);
    return json_array_append_new(kept, row) ? ERR_INTERNAL : OK;
}

/* All of them end before the first is made: three may be live. */
static enum err remake(struct request *rq, const struct order *o, const struct card_pupil *p,
                       struct made *to)
{
    const struct card_again want = {.pupil = p->pupil, .holder = o->holder, .label = o->label,
                                    .others = o->others, .now = rq->now};
    struct card_split split;
    enum err e = cards_split(rq->store, rq->mem, &want, &split);

    for (size_t i = 0; !e && i < split.again_n; i++) {
        e = card_cancel(rq->store, split.again[i].id, rq->now);
        e = e ? e : note(rq, "card cancelled", "card", split.again[i].id.v, "replaced");
    }
    for (size_t i = 0; !e && i < split.again_n; i++) {
        e = make_one(rq, o, p->pupil.v, card_label(o->holder, split.again[i].label), to->cards);
    }
    if (!e && split.again_n == 0) {
        e = make_one(rq, o, p->pupil.v, o->label, to->cards);
    }
    return e || split.kept_n == 0 ? e : note_kept(p, &split, to->kept);
}

static const struct card_pupil *find_pupil(const struct card_pupil *p, size_t n, int64_t id)
{
    for (size_t i = 0; i < n; i++) {
        if (p[i].pupil.v == id) {
            return &p[i];
        }
    }
    return NULL;
}

/* Each must be in the class and be named once. */
static enum err check_pupils(struct request *rq, const struct order *o, const struct card_pupil *p,
                             size_t n)
{
    enum err e = OK;

    for (size_t i = 0; i < o->n; i++) {
        const struct card_pupil *found = find_pupil(p, n, o->pupil[i]);
        const char *code = found ? NULL : "not_in_class";
        for (size_t k = 0; k < i; k++) {
            code = o->pupil[k] == o->pupil[i] ? "twice" : code;
        }
        if (code) {
            e = request_blame(rq, mem_printf(rq->mem, "/pupils/%zu", i), code, NULL);
        }
    }
    return e;
}

static enum err make_for(struct request *rq, const struct order *o, const struct card_pupil *p,
                         struct made *to)
{
    enum err e = o->replace ? remake(rq, o, p, to)
                            : make_one(rq, o, p->pupil.v, o->label, to->cards);

    if (e == ERR_CONFLICT) {
        const char *pointer = "/holder";
        for (size_t i = 0; i < o->n; i++) {
            pointer = o->pupil[i] == p->pupil.v ? mem_printf(rq->mem, "/pupils/%zu", i) : pointer;
        }
        (void)request_blame(rq, pointer, "three_live", NULL);
    }
    return e;
}

static bool is_named(const struct order *o, int64_t pupil)
{
    for (size_t i = 0; i < o->n; i++) {
        if (o->pupil[i] == pupil) {
            return true;
        }
    }
    return false;
}

static json_t *held_view(const struct card_pupil *p)
{
    return json_pack("{s:o,s:s}", "id", id_json(p->pupil.v), "display_name", p->display_name);
}

/* For a whole class, family cards that the office holds back are left out and named: an envelope
 * that goes home with the class is the wrong way for them. */
enum err h_class_cards_post(struct request *rq, struct reply *rp)
{
    static const char *const members[] = {"holder", "pupils", "replace", "others", "label",
                                          NULL};
    struct order *o = mem_new(rq->mem, struct order);
    struct class_id in = {rq->args[0].id};
    struct card_pupil *p;
    size_t n;
    enum err e = body_only(rq, members);

    e = e ? e : read_holder(rq, o);
    e = e ? e : read_label(rq, o);
    e = e ? e : read_pupils(rq, o);
    e = e ? e : read_replace(rq, o);
    e = e ? e : card_pupils_of_class(rq->store, rq->mem, in, rq->now, &p, &n);
    e = e ? e : check_pupils(rq, o, p, n);
    if (e) {
        return e;
    }
    struct made to = {request_own_json(rq, json_array()), request_own_json(rq, json_array())};
    json_t *held = request_own_json(rq, json_array());
    for (size_t i = 0; !e && i < n; i++) {
        bool named = is_named(o, p[i].pupil.v);
        bool wanted = named || (!o->some && (o->replace || p[i].live[o->holder] == 0));
        if (wanted && !named && card_held_back(&p[i], o->holder)) {
            e = json_array_append_new(held, held_view(&p[i])) ? ERR_INTERNAL : OK;
        } else if (wanted) {
            e = make_for(rq, o, &p[i], &to);
        }
    }
    return e ? e
             : reply_json(rq, rp, 201, json_pack("{s:O,s:O,s:O}", "cards", to.cards, "kept",
                                                 to.kept, "held_back", held));
}

enum err h_pupil_cards_post(struct request *rq, struct reply *rp)
{
    static const char *const members[] = {"holder", "label", "replace", NULL};
    struct order *o = mem_new(rq->mem, struct order);
    struct pupil_id pupil = {rq->args[0].id};
    struct card_pupil p;
    enum err e = body_only(rq, members);

    e = e ? e : read_holder(rq, o);
    e = e ? e : read_label(rq, o);
    e = e ? e : read_replace_card(rq, o);
    e = e ? e : card_pupil_get(rq->store, rq->mem, pupil, rq->now, &p);
    if (!e && o->replace_card) {
        struct card_row old;
        struct card_id id = {o->replace_card};
        e = card_by_id(rq->store, rq->mem, id, rq->now, &old);
        if (e == ERR_NOT_FOUND || e == ERR_CARD_ENDED ||
            (!e && (old.pupil.v != pupil.v || old.holder != o->holder))) {
            return request_blame(rq, "/replace", "not_a_live_card", NULL);
        }
        e = e ? e : card_cancel(rq->store, id, rq->now);
        e = e ? e : note(rq, "card cancelled", "card", id.v, "replaced");
    }
    if (e) {
        return e;
    }
    struct made to = {request_own_json(rq, json_array()), NULL};
    e = make_for(rq, o, &p, &to);
    return e ? e : reply_json(rq, rp, 201, json_pack("{s:O}", "cards", to.cards));
}

/* Listing and cancelling ----------------------------------------------------------------------- */

static json_t *row_view(const struct card_list_row *c)
{
    json_t *used = c->last_used_day ? day_json(c->last_used_day) : json_null();
    json_t *ends = c->expires_at ? day_json(clock_day(c->expires_at)) : json_null();

    return json_pack("{s:o,s:s,s:s,s:o,s:o,s:o,s:b}", "id", id_json(c->id.v), "for",
                     card_holder_word(c->holder), "label", c->label, "made_on",
                     day_json(c->made_day), "last_used_on", used, "expires_on", ends, "live",
                     c->live);
}

enum err h_pupil_cards_get(struct request *rq, struct reply *rp)
{
    struct pupil_id pupil = {rq->args[0].id};
    struct card_list_row *rows;
    size_t n;
    enum err e = cards_of_pupil(rq->store, rq->mem, pupil, rq->now, &rows, &n);

    if (e) {
        return e;
    }
    json_t *list = json_array();
    for (size_t i = 0; i < n; i++) {
        json_array_append_new(list, row_view(&rows[i]));
    }
    return reply_json(rq, rp, 200, json_pack("{s:o}", "cards", list));
}

/* Who has which kinds, for whoever is about to make cards for the class: family cards are the
 * office's to make. */
enum err h_class_cards_get(struct request *rq, struct reply *rp)
{
    struct class_id in = {rq->args[0].id};
    bool office = (rq->who.rights & ALLOW_OFFICE) != 0;
    struct card_kind *k;
    size_t n;
    json_t *list = request_own_json(rq, json_array()), *labels = NULL;
    enum err e = card_kinds_of_class(rq->store, rq->mem, in, rq->now, &k, &n);

    for (size_t i = 0; !e && i < n; i++) {
        if (k[i].holder == CARD_FOR_FAMILY && !office) {
            continue;
        }
        if (i == 0 || k[i].pupil.v != k[i - 1].pupil.v || k[i].holder != k[i - 1].holder) {
            labels = json_array();
            e = json_array_append_new(
                    list, json_pack("{s:{s:o,s:s},s:s,s:o}", "pupil", "id", id_json(k[i].pupil.v),
                                    "display_name", k[i].display_name, "for",
                                    card_holder_word(k[i].holder), "labels", labels))
                    ? ERR_INTERNAL
                    : OK;
        }
        if (!e) {
            e = json_array_append_new(labels, json_string(k[i].label)) ? ERR_INTERNAL : OK;
        }
    }
    return e ? e : reply_json(rq, rp, 200, json_pack("{s:O}", "live", list));
}

enum err h_card_delete(struct request *rq, struct reply *rp)
{
    struct card_id id = {rq->args[0].id};
    enum err e = card_cancel(rq->store, id, rq->now);

    e = e ? e : note(rq, "card cancelled", "card", id.v, "cancelled");
    if (e) {
        return e;
    }
    reply_no_content(rp);
    return OK;
}
