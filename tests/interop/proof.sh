#!/usr/bin/env bash
# Checks the proofs for single files by a second implementation of the tree (proof.py, Python's standard library alone).
#
#   tests/interop/proof.sh ARCHIVE.zip WINDROW
#
# Needs bash, python3 and unzip; reaches no network. Exit code 0 if all is ok, 1 if a check failed, 2 if it could not be run.
set -u

here=$(cd -- "$(dirname -- "$0")" && pwd) || exit 2
if [ $# -ne 2 ] || [ ! -f "$1" ] || [ ! -x "$2" ]; then
    echo "usage: $0 ARCHIVE.zip WINDROW" >&2
    exit 2
fi
archive=$(realpath -- "$1") || exit 2
windrow=$(realpath -- "$2") || exit 2
folder=$(mktemp -d) || exit 2
trap 'rm -rf -- "$folder"' EXIT

# A locale in which unzip keeps names that are not ASCII.
export LC_ALL=C.UTF-8
unzip -q -- "$archive" -d "$folder" || exit 2
bag=$(find "$folder" -mindepth 1 -maxdepth 1 -type d | head -n 1)
python3 "$here/proof.py" --all "$bag" "$windrow"
