#!/bin/sh
# SPDX-License-Identifier: MIT
# days.sh COUNTS BUILD SUITES MOMENT...: day.sh for each MOMENT, two at a time; prints a line each, and
# what did not pass.
set -u
counts=$1
build=$2
suites=$3
shift 3
mkdir -p "$(dirname "$counts")"
printf '%s\0' "$@" | xargs -0 -n 1 -P 2 sh tests/days/day.sh "$build" "$suites"
passed=0
failed=0
for moment in "$@"; do
    name=${moment%%=*}
    read -r p f <"$build/tests/days/$name.counts"
    if [ "$f" -gt 0 ]; then
        grep -v '^ok ' "$build/tests/days/$name.txt"
        echo "not ok - $moment ($suites): $p passed, $f failed"
    else
        echo "ok - $moment ($suites): $p"
    fi
    passed=$((passed + p))
    failed=$((failed + f))
done
echo "$passed $failed" >"$counts"
echo "$(basename "$counts"): $passed passed, $failed failed"
[ "$failed" -eq 0 ]
