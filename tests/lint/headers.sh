#!/bin/sh
# SPDX-License-Identifier: MIT
# Every header compiles alone.
set -u
bad=0
flags=$(pkg-config --cflags libmicrohttpd sqlite3 jansson libsodium talloc libqrencode libutf8proc)
for header in $(find include -name '*.h' | sort); do
    # shellcheck disable=SC2086
    printf '#include "%s"\n' "${header#include/}" |
        ${CC:-cc} -std=c11 -D_GNU_SOURCE -Wall -Wextra -Iinclude $flags -fsyntax-only -x c - || {
        echo "$header: does not compile alone"
        bad=1
    }
done
exit $bad
