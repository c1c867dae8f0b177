#!/usr/bin/env bash
# A new season folder filled by another program's workbooks, then closed; manual pages by man; completions by bash.
#
#   begin.sh WINDROW
set -euo pipefail
here=$(cd "$(dirname "$0")" && pwd)
windrow=$(realpath "${1:?"usage: begin.sh WINDROW"}")
place=$(mktemp -d)
trap 'rm -rf "$place"' EXIT
python3 -m venv "$place/venv"
"$place/venv/bin/pip" install --quiet --disable-pip-version-check openpyxl==3.1.5
cd "$place"

"$windrow" new season --year 2026 --programme "Test Pond Trust (invented)" --time-zone America/New_York >/dev/null
"$place/venv/bin/python" "$here/begin.py" season
"$windrow" close season >told
# 2 visits and a search of 6 people for 3.5 hours; 21 bags of which three were weighed.
grep -q $'Person-hours on the water *63\u00a0h' told || { cat told; exit 1; }
grep -q 'verify       whole' told
for sheet in field-sheet cautions; do
    test "$(pdfinfo "season/sheets/$sheet.pdf" 2>/dev/null | sed -n 's/^Pages: *//p')" = 1
done
qpdf --check season/sheets/field-sheet.pdf >/dev/null

"$windrow" man pages >/dev/null
for page in pages/*.1; do
    man --warnings -l "$page" >/dev/null 2>warnings || { cat warnings; exit 1; }
    test ! -s warnings || { echo "$page"; cat warnings; exit 1; }
done
"$windrow" completions bash >completions
bash -c 'source ./completions; COMP_WORDS=(windrow ver); COMP_CWORD=1; _windrow windrow ver windrow; test "${COMPREPLY[0]}" = verify'
echo "a new season, filled by openpyxl, closes; man reads every page; bash completes"
