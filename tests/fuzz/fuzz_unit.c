/* SPDX-License-Identifier: MIT
 * The judgement of a unit from anything that counts as a strand. */
#include "assess/unit.h"
#include "take.h"

int LLVMFuzzerTestOneInput(const uint8_t *data, size_t size)
{
    struct bytes b = {data, size};
    struct judge_rule r = judge_rule_default(take_int(&b, 1, UNIT_LINES_MAX));
    struct judgement j = {.cue_band = take_int(&b, -1, r.top_band)};
    int bands[12];
    double p[12][UNIT_LINES_MAX + 1], out[UNIT_LINES_MAX + 1], sum = 0;
    const double *probs[12];
    size_t n = (size_t)take_int(&b, 1, 12);
    r.policy = (enum judge_policy)take_int(&b, 0, 2);
    r.physical = (enum judge_physical)take_int(&b, 0, 3);
    for (size_t i = 0; i < r.lines; i++) {
        r.line[i] = take(&b) % 2 ? take_share(&b) : r.line[i];
        r.need[i][take_int(&b, 0, STRANDS - 1)] = i == 0 ? -1 : r.need[i - 1][0];
    }
    for (size_t i = 0; i < n; i++) {
        double all = 0;
        bands[i] = take_int(&b, -1, r.top_band);
        for (int k = 0; k <= r.top_band; k++) {
            all += p[i][k] = take_share(&b) + 1e-6;
        }
        for (int k = 0; k <= r.top_band; k++) {
            p[i][k] /= all;
        }
        probs[i] = p[i];
    }
    j.activity_band = judge_activities(bands, n, take_int(&b, 0, 4));
    j.strand[STRAND_PHYSICAL] = judge_physical_band(&r, j.activity_band, j.cue_band);
    for (int i = 1; i < STRANDS; i++) {
        const struct fraction f = {take_int(&b, -3, 40), take_int(&b, -3, 40)};
        j.strand[i] = judge_share_strand(&r, f, take_int(&b, 0, 5));
        MUST(j.strand[i] >= -1 && j.strand[i] <= (int)r.lines);
    }
    judge_unit(&r, &j);
    MUST(*judge_status_word(j.status) != '\0');
    MUST(j.lo >= 0 && j.lo <= j.hi && j.hi <= r.top_band);
    MUST(j.band == -1 || (j.band >= j.lo && j.band <= j.hi));
    MUST(j.status != JUDGE_DETERMINED || j.lo == j.hi);
    MUST(judge_told(&j) >= -1 && judge_told(&j) <= r.top_band);
    judge_repeat(&r, &j, probs, n, out);
    for (int k = 0; k <= r.top_band; k++) {
        is_chance(out[k]);
        sum += out[k];
    }
    MUST(fabs(sum - 1) < 1e-9);
    return 0;
}
