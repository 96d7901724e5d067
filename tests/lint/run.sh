#!/bin/sh
# SPDX-License-Identifier: MIT
# run.sh COUNTS: every check of this folder, one TAP line each. Run from the top of the repository.
# A check prints what it finds as FILE:LINE: sentence and fails when it found anything; what is
# printed without failing (figures, messages a language lacks) is for reading.
set -u
counts=$1
mkdir -p "$(dirname "$counts")"
passed=0
failed=0
n=0
out=$(mktemp)
trap 'rm -f "$out"' EXIT
for check in tests/lint/*.sh; do
    name=$(basename "$check" .sh)
    [ "$name" = run ] && continue
    n=$((n + 1))
    if sh "$check" >"$out" 2>&1; then
        sed 's/^/# /' "$out"
        echo "ok $n - lint $name"
        passed=$((passed + 1))
    else
        sed 's/^/# /' "$out"
        echo "not ok $n - lint $name"
        failed=$((failed + 1))
    fi
done
echo "1..$n"
echo "$passed $failed" >"$counts"
echo "lint: $passed passed, $failed failed"
[ "$failed" -eq 0 ]
