#!/bin/sh
# SPDX-License-Identifier: MIT
# Every set of statements that a store file defines stands in server/store/sets.c, so that it is
# prepared at start and asked for its plans; and no SQL is put together from strings.
set -u
bad=0
for set in $(sed -n 's/^const struct stmt_set \([a-z_]*\).*/\1/p' server/store/*.c); do
    grep -q "^    &$set,$" server/store/sets.c || {
        echo "server/store/sets.c: $set is not listed"
        bad=1
    }
done
if grep -nE '(printf|buf_str|strcat)\([^;]*"[^"]*\b(SELECT|INSERT|UPDATE|DELETE|WHERE)\b' server/store/*.c; then
    echo 'SQL is built from strings'
    bad=1
fi
# Pragmas and transactions are of the connection's and the writer's files alone.
if grep -nE '"[^"]*(PRAGMA|BEGIN IMMEDIATE|SAVEPOINT|ATTACH|VACUUM)' server/store/*.c |
    grep -vE '^server/store/(db|store|tx|migrate|inspect|backup|purge)\.c:'; then
    echo 'a pragma or a transaction where none belongs'
    bad=1
fi
if grep -nE 'sqlite3_(bind|step|column|exec|prepare)' server/store/*.c |
    grep -vE '^server/store/(db|query|store|migrate|inspect|backup)\.c:'; then
    echo 'SQLite is called past store/query.h'
    bad=1
fi
exit $bad
