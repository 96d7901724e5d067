/* SPDX-License-Identifier: MIT
 * What the assessment costs: a whole school, one pupil, a preview of new lines; on one core, from
 * memory, through the functions that the server calls. All results are invented. Times are
 * processor time, medians of rounds; beside each stands its ratio to a fixed piece of libm work
 * done in the same round, which machines of different speed, and busy ones, agree on.
 *
 *   600 pupils x 40 activities: 16 zones (8 of them from distances), 10 successes, 6 counts in a
 *   time, 8 measures; two hand-ins of three attempts each; three lines. */
#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <time.h>

#include "school.h"

enum { ROUNDS = 7, PEER_CALLS = 1000000 };

static double now_ms(void)
{
    struct timespec t;
    clock_gettime(CLOCK_PROCESS_CPUTIME_ID, &t);
    return (double)t.tv_sec * 1e3 + (double)t.tv_nsec / 1e6;
}

/* A million pairs of erfc and exp. */
static double peer(void)
{
    double sum = 0;
    for (int i = 0; i < PEER_CALLS; i++) {
        sum += erfc(i * 4e-6) + exp(-i * 1e-5);
    }
    return sum;
}

enum { WHOLE, PUPIL, PREVIEW, TOTALS, PEER, FIGURES = PARTS + 5 };
static double took[FIGURES][ROUNDS];
static volatile double kept;        /* so that no work is left out */

static void time_parts(struct school *s, int round)
{
    double sum = 0;
    for (int part = 0; part < PARTS; part++) {
        double from = now_ms();
        school_part(s, part);
        took[FIGURES - PARTS + part][round] = now_ms() - from;
        sum += took[FIGURES - PARTS + part][round];
    }
    took[WHOLE][round] = sum;
}

static void time_round(struct school *s, int round)
{
    double from = now_ms();
    kept = peer();
    took[PEER][round] = now_ms() - from;
    time_parts(s, round);
    from = now_ms();
    for (int pupil = 0; pupil < PUPILS; pupil++) {
        school_pupil(s, pupil);
    }
    took[PUPIL][round] = (now_ms() - from) / PUPILS;
    from = now_ms();
    for (int class = 0; class < CLASSES; class++) {
        school_preview(s, class);
    }
    took[PREVIEW][round] = (now_ms() - from) / CLASSES;
    from = now_ms();
    school_totals(s);
    took[TOTALS][round] = now_ms() - from;
}

static int rising(const void *a, const void *b)
{
    double x = *(const double *)a, y = *(const double *)b;
    return (x > y) - (x < y);
}

static double median(int figure)
{
    qsort(took[figure], ROUNDS, sizeof(double), rising);
    return took[figure][ROUNDS / 2];
}

static bool tell(const char *what, int figure, double goal_ms)
{
    double ms = median(figure);
    printf("%-52s %9.3f ms %9.4f", what, ms, ms / took[PEER][ROUNDS / 2]);
    if (goal_ms > 0) {
        printf("   goal %5.0f ms: %s", goal_ms, ms < goal_ms ? "met" : "MISSED");
    }
    printf("\n");
    return goal_ms <= 0 || ms < goal_ms;
}

int main(void)
{
    static const char *const names[PARTS] = {
        [PART_TABLES] = "  tables", [PART_ZONES] = "  bands of zones and successes",
        [PART_COUNTS] = "  bands of counts", [PART_MEASURES] = "  bands of measures",
        [PART_GAINS] = "  gain tests", [PART_DISTANCES] = "  distance-fair and next distance",
        [PART_NEXT] = "  next scores", [PART_UNITS] = "  unit judgements",
    };
    struct school *s = school_open();
    if (s == NULL) {
        fprintf(stderr, "no room for a school\n");
        return 2;
    }
    for (int round = 0; round < ROUNDS; round++) {
        time_round(s, round);
    }
    median(PEER);
    printf("%-52s %12s %9s\n", "the assessment, one core, processor time", "median", "to peer");
    tell("peer: a million erfc and exp", PEER, 0);
    bool met = tell("whole school, 24,000 cells", WHOLE, 500);
    for (int part = 0; part < PARTS; part++) {
        tell(names[part], FIGURES - PARTS + part, 0);
    }
    met = tell("one pupil's change (40 activities and the unit)", PUPIL, 1) && met;
    met = tell("preview of new lines, a class of 30, all kinds", PREVIEW, 10) && met;
    tell("the zones again where only totals are known", TOTALS, 0);
    printf("check sum %.6f\n", school_sum(s));
    school_close(s);
    return !met;
}
