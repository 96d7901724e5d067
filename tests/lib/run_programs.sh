#!/bin/sh
# SPDX-License-Identifier: MIT
# run_programs.sh COUNTS PROGRAM...: runs cmocka programs one after the other, prints one TAP line
# each (all of its output when it fails), then "N passed, N failed". A program that ends early, by
# a signal or after two minutes counts as a failure of its own.
set -u
counts=$1
shift
mkdir -p "$(dirname "$counts")"
passed=0
failed=0
n=0
out=$(mktemp)
trap 'rm -f "$out"' EXIT
echo "1..$#"
for program in "$@"; do
    n=$((n + 1))
    name=$(basename "$program")
    CMOCKA_MESSAGE_OUTPUT=TAP timeout 120 "$program" >"$out" 2>&1
    status=$?
    ok=$(grep -c '^ok ' "$out")
    bad=$(grep -c '^not ok ' "$out")
    planned=$(sed -n 's/^1\.\.\([0-9]*\).*/\1/p' "$out" | awk '{s += $1} END {print s + 0}')
    if [ "$status" -ne 0 ] || [ "$ok" -eq 0 ] || [ $((ok + bad)) -ne "$planned" ]; then
        [ "$bad" -gt 0 ] || bad=1
        sed 's/^/# /' "$out"
        echo "not ok $n - $name: $ok passed, $bad failed, exit status $status"
    else
        echo "ok $n - $name: $ok"
    fi
    passed=$((passed + ok))
    failed=$((failed + bad))
done
echo "$passed $failed" >"$counts"
echo "$(basename "$counts"): $passed passed, $failed failed"
[ "$failed" -eq 0 ]
