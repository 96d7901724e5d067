/* SPDX-License-Identifier: MIT
 * What hangs from hand-ins: attempts, cues, answers. A page reads hundreds of hand-ins, and every
 * statement costs locks, so each kind is read once for a whole list: the hand-ins' numbers go in as
 * one JSON array, and rows come back by place in it. */
#include "base/buf.h"
#include "base/mem.h"
#include "hand_ins_internal.h"

enum { ATTEMPTS, CUES, ANSWERS };

static const struct stmt_def defs[] = {
    [ATTEMPTS] = {"hand-in attempts",
        "SELECT s.key, a.value, a.throws, a.distance_mm, a.tries_used, a.part"
        " FROM json_each(:seqs) s CROSS JOIN attempt a ON a.hand_in_seq = s.value"
        " ORDER BY s.key, a.n"},
    [CUES] = {"hand-in cues",
        "SELECT s.key, c.cue_id FROM json_each(:seqs) s"
        " CROSS JOIN hand_in_cue c ON c.hand_in_seq = s.value ORDER BY s.key, c.cue_id"},
    [ANSWERS] = {"hand-in answers",
        "SELECT s.key, w.question_id, w.choice_id FROM json_each(:seqs) s"
        " CROSS JOIN hand_in_answer w ON w.hand_in_seq = s.value ORDER BY s.key, w.question_id"},
};

const struct stmt_set hand_in_parts_stmts = {"hand_in_parts", defs, sizeof defs / sizeof *defs};

static void read_attempt(struct query *q, struct hand_in *h)
{
    size_t n = 0;
    if (h->attempt_count == HAND_IN_ATTEMPTS) {
        return;
    }
    struct hand_in_attempt *a = &h->attempts[h->attempt_count++];
    *a = (struct hand_in_attempt){.value = col_int(q, 1),
                                  .distance_mm = (int32_t)col_int(q, 3),
                                  .tries_used = (int32_t)col_int(q, 4),
                                  .part = col_int(q, 5) != 0};
    const char *throws = col_blob(q, 2, &n);
    hand_in_throws_read(throws, n, a);
}

static void read_cue(struct query *q, struct hand_in *h)
{
    if (h->cue_count < HAND_IN_CUES) {
        h->cues[h->cue_count++] = col_int(q, 1);
    }
}

static void read_answer(struct query *q, struct hand_in *h)
{
    if (h->answer_count < HAND_IN_ANSWERS) {
        h->answers[h->answer_count++] = (struct hand_in_answer){col_int(q, 1), col_int(q, 2)};
    }
}

enum err hand_in_parts_load(struct store *st, void *ctx, struct hand_in *v, size_t n)
{
    static void (*const readers[])(struct query *, struct hand_in *) = {
        [ATTEMPTS] = read_attempt, [CUES] = read_cue, [ANSWERS] = read_answer,
    };
    struct buf seqs;
    enum err e = OK;
    buf_init(&seqs, talloc_new(ctx));
    buf_str(&seqs, "[");
    for (size_t i = 0; i < n; i++) {
        buf_str(&seqs, i > 0 ? "," : "");
        buf_int(&seqs, v[i].seq);
    }
    buf_str(&seqs, "]");
    for (size_t k = 0; e == OK && n > 0 && k < sizeof readers / sizeof *readers; k++) {
        struct query q;
        query_begin(&q, st, &hand_in_parts_stmts, k);
        query_text(&q, ":seqs", seqs.data);
        while (query_row(&q)) {
            size_t at = (size_t)col_int(&q, 0);
            if (at < n) {
                readers[k](&q, &v[at]);
            }
        }
        e = query_end(&q);
    }
    talloc_free(seqs.ctx);
    return e;
}
