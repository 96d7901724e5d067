#!/bin/sh
# SPDX-License-Identifier: MIT
# Small habits: licence line, one guard, no call that invites overflow, no allocation past talloc,
# no variable-length prose marks, nothing left to do later, nothing personal in a log line.
set -u
bad=0
say() {
    echo "$1"
    bad=1
}
code=$(find server include -name '*.[ch]' | sort)
tests=$(find tests/unit tests/store tests/lib tests/sim tests/fuzz -name '*.[ch]' | sort)

for file in $code $tests; do
    head -n 1 "$file" | grep -q '^/\* SPDX-License-Identifier: MIT' || say "$file: no SPDX line"
done
for file in $(find include -name '*.h') $(find server -name '*.h'); do
    grep -q '^#pragma once' "$file" || say "$file: no #pragma once"
done
grep -nE '\b(strcpy|strcat|sprintf|vsprintf|gets|alloca|strtok|system|popen|atoi|atol|atof|strncpy)\(' $code &&
    say 'a call that is not used here'
grep -nE '\b(malloc|calloc|realloc|strdup|strndup|asprintf)\(' $code &&
    say 'memory comes from base/mem.h'
grep -nE '(^|[^:"])//( |$)' $code && say 'comments are /* */'
grep -nE '\b(TO[D]O|FIX[M]E|X[X]X|HA[C]K)\b' $code $tests && say 'something was left for later'
grep -nE 'log_event\(.*(display_name|name_key|passphrase|(pupil|staff|class|row|school)->name\b|token_text|->code\b|rq->query|rq->body)' $code &&
    say 'a log line holds ids and codes only'
# shellcheck disable=SC2046
grep -nE '\btime\(NULL\)|\blocaltime\(|\bgmtime\(|\bmktime\(' $(echo "$code" | grep -v '^server/base/clock.c$') &&
    say 'the time comes from base/clock.h'
# shellcheck disable=SC2046
grep -nE '\b(rand|random|srand|getrandom|arc4random|randombytes[a-z_]*)\(' $(echo "$code" | grep -v '^server/base/rand.c$') &&
    say 'chance comes from base/rand.h'
exit $bad
