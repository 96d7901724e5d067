#!/bin/sh
# SPDX-License-Identifier: MIT
# run_node.sh COUNTS PROGRAM FILE...: runs node:test files one after the other against the server
# PROGRAM, prints their TAP only when they fail, leaves "PASSED FAILED" in COUNTS. Exchanges are
# recorded beside COUNTS for tests/contract, unless THRICE_RECORD is set to nothing. With
# THRICE_MOMENT each file begins at that moment (at.sh).
set -u
counts=$1
THRICE=$(realpath "$2")
shift 2
mkdir -p "$(dirname "$counts")"
THRICE_RECORD=${THRICE_RECORD-$(realpath "$(dirname "$counts")")/exchanges.jsonl}
THRICE_KDF=floor
export THRICE THRICE_RECORD THRICE_KDF
passed=0
failed=0
out=$(mktemp)
trap 'rm -f "$out"' EXIT
for file in "$@"; do
    ${THRICE_MOMENT:+sh tests/lib/at.sh "$THRICE_MOMENT"} timeout "${THRICE_TEST_SECONDS:-600}" node --test-reporter=tap "$file" >"$out" 2>&1
    status=$?
    ok=$(grep -c '^ *ok ' "$out")
    bad=$(grep -c '^ *not ok ' "$out")
    if [ "$status" -ne 0 ] || [ "$bad" -gt 0 ] || [ "$ok" -eq 0 ]; then
        [ "$bad" -gt 0 ] || bad=1
        sed 's/^/# /' "$out"
        echo "not ok - $(basename "$file"): $ok passed, $bad failed, exit status $status"
    else
        echo "ok - $(basename "$file"): $ok"
    fi
    passed=$((passed + ok))
    failed=$((failed + bad))
done
echo "$passed $failed" >"$counts"
echo "$(basename "$counts"): $passed passed, $failed failed"
[ "$failed" -eq 0 ]
