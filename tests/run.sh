#!/bin/sh
# Runs the tests and closes with one plain line. "unit" alone runs only the C programs (for asan and valgrind).
# A part that cannot run here says "not run" and why; it counts neither as passed nor as failed.
set -u
cd "$(dirname "$0")/.."
BUILD=${BUILD:-build/release}
WRAP=${WRAP:-}
export BUILD
passed=0
failed=0
out=$(mktemp)
trap 'rm -f "$out"' EXIT

# Each part prints its own report; its last line is "N passed, N failed".
tally() {
    line=$(grep -E '^[0-9]+ passed, [0-9]+ failed$' "$out" | tail -n 1)
    if [ -z "$line" ]; then
        echo "$1: ended without a count (exit $2)"
        failed=$((failed + 1))
        return
    fi
    p=${line%% *}
    f=${line#*, }
    f=${f%% *}
    passed=$((passed + p))
    failed=$((failed + f))
    [ "$2" -eq 0 ] || [ "$f" -gt 0 ] || { echo "$1: exit $2"; failed=$((failed + 1)); }
}

for source in tests/*/test_*.c; do
    name=${source#tests/}
    name=${name%.c}
    if $WRAP "$BUILD/tests/$name" >"$out" 2>&1; then code=0; else code=$?; fi
    p=$(sed -n 's/^\[  PASSED  \] \([0-9]*\) test(s)\.$/\1/p' "$out" | awk '{n += $1} END {print n + 0}')
    f=$(sed -n 's/^\[  FAILED  \] \([0-9]*\) test(s), listed below:$/\1/p' "$out" | awk '{n += $1} END {print n + 0}')
    passed=$((passed + p))
    failed=$((failed + f))
    if [ "$code" -ne 0 ] && [ "$f" -eq 0 ]; then
        failed=$((failed + 1))
        f=1
    fi
    grep 'not run' "$out" || true
    if [ "$f" -gt 0 ]; then
        echo "FAILED $name (exit $code)"
        grep -vE '^\[( RUN|       OK|==========)' "$out" | head -n 60
    else
        echo "ok $name ($p)"
    fi
done
if [ "${1:-}" != unit ]; then
    for part in tests/*/check.sh; do
        [ -f "$part" ] || continue
        if sh "$part" >"$out" 2>&1; then code=0; else code=$?; fi
        grep -vE '^[0-9]+ passed, [0-9]+ failed$' "$out"
        tally "$part" "$code"
    done
fi
echo "$passed passed, $failed failed"
[ "$failed" -eq 0 ] && [ "$passed" -gt 0 ]
