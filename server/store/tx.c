/* SPDX-License-Identifier: MIT
 * Transactions: the statements that begin and end them, and the runner of command line and tests.
 *
 * Invariants: IMMEDIATE, so a transaction that began can write; never nested; what fails leaves
 * nothing behind. SQLite may roll a whole transaction back by itself (full disk, I/O error):
 * tx_is_open() tells, and a ROLLBACK is then not sent a second time.
 */
#include "base/log.h"
#include "store/query.h"
#include "store_internal.h"

static const struct stmt_def defs[] = {
    [TX_BEGIN] = {"begin", "BEGIN IMMEDIATE"},
    [TX_COMMIT] = {"commit", "COMMIT"},
    [TX_ROLLBACK] = {"rollback", "ROLLBACK"},
    [TX_SAVE] = {"savepoint", "SAVEPOINT job"},
    [TX_RELEASE] = {"release", "RELEASE job"},
    [TX_BACK] = {"rollback to", "ROLLBACK TO job"},
};
const struct stmt_set tx_stmts = {"tx", defs, sizeof defs / sizeof *defs};

enum err tx_do(struct store *st, size_t which)
{
    struct query q;
    query_begin(&q, st, &tx_stmts, which);
    return query_run(&q);
}

bool tx_is_open(struct store *st)
{
    return !sqlite3_get_autocommit(st->db);
}

enum err store_tx(struct store *st, const char *name, tx_fn *fn, void *arg)
{
    if (st->in_tx) {
        log_event(LOG_ERROR, "tx", "inside=\"%s\" begun=\"%s\"", st->in_tx, name);
        log_bug("nested transaction");
        return ERR_INTERNAL;
    }
    enum err e = tx_do(st, TX_BEGIN);
    if (e != OK) {
        return e;
    }
    st->in_tx = name;
    e = fn(st, arg);
    if (!store_is_idle(st) && e == OK) {
        e = ERR_INTERNAL;
    }
    st->in_tx = NULL;
    if (!tx_is_open(st)) {
        return e == OK ? ERR_STORE : e;
    }
    if (e == OK) {
        e = tx_do(st, TX_COMMIT);
    }
    if (e == OK) {
        store_committed();
    } else if (tx_is_open(st)) {
        enum err back = tx_do(st, TX_ROLLBACK);
        if (back != OK) {
            log_event(LOG_ERROR, "tx", "rollback=failed name=\"%s\"", name);
        }
    }
    return e;
}
