#!/bin/sh
# What --csv prints is a table in every state of the book: a header of plain names, rows as long as it, the same header when there
# is nothing to list, and no cell that a spreadsheet would run.
set -u
cd "$(dirname "$0")/../.."
top=$(pwd)
BUILD=${BUILD:-build/release}
command -v python3 >/dev/null 2>&1 || {
    echo "csv: not run, there is no python3"
    echo "0 passed, 0 failed"
    exit 0
}
work=$(mktemp -d)
trap 'rm -rf "$work"' EXIT
. tests/json/books.sh
make_books "$work" "$top/$BUILD/afterpick"
python3 -B tests/csv/read.py "$work" "$top" "$top/$BUILD/afterpick"
