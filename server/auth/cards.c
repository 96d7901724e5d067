/* SPDX-License-Identifier: MIT
 * Making cards.
 *
 * Invariants: at most three live cards a child and holder, counted inside the transaction that
 * adds one; secrets exist in the answer that shows them and nowhere else; a family card ends on
 * 31 August. */
#include "auth/cards.h"

#include <string.h>

#include "base/clock.h"
#include "base/mem.h"
#include "base/rand.h"
#include "store/school.h"

enum { LABELS = 3, TRIES = 4 };

struct card_secrets {
    void *ctx;
    char code[CARD_CODE_TEXT];
    char key[CARD_KEY_TEXT];
};

static const char *const labels[2][LABELS] = {
    [CARD_FOR_PUPIL] = {"home", "other_home", "school"},
    [CARD_FOR_FAMILY] = {"card_1", "card_2", "card_3"},
};

const char *card_label(enum card_holder holder, const char *word)
{
    for (int i = 0; word && i < LABELS; i++) {
        if (strcmp(labels[holder][i], word) == 0) {
            return labels[holder][i];
        }
    }
    return NULL;
}

/* The first label that no live card of this holder has, and how many are live. */
static enum err free_label(struct store *st, void *ctx, const struct card_order *o,
                           const char **label, int *live)
{
    struct card_list_row *rows;
    size_t n;
    bool used[LABELS] = {false};
    enum err e = cards_of_pupil(st, ctx, o->pupil, o->now, &rows, &n);

    *live = 0;
    *label = NULL;
    for (size_t i = 0; !e && i < n; i++) {
        if (!rows[i].live || rows[i].holder != o->holder) {
            continue;
        }
        (*live)++;
        for (int k = 0; k < LABELS; k++) {
            used[k] = used[k] || strcmp(rows[i].label, labels[o->holder][k]) == 0;
        }
    }
    for (int k = LABELS - 1; k >= 0; k--) {
        *label = used[k] ? *label : labels[o->holder][k];
    }
    *label = *label ? *label : labels[o->holder][0];
    return e;
}

static int place_of(const struct card_list_row *c)
{
    int i = 0;

    while (i < LABELS && strcmp(labels[c->holder][i], c->label) != 0) {
        i++;
    }
    return i;
}

/* The live cards of this holder with that place among the labels, in the order they were made. */
static void pick(const struct card_list_row *rows, size_t n, const struct card_again *want,
                 int place, struct card_split *out)
{
    bool first = out->again_n == 0;

    for (size_t i = 0; i < n; i++) {
        if (!rows[i].live || rows[i].holder != want->holder || place_of(&rows[i]) != place) {
            continue;
        }
        bool again = want->label ? strcmp(want->label, rows[i].label) == 0 : want->others || first;
        if (again) {
            out->again[out->again_n++] = rows[i];
        } else {
            out->kept[out->kept_n++] = rows[i];
        }
    }
}

enum err cards_split(struct store *st, void *ctx, const struct card_again *want,
                     struct card_split *out)
{
    struct card_list_row *rows;
    size_t n;
    enum err e = cards_of_pupil(st, ctx, want->pupil, want->now, &rows, &n);

    if (e) {
        return e;
    }
    *out = (struct card_split){
        .again = mem_array(ctx, struct card_list_row, n + 1),
        .kept = mem_array(ctx, struct card_list_row, n + 1),
    };
    for (int place = 0; place < LABELS; place++) {
        pick(rows, n, want, place, out);
    }
    return OK;
}

/* 31 August, 23:59, of this school year; of the next, when that is over. */
static int64_t family_end(int64_t now)
{
    int32_t last = school_year_last(clock_day(now));
    int64_t at = clock_day_at(last, 23, 59);

    return at > now ? at : clock_day_at(school_year_last(last + 1), 23, 59);
}

/* Draws secrets until they are new. A clash is a chance of one in millions of millions for a key;
 * for a code of a school of thousands of cards about one in ten million. */
static enum err store_new(struct store *st, const struct card_order *o, struct card_new *c,
                          struct card_secrets *s)
{
    struct card_row other;
    char code[CARD_FAMILY + 1];

    for (int i = 0; i < TRIES; i++) {
        card_code_new(o->holder == CARD_FOR_FAMILY ? CARD_FAMILY : CARD_PUPIL, code);
        card_code_hash(o->keys, code, c->code_mac);
        card_key_new(s->key, c->key_hash);
        enum err e = card_by_code(st, s->ctx, c->code_mac, o->now, &other);
        if (e == ERR_NOT_FOUND) {
            card_code_print(code, s->code);
            return card_put(st, c);
        }
        if (e && e != ERR_CARD_ENDED) {
            return e;
        }
    }
    return ERR_INTERNAL;
}

enum err card_make(struct store *st, void *ctx, const struct card_order *o, struct card_made *out)
{
    struct card_pupil p;
    struct card_secrets s = {.ctx = ctx};
    const char *label;
    int live;
    enum err e = card_pupil_get(st, ctx, o->pupil, o->now, &p);

    if (!e) {
        e = free_label(st, ctx, o, &label, &live);
    }
    if (!e && live >= CARDS_LIVE_MAX) {
        e = ERR_CONFLICT;
    }
    if (e) {
        return e;
    }
    struct card_new c = {
        .id = {rand_id()},
        .pupil = o->pupil,
        .holder = o->holder,
        .label = o->label ? o->label : label,
        .made_day = clock_day(o->now),
        .by = o->by,
        .expires_at = o->holder == CARD_FOR_FAMILY ? family_end(o->now) : 0,
    };
    e = store_new(st, o, &c, &s);
    if (e) {
        return e;
    }
    *out = (struct card_made){
        .id = c.id, .holder = c.holder, .label = c.label, .pupil = p.pupil,
        .display_name = p.display_name, .class_name = p.class_name, .picture = p.picture,
    };
    memcpy(out->code, s.code, sizeof out->code);
    out->url = mem_printf(ctx, "%s/%s#k=%s", o->origin,
                          o->holder == CARD_FOR_FAMILY ? "c" : "", s.key);
    return qr_make(ctx, out->url, &out->qr);
}
