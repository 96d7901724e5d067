/* SPDX-License-Identifier: MIT
 * What a line's tries point to, kept with a connection, so that a pupil is worked out again only
 * when something of theirs, the lines, the unit's rule or the class's variability changed.
 *
 * Invariant: the key holds everything the answer depends on, in full; a number of bits stands for
 * nothing. Hand-ins never change once stored, and one that was set aside is not in the key of the
 * next question. Bounded: SETS x WAYS answers (about 0.4 MiB), the oldest of a set goes first. */
#include <string.h>

#include "base/mem.h"
#include "suggest_internal.h"

enum { SETS = 256, WAYS = 4 };

struct entry {
    bool used;
    struct memo_key key;
    struct memo_value value;
};

struct memo {
    struct entry entry[SETS][WAYS];
    uint8_t next[SETS];
    struct suggest_counts counts;
};

static struct memo *memo_of(struct store *st)
{
    void **slot = store_slot(st, SLOT_MEMO);
    if (*slot == NULL) {
        *slot = mem_new(st, struct memo);
    }
    return *slot;
}

/* Spreads keys over the sets; two keys of one set cost a comparison, no more. */
static size_t set_of(const struct memo_key *k)
{
    uint64_t h = (uint64_t)k->table.revision.v * 0x9E3779B97F4A7C15u;
    for (size_t i = 0; i < k->n; i++) {
        h = (h ^ (uint64_t)k->seq[i]) * 0x9E3779B97F4A7C15u;
        h ^= h >> 29;
    }
    return (size_t)(h >> 32) % SETS;
}

static bool same_number(double a, double b)
{
    return !(a < b) && !(a > b);
}

static bool same_key(const struct memo_key *a, const struct memo_key *b)
{
    if (a->n != b->n || a->pupil != b->pupil || a->step_mm != b->step_mm ||
        a->spread != b->spread || !table_key_same(&a->table, &b->table)) {
        return false;
    }
    if (a->spread && !(same_number(a->s_w, b->s_w) && same_number(a->nu, b->nu) &&
                       same_number(a->rho, b->rho))) {
        return false;
    }
    return memcmp(a->seq, b->seq, a->n * sizeof a->seq[0]) == 0 &&
           memcmp(a->received_at, b->received_at, a->n * sizeof a->received_at[0]) == 0;
}

const struct memo_value *memo_find(struct store *st, const struct memo_key *key)
{
    struct memo *m = memo_of(st);
    struct entry *set = m->entry[set_of(key)];
    for (size_t i = 0; i < WAYS; i++) {
        if (set[i].used && same_key(&set[i].key, key)) {
            m->counts.remembered++;
            return &set[i].value;
        }
    }
    return NULL;
}

void memo_keep(struct store *st, const struct memo_key *key, const struct memo_value *v)
{
    struct memo *m = memo_of(st);
    m->counts.made++;
    if (key->n > MEMO_HAND_INS) {
        return;
    }
    size_t s = set_of(key);
    m->entry[s][m->next[s]] = (struct entry){true, *key, *v};
    m->next[s] = (uint8_t)((m->next[s] + 1) % WAYS);
}

struct suggest_counts suggest_counts(struct store *st)
{
    return memo_of(st)->counts;
}
