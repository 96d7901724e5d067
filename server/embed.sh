#!/bin/sh
# SPDX-License-Identifier: MIT
# Turns files into linkable tables.
#   embed.sh migrations OUT FILE...   OUT/migrations.c: struct migration_file (store/migrations.h)
#   embed.sh web OUT DIR              OUT/web.c:        struct asset          (http/assets.h)
#
# The bytes come in with .incbin, so no byte is spelt out; the tables are C, so the compiler checks
# them. web: "/s/-/" in pages becomes "/s/<hash of the whole tree>/"; brotli and gzip copies are
# kept only where they are smaller. sw.js gets the list of the files that it keeps on a device; made
# once more for /staff/hall, with that page's own.
# Modules and style sheets are served without comments, indentation and long local names (esbuild;
# without it they are served as written), each still a file of its own but for the child's page: its
# modules are served as three (join). Of each language's words the child's page fetches two cuts:
# msg/en.card.json and msg/en.child.json.
# Output is a function of the input: same tree, same bytes.
set -eu
LC_ALL=C
export LC_ALL

what=$1
out=$2
shift 2
mkdir -p "$out"

blob() { # NAME FILE: the bytes, and a NUL behind them
    printf '__asm__(".section .rodata\\n.balign 16\\n.globl %s\\n.hidden %s\\n%s:\\n.incbin \\"%s\\"\\n.byte 0\\n.previous");\n' "$1" "$1" "$1" "$2"
    printf 'extern const char %s[] __attribute__((visibility("hidden")));\n' "$1"
}
size() { wc -c <"$1" | tr -d ' '; }
hash16() { sha256sum | cut -c1-16; }

embed_migrations() {
    c=$out/migrations.c
    {
        echo '#include "store/migrations.h"'
        n=0
        for f in "$@"; do
            blob "migration_$n" "$f"
            n=$((n + 1))
        done
        echo 'const struct migration_file migration_files[] = {'
        n=0
        for f in "$@"; do
            printf '    {"%s", migration_%d, %s, "%s"},\n' "$(basename "$f")" "$n" "$(size "$f")" \
                "$(sha256sum <"$f" | cut -d' ' -f1)"
            n=$((n + 1))
        done
        echo '};'
        echo 'const uint64_t migration_file_count = sizeof migration_files / sizeof *migration_files;'
    } >"$c.new"
    mv "$c.new" "$c"
}

type_of() {
    case $1 in
    *.html) echo 'text/html; charset=utf-8' ;;
    *.css) echo 'text/css; charset=utf-8' ;;
    *.js) echo 'text/javascript; charset=utf-8' ;;
    *.json) echo 'application/json' ;;
    *.webmanifest) echo 'application/manifest+json' ;;
    *.svg) echo 'image/svg+xml' ;;
    *.png) echo 'image/png' ;;
    *.ico) echo 'image/x-icon' ;;
    *.woff2) echo 'font/woff2' ;;
    *.txt) echo 'text/plain; charset=utf-8' ;;
    *) return 1 ;;
    esac
}

path_of() { # where a file of the tree is served
    case $1 in
    index.html) echo / ;;
    help.html) echo "/s/$tree/help.html" ;; # /help is made of it (handlers/help_page.c)
    family.html) echo /c ;;
    staff/index.html) echo /staff ;;
    *.html) echo "/${1%.html}" ;;
    openapi.json) echo /api/v1/openapi.json ;;
    sw.js | staff/hall-sw.js | robots.txt | favicon.ico) echo "/$1" ;;
    *) echo "/s/$tree/$1" ;;
    esac
}

small="--minify --charset=utf8 --target=es2018 --log-level=error"
have_esbuild() { command -v esbuild >/dev/null 2>&1; }

smaller() { # TYPE <in >out
    # shellcheck disable=SC2086  # options, split on purpose
    if have_esbuild; then esbuild --loader="$1" $small; else cat; fi
}

imported() { # LIST: grows by all that its modules import, and theirs
    had=0
    while [ "$had" -ne "$(size "$1")" ]; do
        had=$(size "$1")
        grep '\.js$' "$1" | while read -r m; do
            sed -nE 's/(.*from|import) "(\.[^"]*)".*/\2/p' "$dir/$m" | while read -r to; do
                (cd "$dir/$(dirname "$m")" && realpath --relative-to="$top" "$to")
            done
        done | sort -u - "$1" >"$1.new"
        mv "$1.new" "$1"
    done
}

# The modules of the child's page as three: main.js; journey.js, fetched behind the card; and door.js,
# with all that both of them use, because two copies of it would each have a state of their own.
# "within": those that are now inside one of the three.
CHILD_STARTS="js/pupil/main.js js/pupil/journey.js"
CHILD_BOTH=js/pupil/door.js
join() {
    : >"$work/within"
    have_esbuild || return 0
    # shellcheck disable=SC2086  # lists, split on purpose
    (cd "$dir" && esbuild $CHILD_STARTS --bundle --splitting --format=esm $small --outbase=. \
        --chunk-names="${CHILD_BOTH%.js}" --outdir="$full/joined")
    (cd "$work/joined" && find . -type f | sed 's|^\./||' | sort) >"$work/joined.list"
    echo "$CHILD_STARTS $CHILD_BOTH" | tr ' ' '\n' | sort >"$work/within"
    cmp -s "$work/joined.list" "$work/within" || {
        echo "embed: the child's page is not three modules:" "$(tr '\n' ' ' <"$work/joined.list")" >&2
        exit 1
    }
    imported "$work/within"
    grep -vxFf "$work/joined.list" "$work/within" >"$work/within.new"
    mv "$work/within.new" "$work/within"
}

# Of a file with one message a line, those whose name begins so: the words before the card, and
# those behind it. "try.undo" is put under "try" there, so that the stem is sent once. "texts", the
# starters' own, is a block of lines and goes with the child's.
cut_words() { # card|child
    awk -v part="$1" '
        /^"texts"/ { inside = 1; texts = $0; next }
        inside { texts = texts "\n" $0; inside = !/^}/; next }
        /^"/ {
            dot = index($0, ".")
            stem = substr($0, 2, dot - 2)
            card = stem == "card" || stem == "lang"
            other = stem ~ /^(family|familynext|told|quick|error|figure)$/
            if (part == "card" ? !card : card || other) next
            sub(/,$/, "")
            if (!(stem in said)) stems[++n] = stem
            said[stem] = said[stem] (said[stem] == "" ? "" : ",\n") "\"" substr($0, dot + 1)
        }
        END {
            for (i = 1; i <= n; i++)
                out = out (i > 1 ? ",\n" : "") "\"" stems[i] "\":{\n" said[stems[i]] "\n}"
            if (texts != "" && part == "child") out = out ",\n" texts
            print "{\n" out "\n}"
        }'
}

shell_files() { # of the tree's files, those that the pupil's page needs without a connection
    grep -E '^(css|js|img|fonts?|msg)/' | grep -vE '\.txt$|^js/(staff/|family)' | grep -vxFf "$work/within" |
        grep -vE '^css/(staff|unit|quick|marks)\.css|^msg/(pl|ur)\.|^msg/en\.json'
}

# What the hall's page names, and what its modules import, of the tree's files.
hall_files() {
    {
        grep -o '/s/-/[a-z0-9/._-]*' "$dir/staff/hall.html" | cut -c6-
        echo msg/en.json
    } | sort -u >"$work/hall"
    imported "$work/hall"
    cat "$work/hall"
}

embed_web() {
    dir=$1
    top=$(realpath "$dir")
    work=$out/web
    rm -rf "$work"
    mkdir -p "$work"
    full=$(realpath "$work")
    (cd "$dir" && find . -type f ! -name '.*' ! -name '*~' | sed 's|^\./||' | sort) >"$work/list"
    tree=$(while read -r f; do
        printf '%s ' "$f"
        sha256sum <"$dir/$f"
    done <"$work/list" | hash16)

    while read -r f; do
        case $f in msg/*.json) printf '%s\n%s\n' "${f%.json}.card.json" "${f%.json}.child.json" ;; esac
    done <"$work/list" >"$work/cuts"
    cat "$work/cuts" >>"$work/list"

    join
    sed 's|.*|modulepreload" href="/s/-/&"|' "$work/within" >"$work/unasked"
    shell_files <"$work/list" | sed 's|.*|    "&",|' >"$work/shell"
    hall_files | sed 's|.*|    "&",|' >"$work/hall.shell"
    echo staff/hall-sw.js >>"$work/list"

    n=0
    : >"$work/rows"
    echo '#include "http/assets.h"' >"$out/web.c.new"
    while read -r f; do
        type=$(type_of "$f") || {
            echo "embed: no content type for $dir/$f" >&2
            exit 1
        }
        b=$work/$n
        source=$f
        kept=$work/shell
        case $f in
        msg/*.*.json) source=${f%.*.json}.json ;;
        staff/hall-sw.js) source=sw.js kept=$work/hall.shell ;;
        esac
        case $f in
        index.html) grep -vFf "$work/unasked" "$dir/$f" | sed "s|/s/-/|/s/$tree/|g" >"$b" ;;
        *.html) sed "s|/s/-/|/s/$tree/|g" "$dir/$f" >"$b" ;;
        *sw.js)
            sed -e "s|/s/-/|/s/$tree/|g" -e "/[*]files[*]/{r $kept" -e 'd' -e '}' "$dir/$source" >"$b"
            case $f in staff/*)
                sed -e 's|^const PAGES = .*|const PAGES = ["/staff/hall"];|' -e 's|^const STEM = .*|const STEM = "hall ";|' "$b" >"$b.new"
                mv "$b.new" "$b"
                ;;
            esac
            ;;
        msg/*.card.json) cut_words card <"$dir/$source" >"$b" ;;
        msg/*.child.json) cut_words child <"$dir/$source" >"$b" ;;
        *.css) smaller css <"$dir/$f" >"$b" ;;
        *.js) if [ -f "$work/joined/$f" ]; then cp "$work/joined/$f" "$b"; else smaller js <"$dir/$f" >"$b"; fi ;;
        *) cp "$dir/$f" "$b" ;;
        esac
        blob "asset_${n}" "$b" >>"$out/web.c.new"
        br=NULL br_len=0 gz=NULL gz_len=0
        case $f in
        *.png | *.woff2 | *.ico) ;;
        *)
            gzip -9 -n -c "$b" >"$b.gz"
            if command -v brotli >/dev/null 2>&1; then brotli -q 11 -c "$b" >"$b.br"; else cp "$b" "$b.br"; fi
            if [ "$(size "$b.gz")" -lt "$(size "$b")" ]; then
                gz=asset_${n}_gz gz_len=$(size "$b.gz")
                blob "$gz" "$b.gz" >>"$out/web.c.new"
            fi
            if [ "$(size "$b.br")" -lt "$(size "$b")" ]; then
                br=asset_${n}_br br_len=$(size "$b.br")
                blob "$br" "$b.br" >>"$out/web.c.new"
            fi
            ;;
        esac
        etag=$(hash16 <"$b")
        printf '%s\t    {"%s", "%s", "\\"%s\\"", %s, %s, %s, %s, %s, %s, "%s"},\n' \
            "$(path_of "$f")" "$(path_of "$f")" "$type" "$etag" "asset_$n" "$br" "$gz" \
            "$(size "$b")" "$br_len" "$gz_len" "$source" >>"$work/rows"
        n=$((n + 1))
    done <"$work/list"
    twice=$(cut -f1 "$work/rows" | sort | uniq -d)
    if [ -n "$twice" ]; then
        echo "embed: two files for $twice" >&2
        exit 1
    fi
    {
        echo 'const struct asset assets[] = {'
        sort -t "$(printf '\t')" -k1,1 "$work/rows" | cut -f2-
        echo '};'
        echo 'const uint64_t asset_count = sizeof assets / sizeof *assets;'
        printf 'const char assets_tree_hash[] = "%s";\n' "$tree"
    } >>"$out/web.c.new"
    mv "$out/web.c.new" "$out/web.c"
}

"embed_$what" "$@"
