/* SPDX-License-Identifier: MIT
 * Who's done it, and the board. An unchanged grid answers 304 from the count of changes alone,
 * without a query: what may change by the calendar changes at midnight, and the day is in the
 * ETag. `help` and the office see states without a best. The board has counts only: no names, no
 * reasons, and what waits for a check counts as come in. */
#include <stdio.h>

#include "auth/scope.h"
#include "base/clock.h"
#include "base/mem.h"
#include "handlers/hand_in_view.h"
#include "handlers/handlers.h"
#include "store/grid.h"

static void challenge(struct buf *b, const struct grid_challenge *c, size_t of)
{
    buf_str(b, "{\"id\":");
    view_id(b, c->id.v);
    buf_printf(b, ",\"number\":%d,\"name\":", c->number);
    json_txt(b, c->name);
    buf_printf(b, ",\"unit\":\"%s\",\"kind\":\"%s\",\"opens_at\":", c->unit, c->kind);
    view_at(b, c->opens_at);
    buf_str(b, ",\"due_at\":");
    view_at(b, c->due_at);
    buf_str(b, ",\"closes_at\":");
    view_at(b, c->closes_at);
    buf_printf(b, ",\"cancelled\":%s,\"handed_in\":%zu,\"of\":%zu}",
               c->cancelled ? "true" : "false", c->handed_in, of);
}

/* Each column's cells begin alike: made once. */
static struct buf *column_heads(void *ctx, const struct grid *g)
{
    struct buf *heads = mem_array(ctx, struct buf, g->challenge_count);
    for (size_t c = 0; c < g->challenge_count; c++) {
        buf_init(&heads[c], ctx);
        buf_printf(&heads[c], "%s{\"challenge\":\"%lld\",\"state\":\"", c > 0 ? "," : "",
                   (long long)g->challenges[c].id.v);
    }
    return heads;
}

static void cells(struct buf *b, const struct grid *g, const struct grid_cell *row,
                  const struct buf *heads, bool bests)
{
    for (size_t c = 0; c < g->challenge_count; c++) {
        buf_bytes(b, heads[c].data, heads[c].len);
        buf_str(b, grid_state_word[grid_cell_state(&row[c])]);
        if (!bests) {
            buf_bytes(b, "\"}", 2);
        } else if (row[c].has_best) {
            buf_str(b, "\",\"best\":");
            buf_int(b, row[c].best);
            buf_bytes(b, "}", 1);
        } else {
            buf_str(b, "\",\"best\":null}");
        }
    }
}

static void view_grid(struct request *rq, struct buf *b, const struct grid *g, bool bests)
{
    buf_str(b, "{\"class\":{\"id\":");
    view_id(b, rq->args[0].id);
    buf_str(b, ",\"name\":");
    json_txt(b, g->class_name);
    buf_str(b, "},\"challenges\":[");
    for (size_t c = 0; c < g->challenge_count; c++) {
        buf_str(b, c > 0 ? "," : "");
        challenge(b, &g->challenges[c], g->pupil_count);
    }
    buf_str(b, "],\"pupils\":[");
    const struct buf *heads = column_heads(rq->mem, g);
    for (size_t p = 0; p < g->pupil_count; p++) {
        buf_str(b, p > 0 ? ",{\"id\":" : "{\"id\":");
        view_id(b, g->pupils[p].id.v);
        buf_str(b, ",\"display_name\":");
        json_txt(b, g->pupils[p].display_name);
        buf_str(b, ",\"cells\":[");
        cells(b, g, &g->cells[p * g->challenge_count], heads, bests);
        buf_str(b, "]}");
    }
    buf_str(b, "]}");
}

static bool unchanged(struct request *rq, struct reply *rp, const char *what, bool bests)
{
    char seed[120];
    snprintf(seed, sizeof seed, "%s %lld %d %ld %llu", what, (long long)rq->args[0].id, bests,
             (long)clock_day(rq->now), (unsigned long long)store_change_count(rq->store));
    return reply_not_modified(rq, rp, seed);
}

enum err h_class_grid_get(struct request *rq, struct reply *rp)
{
    const char *all = request_query(rq, "all");
    if (all && (all[0] < '0' || all[0] > '1' || all[1] != '\0')) {
        return request_blame(rq, "/all", "not_a_choice", NULL);
    }
    const struct grid_ask ask = {.cls = {rq->args[0].id},
                                 .today = clock_day(rq->now),
                                 .all = all && all[0] == '1'};
    unsigned rights = rights_on_class(rq, ask.cls.v);
    bool bests = (rights & (ALLOW_TEACH | ALLOW_READ | ALLOW_PE_LEAD)) != 0;
    if (unchanged(rq, rp, ask.all ? "grid all" : "grid", bests)) {
        return OK;
    }
    struct grid g;
    enum err e = grid_load(rq->store, rq->mem, &ask, &g);
    if (e == OK) {
        view_grid(rq, reply_json_buf(rq, rp, 200), &g, bests);
    }
    return e;
}

enum err h_class_board_get(struct request *rq, struct reply *rp)
{
    if (unchanged(rq, rp, "board", false)) {
        return OK;
    }
    const struct grid_ask ask = {.cls = {rq->args[0].id}, .today = clock_day(rq->now)};
    struct grid g;
    enum err e = grid_load(rq->store, rq->mem, &ask, &g);
    if (e != OK) {
        return e;
    }
    struct buf *b = reply_json_buf(rq, rp, 200);
    buf_str(b, "{\"class\":{\"name\":");
    json_txt(b, g.class_name);
    buf_str(b, "},\"challenges\":[");
    size_t told = 0;
    for (size_t i = 0; i < g.challenge_count; i++) {
        const struct grid_challenge *c = &g.challenges[i];
        if (c->cancelled) {             /* hidden from children, who see the board */
            continue;
        }
        buf_str(b, told++ > 0 ? ",{\"id\":" : "{\"id\":");
        view_id(b, c->id.v);
        buf_printf(b, ",\"number\":%d,\"name\":", c->number);
        json_txt(b, c->name);
        buf_printf(b, ",\"done\":%zu,\"of\":%zu,\"due_at\":", c->handed_in, g.pupil_count);
        view_at(b, c->due_at);
        buf_str(b, "}");
    }
    buf_str(b, "]}");
    return OK;
}
