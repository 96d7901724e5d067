/* SPDX-License-Identifier: MIT
 * Between suggest.c (the unit), suggest_line.c (one activity) and what both keep with a
 * connection. */
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
/* The revision that was done, the lines, the statistic: all that a table depends on. */
struct table_key {
    struct revision_id revision;
    enum band_stat stat;
    int m_new;
    size_t lines;
    double line[BAND_LINES_MAX];
};
void table_key_of(const struct activity *a, const struct band_rule *r, struct table_key *out);
bool table_key_same(const struct table_key *a, const struct table_key *b);
/* NULL: over the budget. Valid until another table is asked for. */
const struct zones_table *suggest_table(struct store *st, const struct table_key *key,
                                        const struct scoring *s, const struct band_rule *r);

/* Answers that were worked out before (suggest_memo.c). The key is everything an answer depends on:
 * hand-ins never change, so number, child and second of arrival stand for them (a number alone does
 * not: SQLite gives that of an erased last row out again). */
enum { MEMO_HAND_INS = 12 };
struct memo_key {
    struct table_key table;
    int32_t step_mm;
    bool spread;                /* s_w, nu and rho were used */
    double s_w, nu, rho;
    size_t n;                   /* hand-ins; over MEMO_HAND_INS nothing is remembered */
    int64_t pupil;
    int64_t seq[MEMO_HAND_INS], received_at[MEMO_HAND_INS];
};
struct memo_value {
    struct band_answer answer;
    bool done;
};
/* NULL: not known. Valid until the next memo_keep. */
const struct memo_value *memo_find(struct store *st, const struct memo_key *key);
void memo_keep(struct store *st, const struct memo_key *key, const struct memo_value *v);
