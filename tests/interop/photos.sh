#!/bin/sh
# Compares windrow's reading of every photo in a season folder with exiftool's, value by value.
#
# Usage: tests/interop/photos.sh SEASON [WINDROW]
#
# WINDROW is the program to try; without it, target/release/windrow. exiftool is installed from Debian if it is missing
# and we may install. Exit code 0: no difference; 1: differences, each printed; 2: the comparison can't be made.
set -eu

here=$(dirname "$0")
season=${1:?"usage: photos.sh SEASON [WINDROW]"}
windrow=${2:-$here/../../target/release/windrow}

if ! command -v exiftool >/dev/null; then
    echo "exiftool is missing: installing Debian's libimage-exiftool-perl" >&2
    apt-get install --yes --quiet libimage-exiftool-perl >&2 || exit 2
fi

json=$(mktemp)
trap 'rm -f "$json"' EXIT

# Findings of grade error end with exit code 1, and don't hinder the comparison.
code=0
"$windrow" check "$season" --json >"$json" || code=$?
if [ "$code" -gt 1 ]; then
    echo "windrow check ended with exit code $code" >&2
    exit 2
fi

code=0
python3 "$here/photos.py" "$season" "$json" || code=$?
exit "$code"
