/* SPDX-License-Identifier: MIT
 * How sure a unit's band is, from how sure its activities are. The middle of independent bands
 * reaches a band when enough of them do: a count of unequal chances, added one by one. */
#include "assess/unit.h"

int judge_told(const struct judgement *j)
{
    return j->band >= 0 ? j->band : j->strand[STRAND_PHYSICAL];
}

static double reaches(const double *probs, int bands, int band)
{
    double p = 0;
    for (int b = band; b < bands; b++) {
        p += probs[b];
    }
    return p > 1 ? 1 : p;
}

/* P(the ceil(n/2)-th best of n bands is at least `band`) */
static double middle_reaches(const double *const *probs, size_t n, int bands, int band)
{
    double ways[JUDGE_ACTIVITIES_MOST + 1] = {1}, sum = 0;
    for (size_t i = 0; i < n; i++) {
        double p = reaches(probs[i], bands, band);
        for (size_t k = i + 1; k > 0; k--) {
            ways[k] = ways[k] * (1 - p) + ways[k - 1] * p;
        }
        ways[0] *= 1 - p;
    }
    for (size_t k = (n + 1) / 2; k <= n; k++) {
        sum += ways[k];
    }
    return sum;
}

static int told_with(const struct judge_rule *r, const struct judgement *j, int activity_band)
{
    struct judgement then = *j;
    then.activity_band = activity_band;
    then.strand[STRAND_PHYSICAL] = judge_physical_band(r, activity_band, j->cue_band);
    judge_unit(r, &then);
    return judge_told(&then);
}

void judge_repeat(const struct judge_rule *r, const struct judgement *j,
                  const double *const *probs, size_t n, double *out)
{
    int bands = r->top_band + 1;
    double above = 1;
    for (int b = 0; b < bands; b++) {
        out[b] = 0;
    }
    for (int b = 0; b < bands; b++) {
        double next = b + 1 < bands ? middle_reaches(probs, n, bands, b + 1) : 0;
        int told = told_with(r, j, b);
        if (told >= 0 && told < bands) {
            out[told] += above > next ? above - next : 0;
        }
        above = next;
    }
}
