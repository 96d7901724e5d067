#!/bin/sh
# SPDX-License-Identifier: MIT
# Pages as the Content-Security-Policy has them: no inline script, style or handler, text by
# textContent only, nothing from elsewhere.
set -u
bad=0
say() {
    echo "$1"
    bad=1
}
pages=$(find web -name '*.html' | sort)
scripts=$(find web -name '*.js' | sort)
if [ -n "$pages" ]; then
    # shellcheck disable=SC2086
    {
        grep -nE '<script(>| [^>]*>[^<])' $pages | grep -vE '<script[^>]* src=' && say 'inline script'
        grep -nEi '<style|[ "]style=|[ "]on[a-z]+=' $pages && say 'inline style or handler'
        grep -nEi '(src|href|action)="(https?:)?//' $pages && say 'something from elsewhere'
        for page in $pages; do
            grep -q '<html lang="en' "$page" || say "$page: no language"
            grep -q '<title>' "$page" || say "$page: no title"
        done
    }
fi
if [ -n "$scripts" ]; then
    # shellcheck disable=SC2086
    {
        grep -nE '\.(innerHTML|outerHTML)\b|insertAdjacentHTML|document\.write|\beval\(|new Function\(' $scripts &&
            say 'text goes in by textContent'
        grep -nE "import\(? *['\"](https?:)?//|fetch\(['\"]https?:" $scripts && say 'something from elsewhere'
    }
fi
exit $bad
