#!/bin/sh
# SPDX-License-Identifier: MIT
# The reader of reference vectors, from outside: it takes any folder of the same shape, and fails on
# what it does not know or cannot read. TAP. Doctored copies are made in a temporary folder.
set -u
bin=${THRICE_VECTORS_BIN:-build/tests/vectors}
from=tests/data/vectors
dir=$(mktemp -d)
trap 'rm -rf "$dir"' EXIT
n=0
total=12
echo "1..$total"

fresh() {
    rm -rf "$dir/v"
    cp -r "$from" "$dir/v"
}

# run WANTED-STATUS TEXT WHAT: status and a line of output
run() {
    n=$((n + 1))
    THRICE_VECTORS="$dir/v" "$bin" >"$dir/out" 2>&1
    status=$?
    if [ "$status" -eq "$1" ] && grep -q "$2" "$dir/out"; then
        echo "ok $n - $3"
    else
        sed 's/^/# /' "$dir/out" | tail -n 5
        echo "not ok $n - $3 (status $status)"
    fi
}

rows=0
for file in "$from"/*.csv; do
    rows=$((rows + $(grep -c . "$file") - 1))
done
fresh
run 0 "^$rows rows checked, 0 differences$" 'every row of every file is counted'

rm -rf "$dir/v" && mkdir "$dir/v" && cp "$from/17_five_numbers.csv" "$dir/v"
seventeen=$(($(grep -c . "$dir/v/17_five_numbers.csv") - 1))
run 0 "^$seventeen rows checked, 0 differences$" 'another folder with fewer files is read'

rm -rf "$dir/v" && mkdir "$dir/v"
head -n 2 "$from/17_five_numbers.csv" >"$dir/v/17_five_numbers.csv"
printf 'own,2|4|9,2,3,4,6.5,9,5\n' >>"$dir/v/17_five_numbers.csv"
run 0 '^2 rows checked, 0 differences$' 'rows of another making are read'

fresh && cp "$from/17_five_numbers.csv" "$dir/v/23_more.csv"
run 1 'FAIL 23_more.csv: unknown file' 'an unknown file fails'

fresh && sed -i '1s/median/middle/' "$dir/v/17_five_numbers.csv"
run 1 'FAIL 17_five_numbers.csv: unknown column middle' 'an unknown column fails'

fresh && sed -i '1s/$/,more/; 2,$s/$/,1/' "$dir/v/17_five_numbers.csv"
run 1 'FAIL 17_five_numbers.csv: unknown column more' 'a further column fails'

fresh && sed -i 's/,[^,]*$//' "$dir/v/17_five_numbers.csv"
run 1 'FAIL 17_five_numbers.csv: 7 columns, not 8' 'a missing column fails'

fresh && sed -i '3s/,[^,]*$//' "$dir/v/17_five_numbers.csv"
run 1 'FAIL 17_five_numbers.csv: row 2 cannot be read' 'a short row fails'

fresh && sed -i '2s/,/,"/' "$dir/v/17_five_numbers.csv"
run 1 'FAIL 17_five_numbers.csv: row 1 cannot be read' 'an open quote fails'

fresh && head -n 1 "$from/17_five_numbers.csv" >"$dir/v/17_five_numbers.csv"
run 1 'FAIL 17_five_numbers.csv: no rows' 'a file without rows fails'

fresh && sed -i '2s/,[^,]*$/,123456/' "$dir/v/17_five_numbers.csv"
run 1 'FAIL 17_five_numbers.csv .*mean is' 'a value that differs fails'

rm -rf "$dir/v" && mkdir "$dir/v"
run 1 'no rows' 'an empty folder fails'
