#!/bin/sh
# The estimate error on a large book: weights, factors and trend beside a pandas script that reads the same log and groups
# it (pandas is a general-purpose library), in turn, and how the cost grows from 10,000 to 1,000,000 picks. Limits at a
# million picks: a quarter of the script's time for the three together, 256 MiB each.
set -u
cd "$(dirname "$0")/../.."
BUILD=${BUILD:-build/release}
AFTERPICK=$BUILD/afterpick
TIMED=$BUILD/tests/bench/timed
TIMES=${TIMES:-3}
work=$(mktemp -d "${TMPDIR:-/tmp}/afterpick-error-XXXXXX")
trap 'rm -rf "$work"' EXIT INT TERM
bad=0
python=
for one in python3 /usr/bin/python3; do
    "$one" -c 'import pandas' 2>/dev/null && python=$one && break
done

cat >"$work/group.py" <<'PY'
import sys
import pandas
log = pandas.read_csv(sys.argv[1])
rigging = log.rigging_weight_lb.where(log.measured_as == "gross", 0)
log["ratio"] = (log.measured_weight_lb - rigging) / log.planned_weight_lb
print(log.groupby(["species", "cut"]).ratio.agg(["count", "median", "mean", "std"]))
print(log.groupby(log.date.str[:7]).ratio.agg(["count", "median", "std"]))
PY

# The three commands one after the other: $total seconds, and a line of the parts.
run_ours() {
    total=0
    line=
    for command in 'weights --by species,cut' factors trend; do
        # shellcheck disable=SC2086
        "$TIMED" 1 "$work/ours" "$AFTERPICK" --book "$work/crew.book" $command >/dev/null || { echo "$command failed"; exit 1; }
        read -r wall cpu rss <"$work/ours"
        total=$(awk -v a="$total" -v b="$wall" 'BEGIN { printf "%.3f", a + b }')
        line="$line, ${command%% *} $wall s ($rss KiB)"
        if [ "$rss" -gt 262144 ]; then
            echo "${command%% *}: peak memory $rss KiB is above 256 MiB"
            bad=1
        fi
    done
}

for rows in 10000 100000 1000000; do
    "$BUILD/tests/bench/make_log" "$rows" >"$work/log.csv"
    rm -rf "$work"/crew.book*
    "$AFTERPICK" init "$work/crew.book" --quiet
    "$AFTERPICK" import "$work/log.csv" --book "$work/crew.book" --quiet >/dev/null || { echo 'the import failed'; exit 1; }
    run_ours
    each=$(awk -v t="$total" -v n="$rows" 'BEGIN { printf "%.2f", 1e6 * t / n }')
    echo "$rows picks: ${line#, }; together $total s, $each microseconds a pick"
done
if [ -z "$python" ]; then
    echo 'beside pandas: not run (no pandas)'
    exit $bad
fi
ratios=
for round in $(seq "$TIMES"); do
    [ "$round" -eq 1 ] || run_ours # the first time is the one right after the import
    "$TIMED" 1 "$work/theirs" "$python" "$work/group.py" "$work/log.csv" >/dev/null || { echo 'the pandas script failed'; exit 1; }
    read -r wall cpu rss <"$work/theirs"
    ratio=$(awk -v a="$total" -v b="$wall" 'BEGIN { printf "%.3f", a / b }')
    echo "round $round: $total s; pandas reads and groups the log in $wall s ($rss KiB); ratio $ratio"
    ratios="$ratios $ratio"
done
# shellcheck disable=SC2086
median=$(printf '%s\n' $ratios | sort -n | sed -n "$((TIMES / 2 + 1))p")
echo "weights, factors and trend beside pandas, median of $TIMES: $median"
awk -v r="$median" 'BEGIN { exit !(r <= 0.25) }' || { echo 'the ratio is above 0.25'; bad=1; }
exit $bad
