/* SPDX-License-Identifier: MIT
 * Small numbers that leave a class. Hiding the small cells alone is no protection: a row's sum
 * gives a single hidden cell back, so every row and column with one gets another. */
#include "assess/group.h"

enum { SMALL = 5, ROW_ALONE = 20 };

/* A row (or column): `n` cells, `step` apart from `at`. */
struct line {
    int at, step, n;
};

/* The smallest visible cell that is not zero, else a zero; of equals the first. -1: none. */
static int to_hide(const struct leave_table *t, const bool *hidden, const struct line *l)
{
    int found = -1;
    for (int i = 0; i < l->n; i++) {
        int c = l->at + i * l->step;
        if (hidden[c]) {
            continue;
        }
        bool better = found < 0 || (t->count[found] == 0 && t->count[c] > 0) ||
                      (t->count[c] > 0 && t->count[c] < t->count[found]);
        found = better ? c : found;
    }
    return found;
}

static bool enough(const struct leave_table *t, const bool *hidden, const struct line *l)
{
    int cells = 0, sum = 0;
    for (int i = 0; i < l->n; i++) {
        int c = l->at + i * l->step;
        cells += hidden[c];
        sum += hidden[c] ? t->count[c] : 0;
    }
    return cells == 0 || (cells >= 2 && sum >= SMALL);
}

static bool settle(const struct leave_table *t, bool *hidden, const struct line *l)
{
    bool changed = false;
    while (!enough(t, hidden, l)) {
        int c = to_hide(t, hidden, l);
        if (c < 0) {
            break;
        }
        hidden[c] = true;
        changed = true;
    }
    return changed;
}

void leave_hide(const struct leave_table *t, bool *hidden)
{
    bool changed = true;
    for (int i = 0; i < t->rows * t->columns; i++) {
        hidden[i] = t->count[i] > 0 && t->count[i] < SMALL;
    }
    while (changed) {
        changed = false;
        for (int r = 0; r < t->rows; r++) {
            changed |= settle(t, hidden, &(struct line){r * t->columns, 1, t->columns});
        }
        for (int c = 0; c < t->columns; c++) {
            changed |= settle(t, hidden, &(struct line){c, t->columns, t->rows});
        }
    }
}

bool leave_row(const int *count, int columns)
{
    int all = 0, used = 0;
    for (int c = 0; c < columns; c++) {
        all += count[c];
        used += count[c] > 0;
    }
    return used != 1 || all >= ROW_ALONE;
}

int leave_percent(int part, int of)
{
    return of <= 0 ? 0 : (part * 200 + 5 * of) / (10 * of) * 5;
}
