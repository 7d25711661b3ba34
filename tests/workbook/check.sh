#!/bin/sh
# The workbook reader beside outside readers of the same files:
#  - random workbooks: what was put in is known, and a reader of a few lines on Python's zipfile and ElementTree agrees;
#  - an office suite, where there is one: its own .xlsx and .ods, and its comma-separated text of every sheet.
set -u
cd "$(dirname "$0")/../.."
BUILD=${BUILD:-build/release}
if ! command -v python3 >/dev/null 2>&1; then
    echo 'workbook/check: not run (no python3)'
    echo '0 passed, 0 failed'
    exit 0
fi
tmp=$(mktemp -d)
trap 'rm -rf "$tmp"' EXIT
flags=
case $BUILD in *asan*) flags='-fsanitize=address,undefined' ;; esac
# shellcheck disable=SC2046,SC2086
if ! ${CC:-cc} -std=c17 -O1 $flags -Isrc -D_XOPEN_SOURCE=700 -D_DEFAULT_SOURCE -o "$tmp/dump" \
    tests/workbook/workbook_dump.c "$BUILD/libafterpick.a" $(pkg-config --libs libzip expat libpcre2-8) -lm; then
    echo 'workbook/check: the dumper does not build'
    echo '0 passed, 1 failed'
    exit 1
fi
office=
for program in soffice libreoffice; do
    [ -n "$office" ] || office=$(command -v $program || true)
done
python3 tests/workbook/check.py "$tmp" "$office"
