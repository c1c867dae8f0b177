#!/usr/bin/env bash
# Redoes windrow's audit draws with Python's standard library, and fills and judges a worksheet with openpyxl, a common program for
# workbooks.
#
#   tests/interop/draw.sh ARCHIVE.zip WINDROW
#
# Needs bash, python3 with venv, and unzip, and reaches PyPI once. Prints one line a check; exit code 0 if all are ok, 1 if one
# failed, 2 if it could not be run.
set -u

if [ $# -ne 2 ] || [ ! -f "$1" ] || [ ! -x "$2" ]; then
    echo "usage: $0 ARCHIVE.zip WINDROW" >&2
    exit 2
fi
archive=$(realpath -- "$1") || exit 2
windrow=$(realpath -- "$2") || exit 2
here=$(cd -- "$(dirname -- "$0")" && pwd) || exit 2
folder=$(mktemp -d) || exit 2
trap 'rm -rf -- "$folder"' EXIT

if ! { python3 -m venv "$folder/venv" && "$folder/venv/bin/pip" install --quiet --disable-pip-version-check openpyxl==3.1.5; } >"$folder/log" 2>&1; then
    cat "$folder/log" >&2
    echo "could not install openpyxl 3.1.5" >&2
    exit 2
fi
python=$folder/venv/bin/python

source "$here/checks.sh"
exits() { # CODE COMMAND...
    local wanted=$1
    shift
    "$@"
    local code=$?
    [ "$code" -eq "$wanted" ] || { echo "exit code $code, not $wanted"; return 1; }
}
again() { # OF OPTIONS...
    local of=$1
    shift
    "$windrow" draw "$archive" --of "$of" --output "$folder" --json "$@" >"$folder/draw.json" &&
        "$python" "$here/draw.py" "$bag" "$folder/draw.json"
}
fill() { # SHEET HOW: 'agrees' fills all, 'two' makes two of them wrong, 'odd' writes what is no result, 'swap' puts in another item
    "$python" - "$1" "$2" <<'PY'
import sys
import openpyxl
book = openpyxl.load_workbook(sys.argv[1])
sheet, how = book["items"], sys.argv[2]
heads = {cell.value: cell.column for cell in sheet[1]}
rows = range(2, sheet.max_row + 1)
for row in rows:
    sheet.cell(row, heads["result"], "agrees")
if how == "two":
    sheet.cell(2, heads["result"], "differs")
    sheet.cell(3, heads["result"], "not found")
if how == "odd":
    sheet.cell(2, heads["result"], "perhaps")
    sheet.cell(3, heads["result"]).value = None
if how == "swap":
    sheet.cell(2, heads["item"], "pulls.csv row 9999")
book.save(sys.argv[1])
PY
}
same_bytes() { # OF
    for number in 1 2; do
        "$windrow" draw "$archive" --of "$1" --seed twice --output "$folder/$number" || return 1
    done
    cmp "$folder/1/draw-$1.xlsx" "$folder/2/draw-$1.xlsx"
}
validated() { "$python" -c 'import sys, openpyxl
rules = openpyxl.load_workbook(sys.argv[1])["items"].data_validations.dataValidation
sys.exit(not any(rule.type == "list" and "not found" in rule.formula1 for rule in rules))' "$1"; }
judged() { # CODE HOW
    "$windrow" draw "$archive" --of photos --seed judged --tolerable 0.2 --output "$folder" || return 1
    fill "$folder/draw-photos.xlsx" "$2" && exits "$1" "$windrow" draw "$archive" --evaluate "$folder/draw-photos.xlsx"
}
names_cells() {
    "$windrow" draw --evaluate "$folder/draw-photos.xlsx" >"$folder/said"
    grep -q 'items!C2' "$folder/said" && grep -q 'items!C3' "$folder/said"
}

export LC_ALL=C.UTF-8
unzip -q -- "$archive" -d "$folder/out" || exit 2
bag=$(find "$folder/out" -mindepth 1 -maxdepth 1 -type d | head -n 1)
for of in photos pulls weighings receipts; do
    check "$of: the same draw in Python" again "$of" --seed "dew point 4"
    check "$of: the same, another seed and tolerance" again "$of" --seed "ü|ber" --tolerable 0.15 --confidence 0.9
done
check "pulls: the same with one wrong expected" again pulls --seed "dew point 4" --tolerable 0.2 --expected 1
for of in weighings receipts; do
    check "$of: the same draw by size" again "$of" --seed "dew point 4" --by-size --tolerable 0.2
done
check "the same seed gives the same worksheet, byte for byte" same_bytes weighings
check "the worksheet lists the results to choose from" validated "$folder/1/draw-weighings.xlsx"
check "a sheet where all agrees keeps the tolerable share" judged 0 agrees
check "two wrong ones don't" judged 1 two
check "odd and empty cells are no verdict" judged 1 odd
check "and are told by cell" names_cells
check "another item in the sheet is found out" judged 1 swap
check "a draw by size of photos is refused" exits 2 "$windrow" draw "$archive" --of photos --seed x --by-size --output "$folder"

if [ "$failures" -gt 0 ]; then
    echo "failed: $failures of $checks checks"
    exit 1
fi
echo "ok: all $checks checks"
