#!/bin/sh
# Compares windrow's places with geographiclib: distances to outlines, inside or not, positions along tracks, areas.
#
# Usage: tests/interop/geodesy.sh [WINDROW]
#
# WINDROW is the program to try; without it, target/release/windrow. A season of hard outlines is made in a temporary folder, and
# geographiclib is installed from PyPI beside it. Exit code 0: no difference; 1: differences, each printed; 2: the comparison can't be made.
set -eu

here=$(dirname "$0")
windrow=${1:-$here/../../target/release/windrow}

work=$(mktemp -d)
trap 'rm -rf "$work"' EXIT

python3 -m venv "$work/venv" || exit 2
"$work/venv/bin/pip" install --quiet --disable-pip-version-check geographiclib >&2 || exit 2

"$work/venv/bin/python" "$here/geodesy.py" make "$work/season" || exit 2

# Findings of grade error end with exit code 1, and don't hinder the comparison.
code=0
WINDROW_CACHE=off "$windrow" check "$work/season" --json >"$work/check.json" || code=$?
if [ "$code" -gt 1 ]; then
    echo "windrow check ended with exit code $code" >&2
    exit 2
fi

code=0
"$work/venv/bin/python" "$here/geodesy.py" compare "$work/season" "$work/check.json" || code=$?
exit "$code"
