/* SPDX-License-Identifier: MIT
 * simulate [--seed N] [--scale SHARE] [--table FILE] [--part NAME] [--candidate between]
 * Exits 1 when a figure is off by more than chance allows, 2 on a usage error. */
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "sim.h"

struct sim sim = {.seed = 20250901, .scale = 1};

static _Alignas(16) unsigned char block[ROOM_ENOUGH];

struct room *sim_room(void)
{
    static struct room room = {block, sizeof block, 0};
    room.used = 0;
    return &room;
}

size_t sim_pupils(size_t in_full)
{
    double n = (double)in_full * sim.scale;
    return n < 200 ? 200 : (size_t)n;
}

static const struct part {
    const char *name;
    void (*run)(void);
} parts[] = {
    {"gain-zones", sim_gain_zones}, {"gain-tries", sim_gain_tries}, {"gain-looks", sim_gain_looks},
    {"gain-best", sim_gain_best}, {"gain-measures", sim_gain_measures},
    {"gain-counts", sim_gain_counts}, {"gain-objects", sim_gain_objects},
    {"gain-distances", sim_gain_distances}, {"sure-prior", sim_sure_prior},
    {"sure-labels", sim_sure_labels}, {"sure-other", sim_sure_other},
    {"distance-fair", sim_distance_fair},
    {"next-distance", sim_next_distance}, {"best-by-luck", sim_best_by_luck},
    {"repeats", sim_repeats}, {"agreement", sim_agreement},
};
enum { PARTS = sizeof parts / sizeof *parts };

static int usage(void)
{
    fprintf(stderr, "simulate [--seed N] [--scale SHARE] [--table FILE] [--part NAME] "
                    "[--candidate between]\nparts:");
    for (size_t i = 0; i < PARTS; i++) {
        fprintf(stderr, " %s", parts[i].name);
    }
    fprintf(stderr, "\n");
    return 2;
}

struct asked {
    const char *table, *part;
};

static bool read_option(const char *name, const char *value, struct asked *asked)
{
    char *end = NULL;
    if (strcmp(name, "--seed") == 0) {
        sim.seed = strtoull(value, &end, 10);
    } else if (strcmp(name, "--scale") == 0) {
        sim.scale = strtod(value, &end);
        return *end == '\0' && sim.scale > 0 && sim.scale <= 10;
    } else if (strcmp(name, "--table") == 0) {
        asked->table = value;
    } else if (strcmp(name, "--part") == 0) {
        asked->part = value;
    } else if (strcmp(name, "--candidate") == 0) {
        sim.candidate = value;
        return strcmp(value, "between") == 0;
    } else {
        return false;
    }
    return end == NULL || *end == '\0';
}

int main(int argc, char **argv)
{
    struct asked asked = {"tests/data/simulation.csv", NULL};
    int ran = 0;
    for (int i = 1; i < argc; i += 2) {
        if (i + 1 == argc || !read_option(argv[i], argv[i + 1], &asked)) {
            return usage();
        }
    }
    setvbuf(stdout, NULL, _IOLBF, 0);
    printf("invented throwers only; seed %llu, scale %g\n", (unsigned long long)sim.seed,
           sim.scale);
    if (sim.candidate != NULL) {
        sim_candidates();
        return 0;
    }
    if (!figures_load(asked.table)) {
        fprintf(stderr, "%s: cannot be read\n", asked.table);
        return 2;
    }
    for (size_t i = 0; i < PARTS; i++) {
        if (asked.part == NULL || strcmp(asked.part, parts[i].name) == 0) {
            parts[i].run();
            ran++;
        }
    }
    if (ran == 0) {
        return usage();
    }
    if (asked.part != NULL) {
        return 0;
    }
    return figures_close() > 0;
}
