#!/bin/sh
# SPDX-License-Identifier: MIT
# run_node.sh COUNTS PROGRAM FILE...: runs node:test files against the server PROGRAM, two at a time
# (THRICE_JOBS: they wait more than they work), prints a line each, the TAP of those that failed,
# and leaves "PASSED FAILED" in COUNTS. Exchanges are recorded beside COUNTS for tests/contract,
# unless THRICE_RECORD is set to nothing. With THRICE_MOMENT each file begins at that moment (at.sh).
set -u
if [ "$1" = one ]; then     # one OUT FILE: what xargs runs below
    ${THRICE_MOMENT:+sh tests/lib/at.sh "$THRICE_MOMENT"} timeout "${THRICE_TEST_SECONDS:-600}" \
        node --test-reporter=tap "$3" >"$2/$(basename "$3")" 2>&1
    echo $? >"$2/$(basename "$3").status"
    exit 0
fi
counts=$1
THRICE=$(realpath "$2")
shift 2
mkdir -p "$(dirname "$counts")"
THRICE_RECORD=${THRICE_RECORD-$(realpath "$(dirname "$counts")")/exchanges.jsonl}
THRICE_KDF=floor
export THRICE THRICE_RECORD THRICE_KDF
out=$(mktemp -d)
trap 'rm -rf "$out"' EXIT
printf '%s\0' "$@" | xargs -0 -n 1 -P "${THRICE_JOBS:-2}" sh "$0" one "$out"
passed=0
failed=0
for file in "$@"; do
    tap=$out/$(basename "$file")
    read -r status <"$tap.status" || status=none
    ok=$(grep -c '^ *ok ' "$tap")
    bad=$(grep -c '^ *not ok ' "$tap")
    if [ "$status" != 0 ] || [ "$bad" -gt 0 ] || [ "$ok" -eq 0 ]; then
        [ "$bad" -gt 0 ] || bad=1
        sed 's/^/# /' "$tap"
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
