/* SPDX-License-Identifier: MIT
 * What each label said and what came. */
#include <math.h>
#include <stdio.h>

#include "sure.h"

static const struct design designs[] = {
    {"best", false, {0.08, 0.5}, BAND_BEST, 3, 1, 3, {7, 12, 17}, .tau = 0.1},
    {"middle", false, {0.08, 0.5}, BAND_MIDDLE, 3, 1, 3, {7, 12, 17}, .tau = 0.1},
    {"mean", false, {0.08, 0.5}, BAND_MEAN, 3, 1, 3, {7, 12, 17}, .tau = 0.1},
    {"best.day2", false, {0.08, 0.5}, BAND_BEST, 3, 1, 3, {7, 12, 17}, .tau = 0.2},
    {"middle.day2", false, {0.08, 0.5}, BAND_MIDDLE, 3, 1, 3, {7, 12, 17}, .tau = 0.2},
    {"best5", false, {0.08, 0.5}, BAND_BEST, 5, 1, 3, {7, 12, 17}, .tau = 0.1},
    {"best.three", false, {0.08, 0.5}, BAND_BEST, 3, 1, 2, {10, 15, 0}, .tau = 0.1},
    {"middle.three", false, {0.08, 0.5}, BAND_MIDDLE, 3, 1, 2, {10, 15, 0}, .tau = 0.1},
    {"pooled", false, {0.08, 0.5}, BAND_MIDDLE, 3, 2, 2, {10, 15, 0}, .latest = true, .tau = 0.1},
    {"tries", true, {1, 1}, BAND_BEST, 3, 1, 3, {4, 7, 10}, .tau = 0.15},
    {"tries.one", true, {1, 1}, BAND_BEST, 1, 1, 3, {4, 7, 10}, .uncapped = true, .tau = 0.15},
};

/* What the published table does not state, and what reproduces it: pooled, the band is that of the
 * latest hand-in and the evidence that of both; successes, log odds of a hit normal with mean 0 and
 * SD 1 over the pupils, lines at 4, 7 and 10. */
static const char *const label_id[LABELS] = {"none", "leaning", "fairly", "sure"};

void sim_sure_labels(void)
{
    for (size_t i = 0; i < sizeof designs / sizeof *designs; i++) {
        struct labelled l;
        struct sayer s = sayer_default();
        char id[64];
        sure_run(&designs[i], &s, sim_pupils(60000), &l);
        for (int k = LABELS - 1; k >= 0; k--) {
            double share = l.said[k].n / l.pupils;
            snprintf(id, sizeof id, "label.%s.%s", designs[i].id, label_id[k]);
            figure(id, share, sqrt(share * (1 - share) / l.pupils));
            snprintf(id, sizeof id, "label.%s.%s.said", designs[i].id, label_id[k]);
            figure_tally(id, &l.said[k]);
            snprintf(id, sizeof id, "label.%s.%s.came", designs[i].id, label_id[k]);
            figure_tally(id, &l.came[k]);
        }
    }
}
