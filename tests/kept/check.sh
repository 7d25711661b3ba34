#!/bin/sh
# What commands print from a book that keeps what its picks come to, and from one of the same picks that does not: byte for byte the same,
# import after import and after changes of every kind. The last line is "N passed, N failed".
set -u
cd "$(dirname "$0")/../.."
AFTERPICK=$(pwd)/${BUILD:-build/release}/afterpick
command -v sqlite3 >/dev/null 2>&1 || { echo 'kept: not run (no sqlite3 shell)'; echo '0 passed, 0 failed'; exit 0; }
work=$(mktemp -d "${TMPDIR:-/tmp}/afterpick-kept-XXXXXX")
trap 'rm -rf "$work"' EXIT INT TERM
samples=$(pwd)/samples
passed=0
failed=0
mkdir "$work/kept" "$work/rows"
both() {
    for one in kept rows; do
        (cd "$work/$one" && "$AFTERPICK" --today 2026-11-02 --book oak.book "$@") >"$work/$one.out" 2>"$work/$one.err"
        echo "exit $?" >>"$work/$one.out"
    done
}
same() {
    both "$@"
    if cmp -s "$work/kept.out" "$work/rows.out" && cmp -s "$work/kept.err" "$work/rows.err"; then
        passed=$((passed + 1))
    else
        failed=$((failed + 1))
        echo "FAILED after $after: $*"
        diff "$work/kept.out" "$work/rows.out" | head -n 6
    fi
}
in_force() { sqlite3 -readonly "$work/$1/oak.book" 'SELECT count(*) FROM kept_facts'; }
compare() {
    after=$1
    sqlite3 "$work/rows/oak.book" 'DELETE FROM kept_facts; DELETE FROM kept_facts_part'
    [ "$(in_force kept)" = "$2" ] || { failed=$((failed + 1)); echo "FAILED after $after: in force $(in_force kept), not $2"; }
    for by in species cut species,cut estimator crew crane basis piece condition setup month job tree; do
        same weights --by "$by"
    done
    same weights --by estimator --names
    same weights --until 2026-07-10 --by species,cut --json
    same factors
    same factors --by estimator --until 2026-09-30 --csv
    same factors --against 85%
    same trend --by crew
    same density
    same findings
    same weight-sheet
    same pick J152/2
    same review --month 2026-10 --out out
    if diff -r "$work/kept/out" "$work/rows/out" >/dev/null; then passed=$((passed + 1)); else failed=$((failed + 1)); echo "FAILED after $after: the reviews differ"; fi
}
both init oak.book
for log in "$samples"/crew-a-2026-0[48]*.csv "$samples"/crew-b-2026-0[46]*.csv "$samples"/crew-*-2026-10.csv; do
    both import "$log"
done
compare 'imports in any order' 1
both import "$samples"/crew-c-2026-04-05.csv
compare 'one more, of earlier days' 1
both set weighed_as gross --why 'a test'
both crane C1 set block_weight=300lb weighed_as=net --why 'a test'
compare 'a setting and a crane' 1
both amend J152/2 'notes=hollow at the union' --why 'a test'
compare 'an amendment' 0
both undo 2 --why 'a test'
compare 'an undo' 0
echo "$passed passed, $failed failed"
[ "$failed" -eq 0 ]
