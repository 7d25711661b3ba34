#!/bin/sh
# Speed as ratios, because seconds are the machine's: a log of ROWS (1,000,000) rows and 48 columns through `afterpick import`
# beside the sqlite3 shell's .import of the same file, in turn, TIMES (3) times; both durable (rollback journal, synchronous FULL).
# Then the book is opened again and compared with the log. Start-up is compared with `true`.
set -eu
cd "$(dirname "$0")/../.."
BUILD=${BUILD:-build/release}
ROWS=${ROWS:-1000000}
TIMES=${TIMES:-3}
AFTERPICK=$BUILD/afterpick
MAKE_LOG=$BUILD/tests/bench/make_log
TIMED=$BUILD/tests/bench/timed
command -v sqlite3 >/dev/null 2>&1 || { echo 'bench: not run (no sqlite3 shell)'; exit 0; }
work=$(mktemp -d "${TMPDIR:-/tmp}/afterpick-bench-XXXXXX")
trap 'rm -rf "$work"' EXIT INT TERM
log=$work/log.csv
bad=0

"$MAKE_LOG" "$ROWS" >"$log"
bytes=$(wc -c <"$log")
echo "log: $ROWS rows, 48 columns, $bytes bytes"

ratios=
i=1
while [ "$i" -le "$TIMES" ]; do
    rm -rf "$work"/crew.book* "$work/shell.db"
    "$AFTERPICK" init "$work/crew.book" >/dev/null
    "$TIMED" 1 "$work/ours" "$AFTERPICK" import "$log" --book "$work/crew.book" --quiet || { echo 'afterpick import failed'; exit 1; }
    "$TIMED" 1 "$work/shell" sqlite3 "$work/shell.db" -cmd '.mode csv' ".import $log picks" || { echo '.import failed'; exit 1; }
    read -r wall cpu rss <"$work/ours"
    read -r shell_wall shell_cpu shell_rss <"$work/shell"
    ratio=$(awk -v a="$wall" -v b="$shell_wall" 'BEGIN { printf "%.2f", a / b }')
    echo "run $i: afterpick import $wall s (processor $cpu s, peak $rss KiB), sqlite3 .import $shell_wall s (processor $shell_cpu s, peak $shell_rss KiB), ratio $ratio"
    [ "$rss" -le 65536 ] || { echo "peak memory $rss KiB is above 64 MiB"; bad=1; }
    ratios="$ratios $ratio"
    i=$((i + 1))
done
median=$(printf '%s\n' $ratios | sort -n | sed -n "$((TIMES / 2 + 1))p")
echo "wall ratio, median of $TIMES: $median"
[ "${HOLD:-yes}" = no ] || awk -v r="$median" 'BEGIN { exit !(r <= 1.5) }' || { echo 'the ratio is above 1.5'; bad=1; }

# The book against the log: how many, the sum of the measured weights, ten rows cell by cell.
db() { sqlite3 -readonly -separator '|' "$work/crew.book" "$1"; }
count=$(db 'SELECT count(*) FROM picks')
[ "$count" -eq "$ROWS" ] || { echo "the book holds $count picks of $ROWS"; bad=1; }
column() { head -n 1 "$log" | tr , '\n' | grep -nx "$1" | cut -d : -f 1; }
measured=$(column measured_weight_lb)
# NIST SP 811 B.8: 1 lb = 0.45359237 kg.
from_log=$(awk -F , -v c="$measured" 'NR > 1 { s += $c } END { printf "%.3f", s * 0.45359237 }' "$log")
from_book=$(db 'SELECT printf("%.3f", sum(measured_weight_kg)) FROM picks')
awk -v a="$from_log" -v b="$from_book" 'BEGIN { d = a - b; if (d < 0) d = -d; exit !(d <= 1e-9 * a) }' ||
    { echo "the weights sum to $from_book kg in the book, $from_log kg in the log"; bad=1; }
same=0
i=1
while [ "$i" -le 10 ]; do
    line=$(awk -v s="$i" -v n="$ROWS" 'BEGIN { srand(s); print int(rand() * n) + 2 }')
    # job, pick, species, planned lb, butt in, kind of leg 2, movement, notes
    want=$(sed -n "${line}p" "$log" | awk -F , -v p="$(column planned_weight_lb)" -v b="$(column butt_diameter_in)" \
        -v k="$(column leg_2_kind)" -v m="$(column movement)" -v t="$(column notes)" \
        '{ printf "%s|%s|%s|%.0f|%.1f|%s|%s|%s", $1, $11, $12, $p, $b, $k, $m, $t }')
    job=${want%%|*}
    rest=${want#*|}
    pick=${rest%%|*}
    got=$(db "SELECT job, pick, species, printf('%.0f', planned_weight_kg / 0.45359237), printf('%.1f', butt_diameter_m / 0.0254),
        leg_2_kind, movement, notes FROM picks WHERE job = '$job' AND pick = '$pick'")
    if [ "$want" = "$got" ]; then same=$((same + 1)); else
        echo "line $line: log $want"
        echo "line $line: book $got"
        bad=1
    fi
    i=$((i + 1))
done
echo "the book opened again: $count picks, weights sum to $from_book kg (log: $from_log), $same of 10 rows the same"

# The same file again: known by its digest.
"$TIMED" 1 "$work/again" "$AFTERPICK" import "$log" --book "$work/crew.book" --quiet
read -r wall cpu rss <"$work/again"
[ "$(db 'SELECT count(*) FROM picks')" -eq "$ROWS" ] || { echo 'the same file again added picks'; bad=1; }
echo "the same file again: $wall s, nothing added"

"$TIMED" 50 "$work/start" "$AFTERPICK" --version
"$TIMED" 50 "$work/true" true
echo "start-up, median of 50: afterpick --version $(cat "$work/start") ms, true $(cat "$work/true") ms"
BUILD="$BUILD" ROWS="$ROWS" TIMES="$TIMES" sh tests/bench/units.sh || bad=1
BUILD="$BUILD" sh tests/bench/profile.sh || bad=1
[ "$ROWS" -lt 1000000 ] || BUILD="$BUILD" sh tests/bench/hang.sh || bad=1
[ "$ROWS" -lt 1000000 ] || BUILD="$BUILD" sh tests/bench/error.sh || bad=1
[ "$ROWS" -lt 1000000 ] || BUILD="$BUILD" sh tests/bench/findings.sh || bad=1
BUILD="$BUILD" TIMES="$TIMES" sh tests/bench/review.sh || bad=1
exit $bad
