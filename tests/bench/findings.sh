#!/bin/sh
# The detectors on a large book: processor time of all of them (reading, reconstructing and the notes apart; phrases.sh holds those) beside that of the import of the same log, at
# 10,000, 100,000 and 1,000,000 picks; at most half of it at a million, memory of `afterpick findings` under 256 MiB.
set -u
cd "$(dirname "$0")/../.."
BUILD=${BUILD:-build/release}
AFTERPICK=$BUILD/afterpick
TIMED=$BUILD/tests/bench/timed
work=$(mktemp -d "${TMPDIR:-/tmp}/afterpick-findings-XXXXXX")
trap 'rm -rf "$work"' EXIT INT TERM
bad=0
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
    ratio=$(awk -v a="$detecting" -v b="$cpu" 'BEGIN { printf "%.2f", a / b }')
    each=$(awk -v a="$detecting" -v n="$picks" 'BEGIN { printf "%.2f", 1e6 * a / n }')
    echo "$rows picks: import $cpu s, all detectors $detecting s ($each microseconds a pick, ratio $ratio, $found findings), reading $reading s, reconstructing $rebuilding s, notes $noting s ($noted with a hit); the command peaks at $peak KiB"
    if [ "$rows" -eq 1000000 ]; then
        awk -v r="$ratio" 'BEGIN { exit !(r <= 0.5) }' || { echo 'the ratio is above 0.5'; bad=1; }
        [ "$peak" -le 262144 ] || { echo "peak memory $peak KiB is above 256 MiB"; bad=1; }
    fi
done
exit $bad
