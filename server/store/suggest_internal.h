/* SPDX-License-Identifier: MIT
 * Between suggest.c (the unit) and suggest_line.c (one activity). */
#pragma once

#include "assess/band_zones.h"
#include "store/suggest.h"

/* Hand-ins of one activity that count, at one version kind, comparable with `activity`. */
struct suggest_group {
    const struct activity *activity;
    const struct activity_version *version;
    const struct hand_in **hand_ins;
    size_t n;
    size_t whole;               /* attempts */
};

/* The line of a group: evidence, band, how sure. */
enum err suggest_line_of(struct store *st, void *ctx, const struct suggest_ask *ask,
                         const struct suggest_group *g, struct suggest_line *out) MUST_USE;

/* Workspace and tables kept with the connection. */
struct room *suggest_room(struct store *st);
struct table_key {
    struct version_id version;
    enum band_stat stat;
    int m_new;
};
/* NULL: over the budget. Valid until another table is asked for. */
const struct zones_table *suggest_table(struct store *st, const struct table_key *key,
                                        const struct scoring *s, const struct band_rule *r);
