#!/bin/sh
# What --json prints is what docs/schema/ says, by a general validator (python3-jsonschema).
set -u
cd "$(dirname "$0")/../.."
top=$(pwd)
BUILD=${BUILD:-build/release}
if ! python3 -W ignore -c 'import jsonschema; jsonschema.Draft202012Validator' 2>/dev/null; then
    echo "json schemas: not run, there is no python3-jsonschema that knows draft 2020-12"
    echo "0 passed, 0 failed"
    exit 0
fi
work=$(mktemp -d)
trap 'rm -rf "$work"' EXIT
cp -R samples "$work/samples"
(cd "$work" && BIN="$top/$BUILD/afterpick" sh samples/demo.sh >/dev/null 2>&1)
"$BUILD/afterpick" init "$work/messy.book" --quiet
"$BUILD/afterpick" init "$work/new.book" --quiet
printf '%s\n' '{"format":"afterpick-evidence","version":1,"origin":"north branch"}' \
    '{"kind":"species","symbol":"QUAL","scientific":"Quercus alba","handbook_kg_m3":1015.5706,"log_shift":0.031,"se_log":0.024,"trees":14,"picks":41}' \
    '{"kind":"brush","piece":"limb","foliage":"leaf_on","group":"hardwood","log_shift":0.1,"se_log":0.02,"trees":4,"picks":8}' >"$work/north.jsonl"
python3 -W ignore tests/json/validate.py "$work" "$top" "$top/$BUILD/afterpick"
