#!/bin/sh
# SPDX-License-Identifier: MIT
# Gates on size: a file at most 500 lines of at most 100 columns, a function at most 60 lines and 5
# parameters (a list that comes out, `**out, size_t *n`, is one; what a library calls has the shape it
# asks for), control structures at most three deep.
set -u
bad=0
for file in $(find server include tests/unit tests/store tests/lib tests/sim tests/fuzz -name '*.[ch]' | sort); do
    lines=$(wc -l <"$file")
    if [ "$lines" -gt 500 ]; then
        echo "$file: $lines lines, at most 500"
        bad=1
    fi
done
for file in $(find server include -name '*.[ch]' | sort); do
    awk -v file="$file" '
        function found(line, what) { printf "%s:%d: %s\n", file, line, what; wrong = 1 }
        { gsub(/\t/, "    "); chars = $0; gsub(/[\200-\277]/, "", chars) }
        length(chars) > 100 { found(FNR, length(chars) " columns, at most 100") }
        /^[a-z].*\(/ && !/;[ ]*$/ && !/=/ { head = $0; head_line = FNR; open = 1; next_ok = 1 }
        open && FNR > head_line && !/^\{/ { head = head " " $0 }
        /^\{/ {
            if (open) {
                args = head
                sub(/^[^(]*\(/, "", args)
                lists = gsub(/\*\*[a-z_]+, size_t \*/, "&", args)
                n = gsub(/,/, ",", args) + 1 - lists
                if (n > 5 && head !~ /MHD_/) found(head_line, n " parameters, at most 5")
            }
            start = FNR; open = 0; inside = 1
        }
        inside && /^ +(if|for|while|switch|do)[ ({]/ {
            match($0, /^ +/)
            if (RLENGTH / 4 > 3) found(FNR, "nested deeper than three")
        }
        /^\}/ {
            if (inside && FNR - start - 1 > 60) found(start, FNR - start - 1 " lines in a function, at most 60")
            inside = 0; open = 0
        }
        END { exit wrong }' "$file" || bad=1
done
exit $bad
