#!/bin/sh
# SPDX-License-Identifier: MIT
# at.sh "YYYY-MM-DD HH:MM" COMMAND...: runs COMMAND as if it were that moment (UTC), and time went on
# from there: by libfaketime for the server, node and the shell's tools, by THRICE_AT for C tests
# (tests/lib/day.c). The shift is one number of seconds, the same for every program that is started.
set -eu
moment=$1
shift
for lib in /usr/lib/*/faketime/libfaketime.so.1; do :; done
[ -f "$lib" ] || { echo "at.sh: the package libfaketime is missing" >&2; exit 2; }
THRICE_AT=$(date -u -d "$moment" +%s)
THRICE_SHIFT_S=$((THRICE_AT - $(date -u +%s)))
FAKETIME=$(printf '%+ds' "$THRICE_SHIFT_S")
DONT_FAKE_MONOTONIC=1
LD_PRELOAD=$lib
export THRICE_AT THRICE_SHIFT_S FAKETIME DONT_FAKE_MONOTONIC LD_PRELOAD
exec "$@"
