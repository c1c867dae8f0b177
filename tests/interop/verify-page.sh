#!/usr/bin/env bash
# Opens the archive's own verify.html in a headless Chromium, from a file and without a network, and holds its verdicts against
# windrow's: on the archive whole, as ZIP and as folder, on a copy to hand over, and on some thirty broken ones.
#
#   tests/interop/verify-page.sh ARCHIVE.zip WINDROW
#
# Needs bash, python3, unzip, node, npm and Debian's package chromium (CHROMIUM names another); reaches npm once, for playwright-core
# and axe-core, into a temporary folder. Exit code 0 if all is ok, 1 if a check failed, 2 if it could not be run.
set -u

here=$(cd -- "$(dirname -- "$0")" && pwd) || exit 2
if [ $# -ne 2 ] || [ ! -f "$1" ] || [ ! -x "$2" ]; then
    echo "usage: $0 ARCHIVE.zip WINDROW" >&2
    exit 2
fi
archive=$(realpath -- "$1") || exit 2
windrow=$(realpath -- "$2") || exit 2
. "$here/browser.sh"
folder=$(mktemp -d) || exit 2
trap 'rm -rf -- "$folder"' EXIT

if ! browser_in "$folder" "$here/verify-page.mjs"; then
    cat "$folder/log" >&2
    exit 2
fi
python3 "$here/verify-page.py" "$archive" "$folder/cases" || exit 2
node "$folder/verify-page.mjs" "$browser" "$windrow" "$folder/cases"
