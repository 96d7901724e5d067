#!/bin/sh
# SPDX-License-Identifier: MIT
# day.sh BUILD SUITES "NAME=YYYY-MM-DD HH:MM": runs these suites as if it were that moment (UTC).
# Everything is built already; UNIT and STORE in the environment are the C programs. Leaves what was
# printed in BUILD/tests/days/NAME.txt and "PASSED FAILED" in NAME.counts beside it.
set -u
build=$1
suites=$2
name=${3%%=*}
THRICE_MOMENT=${3#*=}
THRICE_RECORD=
export THRICE_MOMENT THRICE_RECORD
out=$build/tests/days
mkdir -p "$out"
# shellcheck disable=SC2086 # lists of programs
one() { # SUITE
    case $1 in
    unit) sh tests/lib/at.sh "$THRICE_MOMENT" sh tests/lib/run_programs.sh "$out/$name-unit" $UNIT ;;
    store) sh tests/lib/at.sh "$THRICE_MOMENT" sh tests/lib/run_programs.sh "$out/$name-store" $STORE ;;
    cli) sh tests/lib/at.sh "$THRICE_MOMENT" sh tests/cli/commands.sh "$out/$name-cli" "$build/thrice" ;;
    *) sh tests/lib/run_node.sh "$out/$name-$1" "$build/thrice" tests/"$1"/*.test.mjs ;;
    esac
}
rm -f "$out/$name"*
passed=0
failed=0
for suite in $suites; do
    one "$suite" >>"$out/$name.txt" 2>&1
    status=$?
    p=0
    f=1
    [ ! -f "$out/$name-$suite" ] || read -r p f <"$out/$name-$suite"
    [ "$status" -eq 0 ] || [ "$f" -gt 0 ] || f=1
    passed=$((passed + p))
    failed=$((failed + f))
done
echo "$passed $failed" >"$out/$name.counts"
