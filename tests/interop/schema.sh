#!/bin/sh
# Holds `windrow check --json` against docs/check.schema.json with a public validator (PyPI: jsonschema).
#
# Usage: tests/interop/schema.sh SEASON [WINDROW]
#
# WINDROW is the program to try; without it, target/release/windrow. Exit code 0: the schema is a schema and the output keeps it; 1: it does
# not; 2: the comparison can't be made.
set -eu

here=$(dirname "$0")
season=${1:?"usage: schema.sh SEASON [WINDROW]"}
windrow=${2:-$here/../../target/release/windrow}

work=$(mktemp -d)
trap 'rm -rf "$work"' EXIT

python3 -m venv "$work/venv" || exit 2
"$work/venv/bin/pip" install --quiet --disable-pip-version-check jsonschema >&2 || exit 2

# A second folder with a fault in each kind of place.
cp -r "$season" "$work/messy"
sed -i '2s/,long-reach,/,long-reech,/; 3s/2025-05-24/24 Mai/' "$work/messy/pulls.csv"
echo 'programe = "x"' | cat - "$season/season.toml" >"$work/messy/season.toml"

for folder in "$season" "$work/messy"; do
    code=0
    "$windrow" check "$folder" --json >"$work/check.json" || code=$?
    if [ "$code" -gt 1 ]; then
        echo "windrow check ended with exit code $code" >&2
        exit 2
    fi
    "$work/venv/bin/python" - "$here/../../docs/check.schema.json" "$work/check.json" <<'EOT' || exit 1
import json, sys
from jsonschema import Draft202012Validator

schema, told = (json.load(open(path, encoding="utf-8")) for path in sys.argv[1:])
Draft202012Validator.check_schema(schema)
faults = sorted(Draft202012Validator(schema).iter_errors(told), key=lambda fault: fault.json_path)
for fault in faults:
    print(fault.json_path, fault.message, file=sys.stderr)
print(f"check --json: {len(told['findings'])} findings, {len(faults)} faults against the schema")
sys.exit(1 if faults else 0)
EOT
done
