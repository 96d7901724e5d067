/* SPDX-License-Identifier: MIT
 * From probabilities of reaching lines to a label a teacher can use. */
#include "assess/band.h"

struct band_rule band_rule_default(enum band_stat stat, int m_new)
{
    return (struct band_rule){
        .stat = stat, .m_new = m_new, .alpha = 1, .weight = 0.8,
        .sure = 0.80, .fairly = 0.65, .leaning = 0.50,
    };
}

int band_kth(enum band_stat stat, int m)
{
    return stat == BAND_BEST ? 1 : (m + 1) / 2;
}

static void sort_best_first(bool lower_is_better, double *x, size_t n)
{
    for (size_t i = 1; i < n; i++) {
        double v = x[i];
        size_t j = i;
        for (; j > 0 && (lower_is_better ? x[j - 1] > v : x[j - 1] < v); j--) {
            x[j] = x[j - 1];
        }
        x[j] = v;
    }
}

double band_statistic(enum band_stat stat, bool lower_is_better, double *scores, size_t n)
{
    sort_best_first(lower_is_better, scores, n);
    if (stat != BAND_MEAN) {
        return scores[band_kth(stat, (int)n) - 1];
    }
    double sum = 0;
    for (size_t i = 0; i < n; i++) {
        sum += scores[i];
    }
    return sum / (double)n;
}

int band_of(const struct band_rule *r, bool lower_is_better, double value)
{
    int band = 0;
    for (size_t i = 0; i < r->lines; i++) {
        band += lower_is_better ? value <= r->line[i] + 1e-9 : value >= r->line[i] - 1e-9;
    }
    return band;
}

static void find_span(const double *probs, int bands, struct band_answer *out)
{
    for (int length = 1; length <= bands; length++) {
        double most = 0;
        for (int low = 0; low + length <= bands; low++) {
            double p = 0;
            for (int i = low; i < low + length; i++) {
                p += probs[i];
            }
            if (p >= 0.80 - 1e-12 && p > most + 1e-12) {
                most = p;
                out->span_low = low;
                out->span_high = low + length - 1;
            }
        }
        if (most > 0) {
            return;
        }
    }
}

static enum band_label label_of(const struct band_rule *r, double p, bool enough)
{
    if (p >= r->sure && enough) {
        return BAND_SURE;
    }
    if (p >= r->fairly) {
        return BAND_FAIRLY;
    }
    return p >= r->leaning ? BAND_LEANING : BAND_NOT_ENOUGH;
}

void band_conclude(const struct band_rule *r, const double *tails, int attempts, int throws,
                   struct band_answer *out)
{
    int bands = (int)r->lines + 1;
    double above = 1;
    for (int i = 0; i < bands; i++) {
        double reach = i < bands - 1 ? tails[i] : 0;
        out->probs[i] = above - reach > 0 ? above - reach : 0;
        above = reach;
    }
    out->likelier = 0;
    for (int i = 1; i < bands; i++) {
        if (out->probs[i] > out->probs[out->likelier]) {
            out->likelier = i;
        }
    }
    if (out->probs[out->likelier] <= out->probs[out->band] + 1e-12) {
        out->likelier = -1;
    }
    bool enough = attempts >= 2 && (throws < 0 || throws >= 10);
    out->label = label_of(r, out->probs[out->band], enough);
    find_span(out->probs, bands, out);
    out->known = true;
}

const char *band_label_word(enum band_label l)
{
    static const char *const words[] = {
        [BAND_NOT_ENOUGH] = "not_enough", [BAND_LEANING] = "leaning",
        [BAND_FAIRLY] = "fairly", [BAND_SURE] = "sure",
    };
    return words[l];
}
