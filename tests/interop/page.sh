#!/usr/bin/env bash
# Opens the page that `windrow report --format html` makes in a headless Chromium, from a file and without a network: at the width of a
# phone, of a laptop and on paper, with script and without; works map, season and pictures by keyboard and by touch; and holds it to
# the rules of axe-core (WCAG 2.1 A and AA, best practice).
#
#   tests/interop/page.sh SEASON WINDROW
#
# Needs bash, node, npm, pdftotext and Debian's package chromium (CHROMIUM names another); reaches npm once, for playwright-core and
# axe-core, into a temporary folder. PAGE_PICTURES=FOLDER keeps pictures to look at. Exit code 0 if all is ok, or if npm's registry can't
# be reached, which is said; 1 if a check failed; 2 if it could not be run.
set -u

here=$(cd -- "$(dirname -- "$0")" && pwd) || exit 2
if [ $# -ne 2 ] || [ ! -d "$1" ] || [ ! -x "$2" ]; then
    echo "usage: $0 SEASON WINDROW" >&2
    exit 2
fi
season=$(realpath -- "$1") || exit 2
windrow=$(realpath -- "$2") || exit 2
. "$here/browser.sh"
folder=$(mktemp -d) || exit 2
trap 'rm -rf -- "$folder"' EXIT

if ! browser_in "$folder" "$here/page.mjs"; then
    if npm ping --silent >/dev/null 2>&1; then
        cat "$folder/log" >&2
        exit 2
    fi
    echo "SKIPPED: npm's registry can't be reached from here, so that no browser looked at the page" >&2
    exit 0
fi
for edition in board public; do
    "$windrow" report "$season" --format html --edition "$edition" --output "$folder/$edition.html" >"$folder/log" 2>&1
    # 1 is for errors in the records: the page is there all the same.
    [ $? -le 1 ] && [ -s "$folder/$edition.html" ] || { cat "$folder/log" >&2; exit 2; }
done
node "$folder/page.mjs" "$browser" "$folder" "${PAGE_PICTURES:-}" || exit 1
failed=0
# What paper shows: every section, and nothing to press.
pdftotext -layout "$folder/board.pdf" "$folder/board.txt" || exit 2
for words in "Key figures" "Sites" "Effort by week" "Before and after" "Deliverables" "What these figures can" "Cautions" "How to verify"; do
    if ! grep -q "$words" "$folder/board.txt"; then
        echo "failed  on paper: '$words' is not there"
        failed=1
    fi
done
if grep -qE "Whole map|Show the weeks|Whose hours|How much of the picture" "$folder/board.txt"; then
    echo "failed  on paper: there is something to press"
    failed=1
fi
[ "$failed" = 0 ] && echo "ok      on paper: every section, and nothing to press"
exit "$failed"
