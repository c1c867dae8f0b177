#!/usr/bin/env bash
# Checks a packed evidence archive with tools that know nothing of windrow: unzip (Info-ZIP), the bagit package of
# PyPI, and sha256sum (coreutils).
#
#   tests/interop/archive.sh ARCHIVE.zip
#
# Makes its own Python environment in a temporary folder and removes it. Needs bash, python3 with venv, unzip and
# sha256sum, and reaches PyPI once. Prints one line a check; exit code 0 if all are ok, 1 if one failed, 2 if it could
# not be run.
set -u

if [ $# -ne 1 ] || [ ! -f "$1" ]; then
    echo "usage: $0 ARCHIVE.zip" >&2
    exit 2
fi
archive=$(realpath -- "$1") || exit 2
here=$(cd -- "$(dirname -- "$0")" && pwd) || exit 2
folder=$(mktemp -d) || exit 2
trap 'rm -rf -- "$folder"' EXIT

source "$here/checks.sh"

if ! { python3 -m venv "$folder/venv" && "$folder/venv/bin/pip" install --quiet --disable-pip-version-check bagit==1.9.0; } >"$folder/log" 2>&1; then
    cat "$folder/log" >&2
    echo "could not install bagit 1.9.0" >&2
    exit 2
fi

# The package's single module is run as a program, so that it does not matter where pip puts scripts.
bagit() { "$folder/venv/bin/python" -m bagit "$@"; }
one_folder() { [ "$(find "$folder/out" -mindepth 1 -maxdepth 1 | wc -l)" -eq 1 ]; }
in_bag() { (cd -- "$bag" && "$@"); }
as_many() { [ "$(find "$bag/data" -type f | wc -l)" -eq "$(wc -l <"$bag/manifest-sha256.txt")" ]; }

# A locale in which unzip keeps names that are not ASCII.
export LC_ALL=C.UTF-8
mkdir -- "$folder/out"
check "unzip tests the ZIP" unzip -tq -- "$archive"
check "unzip unpacks the ZIP" unzip -q -- "$archive" -d "$folder/out"
check "there is one folder in the ZIP" one_folder
bag=$(find "$folder/out" -mindepth 1 -maxdepth 1 -type d | head -n 1)
check "bagit.py 1.9.0 finds the bag valid" bagit --validate "$bag"
check "sha256sum agrees with manifest-sha256.txt" in_bag sha256sum --quiet --strict --check manifest-sha256.txt
check "sha256sum agrees with tagmanifest-sha256.txt" in_bag sha256sum --quiet --strict --check tagmanifest-sha256.txt
check "the manifest has as many lines as there are files" as_many

if [ "$failures" -gt 0 ]; then
    echo "failed: $failures of 7 checks"
    exit 1
fi
echo "ok: all 7 checks"
