#!/bin/sh
# SPDX-License-Identifier: MIT
# long.sh DIR TARGET...: clang's libFuzzer on each target for FUZZ_SECONDS (60), from the corpus kept
# here, over the sources in FUZZ_SRC with FUZZ_LIBS; what it finds stays in DIR. Says so and fails where clang or its libFuzzer is missing.
set -u
dir=$1
shift
mkdir -p "$dir"
if ! command -v clang >/dev/null; then
    echo 'make fuzz needs clang with libFuzzer (Debian: clang, libclang-rt-14-dev); check-fuzz needs neither'
    exit 1
fi
bad=0
for name in "$@"; do
    # shellcheck disable=SC2086
    clang -std=c11 -D_GNU_SOURCE -g -O1 -Iinclude -Itests/fuzz -fsanitize=fuzzer,address,undefined \
        -fno-sanitize-recover=undefined -o "$dir/$name.libfuzzer" "tests/fuzz/$name.c" \
        $FUZZ_SRC $FUZZ_LIBS || {
        echo 'clang has no libFuzzer here (Debian: libclang-rt-14-dev); check-fuzz needs none'
        exit 1
    }
    mkdir -p "$dir/found/$name"
    "$dir/$name.libfuzzer" -max_total_time="${FUZZ_SECONDS:-60}" -max_len=600 -timeout=10 \
        -print_final_stats=1 -artifact_prefix="$dir/found/$name-" "$dir/found/$name" \
        "tests/fuzz/corpus/$name" >"$dir/$name.log" 2>&1
    status=$?
    runs=$(sed -n 's/^stat::number_of_executed_units: *//p' "$dir/$name.log")
    if [ "$status" -eq 0 ]; then
        echo "ok - $name: $runs inputs"
    else
        tail -n 30 "$dir/$name.log"
        echo "not ok - $name: see $dir/$name.log"
        bad=1
    fi
done
exit $bad
