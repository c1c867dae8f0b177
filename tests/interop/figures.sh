#!/bin/sh
# Computes every figure of a season that has a closed form a second time, in Python from the raw files, and compares.
#
# Usage: tests/interop/figures.sh SEASON [WINDROW]
#
# WINDROW is the program to try; without it, target/release/windrow. NumPy and SciPy are installed from PyPI into a temporary
# folder. Exit code 0: no difference; 1: differences, each printed; 2: the comparison can't be made.
set -eu

here=$(dirname "$0")
season=${1:?"usage: figures.sh SEASON [WINDROW]"}
windrow=${2:-$here/../../target/release/windrow}

work=$(mktemp -d)
trap 'rm -rf "$work"' EXIT

python3 -m venv "$work/venv" || exit 2
"$work/venv/bin/pip" install --quiet --disable-pip-version-check numpy scipy >&2 || exit 2

# Findings of grade error end with exit code 1, and don't hinder the comparison.
code=0
"$windrow" figures "$season" --json >"$work/figures.json" || code=$?
if [ "$code" -gt 1 ]; then
    echo "windrow figures ended with exit code $code" >&2
    exit 2
fi

code=0
"$work/venv/bin/python" "$here/figures.py" "$season" "$work/figures.json" || code=$?
exit "$code"
