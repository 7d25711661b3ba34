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
. tests/json/books.sh
make_books "$work" "$top/$BUILD/afterpick"
python3 -B -W ignore tests/json/validate.py "$work" "$top" "$top/$BUILD/afterpick"
