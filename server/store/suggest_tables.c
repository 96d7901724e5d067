/* SPDX-License-Identifier: MIT
 * Tables of "how sure" and the workspace they are made in, kept with a connection: they depend on
 * a revision (which never changes), the lines and the unit's rule, so a class costs one. */
#include <string.h>

#include "base/mem.h"
#include "suggest_internal.h"

enum { TABLES = 64 };

struct kept {
    struct table_key key;
    bool made;                  /* false: over the budget, and that is remembered too */
    struct zones_table table;
    void *mem;
};

struct shelf {
    struct room room;
    struct kept kept[TABLES];
    size_t n, next;
};

static struct shelf *shelf_of(struct store *st)
{
    void **slot = store_slot(st, SLOT_BAND_TABLES);
    if (*slot == NULL) {
        struct shelf *s = mem_new(st, struct shelf);
        unsigned char *block = talloc_size(s, ROOM_ENOUGH + 16);
        if (block == NULL) {
            s->room = (struct room){0};
        } else {
            s->room.base = block + (16 - (uintptr_t)block % 16) % 16;
            s->room.size = ROOM_ENOUGH;
        }
        *slot = s;
    }
    return *slot;
}

struct room *suggest_room(struct store *st)
{
    struct shelf *s = shelf_of(st);
    s->room.used = 0;
    return &s->room;
}

void table_key_of(const struct activity *a, const struct band_rule *r, struct table_key *out)
{
    *out = (struct table_key){
        .revision = a->revision, .stat = r->stat, .m_new = r->m_new, .lines = r->lines,
    };
    memcpy(out->line, r->line, r->lines * sizeof *r->line);
}

bool table_key_same(const struct table_key *a, const struct table_key *b)
{
    if (a->revision.v != b->revision.v || a->stat != b->stat || a->m_new != b->m_new ||
        a->lines != b->lines) {
        return false;
    }
    for (size_t i = 0; i < a->lines; i++) {
        if (a->line[i] < b->line[i] || a->line[i] > b->line[i]) {
            return false;
        }
    }
    return true;
}

static void keep(struct kept *k, const struct zones_table *t)
{
    size_t ways = t->ways * (size_t)t->zones, shares = t->ways * t->lines;
    uint8_t *v = mem_array(k->mem, uint8_t, ways);
    double *share = mem_array(k->mem, double, shares);
    memcpy(v, t->v, ways);
    memcpy(share, t->share, shares * sizeof *share);
    k->table = *t;
    k->table.v = v;
    k->table.share = share;
    k->made = true;
}

const struct zones_table *suggest_table(struct store *st, const struct table_key *key,
                                        const struct scoring *s, const struct band_rule *r)
{
    struct shelf *sh = shelf_of(st);
    for (size_t i = 0; i < sh->n; i++) {
        if (table_key_same(&sh->kept[i].key, key)) {
            return sh->kept[i].made ? &sh->kept[i].table : NULL;
        }
    }
    struct kept *k = &sh->kept[sh->next];
    talloc_free(k->mem);
    *k = (struct kept){.key = *key, .mem = talloc_new(sh)};
    sh->next = (sh->next + 1) % TABLES;
    sh->n = sh->n < TABLES ? sh->n + 1 : TABLES;
    struct zones_table t;
    sh->room.used = 0;
    if (zones_table_make(s, r, &sh->room, &t)) {
        keep(k, &t);
    }
    sh->room.used = 0;
    return k->made ? &k->table : NULL;
}
