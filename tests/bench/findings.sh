#!/bin/sh
# The detectors on a large book: processor time of all of them and of the notes (reading and reconstructing apart) beside that of the import of the
# same log, at 10,000, 100,000 and 1,000,000 picks (ROWS_LIST). Held at a million: at most half of the import together, memory of
# `afterpick findings` under 256 MiB; and no more a pick than 1.5 times what a tenth of the picks took.
set -u
cd "$(dirname "$0")/../.."
BUILD=${BUILD:-build/release}
AFTERPICK=$BUILD/afterpick
TIMED=$BUILD/tests/bench/timed
work=$(mktemp -d "${TMPDIR:-/tmp}/afterpick-findings-XXXXXX")
trap 'rm -rf "$work"' EXIT INT TERM
bad=0
before=0
for rows in ${ROWS_LIST:-10000 100000 1000000}; do
    "$BUILD/tests/bench/make_log" "$rows" >"$work/log.csv"
    rm -rf "$work"/crew.book*
    "$AFTERPICK" init "$work/crew.book" --quiet
    "$TIMED" 1 "$work/import" "$AFTERPICK" import "$work/log.csv" --book "$work/crew.book" --no-copy --quiet >/dev/null || { echo 'the import failed'; exit 1; }
    read -r wall cpu rss <"$work/import"
    "$BUILD/tests/bench/detect" "$work/crew.book" >"$work/detect" || { echo 'the detectors failed'; exit 1; }
    read -r picks reading rebuilding noting detecting found noted <"$work/detect"
    "$TIMED" 1 "$work/whole" "$AFTERPICK" --book "$work/crew.book" findings >/dev/null || bad=1
    read -r all all_cpu peak <"$work/whole"
    ratio=$(awk -v d="$detecting" -v n="$noting" -v b="$cpu" 'BEGIN { printf "%.2f", (d + n) / b }')
    each=$(awk -v d="$detecting" -v n="$noting" -v picks="$picks" 'BEGIN { printf "%.2f", 1e6 * (d + n) / picks }')
    echo "$rows picks: import $cpu s, all detectors $detecting s ($found findings) and notes $noting s ($noted with a hit): $each microseconds a pick, ratio $ratio"
    echo "    reading $reading s, reconstructing $rebuilding s; the command takes $all_cpu s and peaks at $peak KiB"
    if [ "$rows" -ge 1000000 ]; then
        awk -v r="$ratio" 'BEGIN { exit !(r <= 0.5) }' || { echo 'the ratio is above 0.5'; bad=1; }
        [ "$peak" -le 262144 ] || { echo "peak memory $peak KiB is above 256 MiB"; bad=1; }
        awk -v a="$each" -v b="$before" 'BEGIN { exit !(b == 0 || a <= 1.5 * b) }' || { echo "$each microseconds a pick, $before before: not linear"; bad=1; }
    fi
    before=$each
done
exit $bad
