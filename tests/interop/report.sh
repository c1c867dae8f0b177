#!/usr/bin/env bash
# Checks a report with qpdf, and finds its key figures in the text that pdftotext takes out of it.
#
#   tests/interop/report.sh REPORT.pdf WINDROW SEASON
set -euo pipefail
report=${1:?"usage: report.sh REPORT.pdf WINDROW SEASON"}
windrow=${2:?}
season=${3:?}

qpdf --check "$report" >/dev/null
echo "ok      qpdf finds no fault"

folder=$(mktemp -d)
trap 'rm -rf "$folder"' EXIT
for edition in board auditor public; do
  "$windrow" report "$season" --edition "$edition" --output "$folder/$edition.pdf" >/dev/null
  qpdf --check "$folder/$edition.pdf" >/dev/null
  pdfinfo "$folder/$edition.pdf" 2>/dev/null | grep -q '^Tagged: *yes' || { echo "failed  the $edition edition is not tagged"; exit 1; }
done
[ "$(pdfinfo "$folder/board.pdf" 2>/dev/null | awk '/^Pages:/ { print $2 }')" = 2 ] || { echo "failed  the board edition has not two pages"; exit 1; }
echo "ok      board, auditor and public editions: qpdf finds no fault, all are tagged, the board's has two pages"

pdftotext -layout "$report" "$folder/text" 2>/dev/null
"$windrow" figures "$season" >"$folder/figures"

python3 - "$folder/text" "$folder/figures" <<'PY'
import re, sys

text = " ".join(open(sys.argv[1], encoding="utf-8").read().split())
figures = dict(
    line.strip().split(None, 1)
    for line in open(sys.argv[2], encoding="utf-8")
    if re.match(r"\s+[a-z]+\.[a-z-]+(/\S+)? ", line)
)
key = ["effort.person-hours", "removal.wet-mass", "rate.mass-per-hour", "removal.plants", "cover.change"]
missing = []
for name in key:
    # `3,680 lb (95% interval 3,420 to 3,980 lb)`: the value and both ends have to stand in the report.
    numbers = re.findall(r"[−-]?\d[\d,]*(?:\.\d+)?", figures[name].replace("95%", ""))
    for number in numbers:
        if number not in text:
            missing.append(f"{name}: {number}")
if missing:
    sys.exit("failed  not in the report: " + "; ".join(missing))
print(f"ok      {len(key)} key figures stand in the report with their intervals")
PY
