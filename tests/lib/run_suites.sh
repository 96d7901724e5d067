#!/bin/sh
# SPDX-License-Identifier: MIT
# run_suites.sh BUILD SUITE...: runs `make check-SUITE` for each, also after a failure, and adds up
# the counts they leave. A suite that leaves none failed.
set -u
build=$1
shift
passed=0
failed=0
for suite in "$@"; do
    rm -f "$build/tests/counts/$suite"
    "${MAKE:-make}" --no-print-directory B="$build" "check-$suite"
    status=$?
    if [ -f "$build/tests/counts/$suite" ]; then
        read -r p f <"$build/tests/counts/$suite"
    else
        p=0
        f=1
    fi
    if [ "$status" -ne 0 ] && [ "$f" -eq 0 ]; then
        f=1
    fi
    passed=$((passed + p))
    failed=$((failed + f))
done
echo "$passed passed, $failed failed"
[ "$failed" -eq 0 ]
