#!/bin/sh
# The short version of `make bench`: the book beside its log, detectors and notes beside the import, on few rows; ratios are shown, not held.
set -u
cd "$(dirname "$0")/../.."
out=$(mktemp)
trap 'rm -f "$out"' EXIT
if ROWS=5000 TIMES=1 HOLD=no sh tests/bench/run.sh >"$out" 2>&1 && ROWS_LIST=5000 sh tests/bench/findings.sh >>"$out" 2>&1; then
    grep -E 'opened again|not run|all detectors' "$out"
    echo '1 passed, 0 failed'
else
    cat "$out"
    echo '0 passed, 1 failed'
    exit 1
fi
