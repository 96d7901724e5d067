/* SPDX-License-Identifier: MIT
 * A proposal for "how sure", beside what the server says today. It changes nothing in the server.
 *
 * Where today's rule says too much need not be spread evenly. A band at either end can come as
 * often as is said, and one between two others less often: evidence of, say, twos alone is read as
 * "throws twos", but nobody's aim throws twos alone; the next day holds fives and misses again.
 * So, p being what is said today of the observed band:
 *
 *   a band at either end, and every band of successes    p' = p
 *   between, best                                        p' = min(p, 0.62)
 *   between, middle or mean, up to four attempts         p' = min(p, 0.67)
 *   between, middle or mean, five attempts or more       p' = p, above 0.6: 0.6 + 0.85 (p - 0.6)
 *   successes                                            weight of evidence 0.62 instead of 0.8
 *   labels on p'                                         SURE from 0.76; FAIRLY, LEANING as today
 *
 * It was fitted to another way to score than the slide: all that it says here is out of sample. And
 * it gains little here, where today's rule is more often too modest. At a day effect of 0.1 the
 * usual crowd's largest said - came goes from 0.077 to 0.063; with close aim and a day effect of
 * 0.2 it is larger than today's. */
#include <stdio.h>
#include <string.h>

#include "sure.h"

struct sayer sayer_proposed(void)
{
    struct sayer s = sayer_default();
    s.tries.weight = 0.62;
    s.between[BAND_BEST][0] = s.between[BAND_BEST][1] = (struct knee){0.62, 0};
    s.between[BAND_MIDDLE][0] = s.between[BAND_MEAN][0] = (struct knee){0.67, 0};
    s.between[BAND_MIDDLE][1] = s.between[BAND_MEAN][1] = (struct knee){0.60, 0.85};
    s.sure = 0.76;
    return s;
}

static const struct design ways[] = {
    {"best 3, 4 bands", false, {0, 0}, BAND_BEST, 3, 1, 3, {7, 12, 17}, .tau = 0},
    {"middle 3, 4 bands", false, {0, 0}, BAND_MIDDLE, 3, 1, 3, {7, 12, 17}, .tau = 0},
    {"mean 3, 4 bands", false, {0, 0}, BAND_MEAN, 3, 1, 3, {7, 12, 17}, .tau = 0},
    {"best 5, 4 bands", false, {0, 0}, BAND_BEST, 5, 1, 3, {7, 12, 17}, .tau = 0},
    {"middle 5, 4 bands", false, {0, 0}, BAND_MIDDLE, 5, 1, 3, {7, 12, 17}, .tau = 0},
    {"mean 5, 4 bands", false, {0, 0}, BAND_MEAN, 5, 1, 3, {7, 12, 17}, .tau = 0},
    {"best 3, 3 bands", false, {0, 0}, BAND_BEST, 3, 1, 2, {10, 15, 0}, .tau = 0},
    {"middle 3, 3 bands", false, {0, 0}, BAND_MIDDLE, 3, 1, 2, {10, 15, 0}, .tau = 0},
    {"mean 3, 3 bands", false, {0, 0}, BAND_MEAN, 3, 1, 2, {10, 15, 0}, .tau = 0},
    {"middle, 3 bands, two pooled", false, {0, 0}, BAND_MIDDLE, 3, 2, 2, {10, 15, 0},
     .latest = true},
    {"middle, 4 bands, two pooled", false, {0, 0}, BAND_MIDDLE, 3, 2, 3, {7, 12, 17}, .tau = 0},
    {"best, 4 bands, two pooled", false, {0, 0}, BAND_BEST, 3, 2, 3, {7, 12, 17}, .tau = 0},
    {"best 3, lines 5/10/15", false, {0, 0}, BAND_BEST, 3, 1, 3, {5, 10, 15}, .tau = 0},
    {"middle 3, lines 5/10/15", false, {0, 0}, BAND_MIDDLE, 3, 1, 3, {5, 10, 15}, .tau = 0},
    {"successes, best 3", true, {0, 0}, BAND_BEST, 3, 1, 3, {4, 7, 10}, .tau = 0},
    {"successes, middle 3", true, {0, 0}, BAND_MIDDLE, 3, 1, 3, {4, 7, 10}, .tau = 0},
};
enum { WAYS = sizeof ways / sizeof *ways };

/* Narrower bands at the top: the most that can be said of a band between depends on how wide it is,
 * and that shows. */
static bool other_lines(const struct design *d)
{
    return d->line[0] == 5;
}

struct worst {
    double gap, sure;
};

/* One label: share, said, came. Labels that hardly anybody gets say nothing. */
static void cell(const struct labelled *l, int label, struct worst *worst)
{
    double share = l->said[label].n / l->pupils;
    double said = tally_mean(&l->said[label]), came = tally_mean(&l->came[label]);
    if (share < 0.005) {
        printf("  %5s %19s", "-", "");
        return;
    }
    printf("  %4.1f%% %.3f>%.3f %+.3f", 100 * share, said, came, said - came);
    worst->gap = said - came > worst->gap ? said - came : worst->gap;
}

static void compare(const struct design *d, struct worst worst[2])
{
    const struct sayer sayers[2] = {sayer_default(), sayer_proposed()};
    double sure[2];
    for (int i = 0; i < 2; i++) {
        struct labelled l;
        sure_run(d, &sayers[i], sim_pupils(40000), &l);
        printf("%-28s %-8s", i == 0 ? d->id : "", i == 0 ? "today" : "proposed");
        for (int label = LABELS - 1; label >= 0; label--) {
            cell(&l, label, &worst[i]);
        }
        printf("\n");
        sure[i] = l.said[BAND_SURE].n / l.pupils;
    }
    worst[1].sure = sure[1] - sure[0] < worst[1].sure ? sure[1] - sure[0] : worst[1].sure;
}

static void run_world(double median, double tau)
{
    struct worst worst[2][2] = {{{-1, 0}, {-1, 0}}, {{-1, 0}, {-1, 0}}};
    printf("\nsigma %.3f, day effect %.1f (successes: odds x %.2f, log odds %.2f)\n", median, tau,
           median / 0.08, 1.5 * tau);
    printf("%-37s", "");
    printf("  %-25s  %-25s  %-25s  %s\n", "SURE share said>came", "FAIRLY", "LEANING",
           "NOT_ENOUGH");
    for (int i = 0; i < WAYS; i++) {
        struct design d = ways[i];
        d.crowd = d.tries ? (struct crowd){median / 0.08, 1} : (struct crowd){median, 0.5};
        d.tau = d.tries ? 1.5 * tau : tau;
        compare(&d, worst[other_lines(&d)]);
    }
    for (int i = 0; i < 2; i++) {
        printf("%s: largest said - came today %+.3f, proposed %+.3f; SURE rarer by at most %.3f\n",
               i == 0 ? "all but lines 5/10/15" : "lines 5/10/15", worst[i][0].gap, worst[i][1].gap,
               -worst[i][1].sure);
    }
}

void sim_candidates(void)
{
    static const double crowds[] = {0.08, 0.045, 0.14};
    for (size_t c = 0; c < sizeof crowds / sizeof *crowds; c++) {
        run_world(crowds[c], 0.1);
        run_world(crowds[c], 0);
        run_world(crowds[c], 0.2);
    }
}
