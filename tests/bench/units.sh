#!/bin/sh
# What units in the cells cost: the log of make_log with the unit of each column's header written into each of its cells instead,
# through `afterpick import` beside the sqlite3 shell's .import of the same file, in turn, TIMES (3) times, both durable.
set -eu
cd "$(dirname "$0")/../.."
BUILD=${BUILD:-build/release}
ROWS=${ROWS:-1000000}
TIMES=${TIMES:-3}
work=$(mktemp -d "${TMPDIR:-/tmp}/afterpick-bench-XXXXXX")
trap 'rm -rf "$work"' EXIT INT TERM
"$BUILD/tests/bench/make_log" "$ROWS" | awk -F , -v OFS=, '
    NR == 1 { for (i = 1; i <= NF; i++) if (match($i, /_(lb|ft|in|deg)$/)) { unit[i] = " " substr($i, RSTART + 1); sub(/_(lb|ft|in|deg)$/, "", $i) } print; next }
    { for (i in unit) if ($i != "") $i = $i unit[i]; print }' >"$work/log.csv"
ratios=
i=1
while [ "$i" -le "$TIMES" ]; do
    rm -rf "$work"/crew.book* "$work/shell.db"
    "$BUILD/afterpick" init "$work/crew.book" --quiet
    "$BUILD/tests/bench/timed" 1 "$work/ours" "$BUILD/afterpick" import "$work/log.csv" --book "$work/crew.book" --quiet
    "$BUILD/tests/bench/timed" 1 "$work/shell" sqlite3 "$work/shell.db" -cmd '.mode csv' ".import $work/log.csv picks"
    read -r wall cpu rss <"$work/ours"
    read -r shell_wall shell_cpu shell_rss <"$work/shell"
    [ "$rss" -le 65536 ] || { echo "peak memory $rss KiB is above 64 MiB"; exit 1; }
    ratios="$ratios $(awk -v a="$wall" -v b="$shell_wall" 'BEGIN { printf "%.2f", a / b }')"
    i=$((i + 1))
done
count=$(sqlite3 -readonly "$work/crew.book" 'SELECT count(*) FROM picks')
[ "$count" -eq "$ROWS" ] || { echo "the book holds $count picks of $ROWS"; exit 1; }
echo "units in every cell, wall ratio to .import, median of $TIMES: $(printf '%s\n' $ratios | sort -n | sed -n "$((TIMES / 2 + 1))p") (runs:$ratios; aimed at 1.2)"
