#!/bin/sh
# SPDX-License-Identifier: MIT
# Who may include what. An include that is not allowed here does not belong; the unit tests, which
# link a layer with those below it only, hold the calls to the same rule.
set -u
bad=0

# layer, then the layers and libraries whose headers it may include. The gate (auth) sees a request
# and a route as types; it calls nothing of http.
rules='
base:base
assess:assess base/err.h
store:store assess base sqlite3.h
auth:auth store base sodium.h http/request.h http/route.h
http:http base microhttpd.h jansson.h
handlers:handlers http/request.h http/reply.h http/route.h http/assets.h store auth assess base jansson.h app.h
'
# files with a library of their own
extra='
server/base/rand.c:sodium.h
server/base/text.c:utf8proc.h
server/base/name.c:utf8proc.h
server/base/roster_table.c:csv.h utf8proc.h
server/base/roster_csv.c:csv.h utf8proc.h
server/auth/qr.c:qrencode.h
'
libraries='sqlite3.h sodium.h microhttpd.h jansson.h utf8proc.h qrencode.h csv.h'

may() { # FILE HEADER LAYER
    list=$(printf '%s' "$rules" | sed -n "s/^$3://p")
    for allowed in $list $(printf '%s' "$extra" | sed -n "s|^$1:||p"); do
        case $2 in
        "$allowed" | "$allowed"/*) return 0 ;;
        esac
    done
    return 1
}

for layer in base assess store auth http handlers; do
    for file in server/$layer/*.[ch] include/$layer/*.h; do
        [ -f "$file" ] || continue
        for header in $(sed -n 's/^#include [<"]\([^>"]*\)[>"].*/\1/p' "$file"); do
            case $header in
            *_internal.h)
                [ -f "server/$layer/$header" ] || {
                    echo "$file: $header is private to another layer"
                    bad=1
                }
                continue
                ;;
            */*) case $header in sys/* | arpa/* | netinet/* | linux/* | net/*) continue ;; esac ;;
            *)
                case " $libraries app.h cmd.h " in *" $header "*) ;; *) continue ;; esac
                ;;
            esac
            # the header's contract may name a type of its library
            may "$file" "$header" "$layer" || {
                echo "$file: may not include $header"
                bad=1
            }
        done
    done
done

# The app puts parts together for whoever starts it, and knows no command.
if grep -n '#include "cmd.h"' server/app.c server/night.c include/app.h; then
    echo 'the app may not include cmd.h'
    bad=1
fi

# Statements live in the store alone; so does arithmetic of assessment in assess (by linking).
# shellcheck disable=SC2046
if grep -nE '"[^"]*\b(SELECT [a-z*(]|INSERT (OR [A-Z]+ )?INTO |UPDATE [a-z_]+ SET |DELETE FROM )' \
    $(find server include -name '*.[ch]' ! -path 'server/store/*'); then
    echo 'SQL outside server/store'
    bad=1
fi
exit $bad
