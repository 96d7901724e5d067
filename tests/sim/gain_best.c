/* SPDX-License-Identifier: MIT
 * The best of a hand-in against its first: what luck alone gives, and the two tests of it. */
#include <stdio.h>

#include "assess/gain.h"
#include "sim.h"

/* Attempts of one hand-in of a child that does not change. */
struct hand_in {
    const struct scheme *scheme;
    int m;
    int counts[5][SCORE_ZONES_MAX];
    int score[5];
};

static void hand_in_draw(struct hand_in *h, const struct thrower *t, struct rng *r)
{
    for (int i = 0; i < h->m; i++) {
        throw_counts(t, h->scheme->throws, r, h->counts[i]);
        h->score[i] = scheme_earned(h->scheme, h->counts[i]);
    }
}

static int best_at(const struct hand_in *h)
{
    int at = 0;
    for (int i = 1; i < h->m; i++) {
        at = h->score[i] > h->score[at] ? i : at;
    }
    return at;
}

struct luck {
    struct tally gains, by, naive, aware;
};

/* `aware`: the selection-aware test too, which is slow, on one pupil in ten. */
static void luck_add(struct luck *l, const struct hand_in *h, bool aware)
{
    int at = best_at(h), gain = h->score[at] - h->score[0];
    struct scoring s = scheme_scoring(h->scheme);
    struct gain_tails t;
    tally_add(&l->gains, gain > 0);
    tally_add(&l->by, gain);
    if (gain_throws(&s, h->counts[0], h->counts[at], sim_room(), &t)) {
        tally_add(&l->naive, at > 0 && t.up <= 0.10);
    }
    if (aware) {
        struct gain_attempts a = {h->counts, h->m, gain};
        double p;
        if (gain_first_to_best(&s, &a, sim_room(), &p)) {
            tally_add(&l->aware, p <= 0.10);
        }
    }
}

void sim_gain_best(void)
{
    struct luck zones = {0}, three = {0}, five = {0};
    struct rng r;
    rng_seed(&r, "best");
    size_t pupils = sim_pupils(20000);
    for (size_t i = 0; i < pupils; i++) {
        struct hand_in h = {.scheme = &slide, .m = 3};
        struct thrower t = thrower_of(&slide, crowd_sigma(&crowd_usual, &r), SLIDE_DISTANCE);
        hand_in_draw(&h, &t, &r);
        luck_add(&zones, &h, i % 10 == 0);
    }
    for (size_t i = 0; i < pupils; i++) {
        struct hand_in h = {.scheme = &hit_or_miss, .m = 3};
        const struct thrower t = {2, {0.5, 0.5}};  /* reproduces what is published */
        hand_in_draw(&h, &t, &r);
        luck_add(&three, &h, i % 10 == 0);
        h.m = 5;
        hand_in_draw(&h, &t, &r);
        luck_add(&five, &h, false);
    }
    figure_tally("best.gains", &zones.gains);
    figure_tally("best.by", &zones.by);
    figure_tally("best.naive.zones", &zones.naive);
    figure_tally("best.naive.tries3", &three.naive);
    figure_tally("best.naive.tries5", &five.naive);
    figure_tally("best.aware.zones", &zones.aware);
    figure_tally("best.aware.tries3", &three.aware);
}
