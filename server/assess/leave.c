/* SPDX-License-Identifier: MIT
 * Small numbers that leave a class. Hiding the small cells alone is no protection: a row's sum
 * gives a single hidden cell back, so every row and column with one gets another. Several sums
 * together can still give one back; so at the end each small cell is asked whether it could be
 * another number without any sum changing. */
#include <stdint.h>

#include "assess/group.h"

enum { SMALL = 5, ROW_ALONE = 20, LINES_MOST = 64 };

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

static void settle_all(const struct leave_table *t, bool *hidden)
{
    bool changed = true;
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

/* The cell one more (or fewer): from its column along hidden cells, one fewer and one more in turn,
 * back to its row? Then all sums stay, and it cannot be told which is true. */
static bool may_change(const struct leave_table *t, const bool *hidden, int cell, bool more)
{
    uint64_t rows = 0, columns = UINT64_C(1) << (cell % t->columns);
    bool grew = true;
    while (grew) {
        uint64_t before[2] = {rows, columns};
        for (int i = 0; i < t->rows * t->columns; i++) {
            uint64_t r = UINT64_C(1) << (i / t->columns), c = UINT64_C(1) << (i % t->columns);
            if (i == cell || !hidden[i]) {
                continue;
            }
            rows |= (columns & c) != 0 && (!more || t->count[i] > 0) ? r : 0;
            columns |= (rows & r) != 0 && (more || t->count[i] > 0) ? c : 0;
        }
        grew = rows != before[0] || columns != before[1];
    }
    return rows >> (cell / t->columns) & 1;
}

/* A small cell that the sums give back gets one more hidden beside it: in its row, else its column,
 * else anywhere. False: none, or nothing is left to hide. */
static bool hide_beside(const struct leave_table *t, bool *hidden)
{
    for (int i = 0; i < t->rows * t->columns; i++) {
        if (t->count[i] <= 0 || t->count[i] >= SMALL || may_change(t, hidden, i, true) ||
            may_change(t, hidden, i, false)) {
            continue;
        }
        const struct line lines[] = {
            {i / t->columns * t->columns, 1, t->columns},
            {i % t->columns, t->columns, t->rows},
            {0, 1, t->rows * t->columns},
        };
        for (int l = 0; l < 3; l++) {
            int c = to_hide(t, hidden, &lines[l]);
            if (c >= 0) {
                hidden[c] = true;
                return true;
            }
        }
    }
    return false;
}

void leave_hide(const struct leave_table *t, bool *hidden)
{
    bool large = t->rows > LINES_MOST || t->columns > LINES_MOST;
    for (int i = 0; i < t->rows * t->columns; i++) {
        hidden[i] = large || (t->count[i] > 0 && t->count[i] < SMALL);
    }
    if (large) {
        return;
    }
    settle_all(t, hidden);
    while (t->rows > 1 && t->columns > 1 && hide_beside(t, hidden)) {
        settle_all(t, hidden);
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
