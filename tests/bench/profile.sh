#!/bin/sh
# What a profile costs: a log of ROWS (300,000) rows with headers and words of its own, read by a profile, beside the same log with
# canonical ones; in turn, TIMES (5) times, processor time, dry runs, so that the book's own work is the same and small.
set -eu
cd "$(dirname "$0")/../.."
BUILD=${BUILD:-build/release}
ROWS=${ROWS:-300000}
TIMES=${TIMES:-5}
AFTERPICK=$BUILD/afterpick
work=$(mktemp -d "${TMPDIR:-/tmp}/afterpick-bench-XXXXXX")
trap 'rm -rf "$work"' EXIT INT TERM
"$BUILD/tests/bench/make_log" "$ROWS" >"$work/log.csv"
# Every header is another one, and the words of six columns are the crew's own.
{
    echo 'name bench'
    head -n 1 "$work/log.csv" | tr , '\n' | awk '
        function unit(n) { return match(n, /_(lb|ft|in|deg)$/) ? substr(n, RSTART + 1) : "" }
        { u = unit($0); f = u == "" ? $0 : substr($0, 1, length($0) - length(u) - 1)
          printf "column \"Col %d\" -> %s%s\n", NR, f, u == "" ? "" : " in " u }'
    echo 'value cut: "c-through" -> through'
    echo 'value cut: "c-step" -> step'
    echo 'value cut: "c-hinge" -> hinge'
    echo 'value cut: "c-angled" -> angled'
    echo 'value cut: "c-snap" -> snap'
    echo 'value piece: /^p-limb/ -> limb'
    echo 'value piece: /^p-leader/ -> leader'
    echo 'value piece: /^p-top/ -> top'
    echo 'value piece: /^p-trunk/ -> trunk'
    echo 'value piece: /^p-stub/ -> stub'
    echo 'value near_miss: "nope" -> no'
    echo 'value species: "the red one" -> red maple'
    echo 'skip when "Col 1" is blank'
} >"$work/bench.profile"
awk -F , -v OFS=, '
    NR == 1 { for (i = 1; i <= NF; i++) { if ($i == "cut") c = i; if ($i == "piece") p = i; if ($i == "near_miss") n = i
              if ($i == "species") s = i; $i = "Col " i } print; next }
    { $c = $c == "" ? "" : "c-" $c; $p = $p == "" ? "" : "p-" $p; if ($n == "no") $n = "nope"; if ($s == "red maple") $s = "the red one"
      print }' "$work/log.csv" >"$work/own.csv"
"$AFTERPICK" init "$work/crew.book" --quiet
canonical=
own=
i=1
while [ "$i" -le "$TIMES" ]; do
    "$BUILD/tests/bench/timed" 1 "$work/a" "$AFTERPICK" import "$work/log.csv" --book "$work/crew.book" --dry-run --quiet
    "$BUILD/tests/bench/timed" 1 "$work/b" "$AFTERPICK" import "$work/own.csv" --profile "$work/bench.profile" --book "$work/crew.book" --dry-run --quiet
    canonical="$canonical $(cut -d ' ' -f 2 "$work/a")"
    own="$own $(cut -d ' ' -f 2 "$work/b")"
    i=$((i + 1))
done
# Both read the same picks.
"$AFTERPICK" import "$work/log.csv" --book "$work/crew.book" --dry-run --json --quiet >"$work/a.json"
"$AFTERPICK" import "$work/own.csv" --profile "$work/bench.profile" --book "$work/crew.book" --dry-run --json --quiet >"$work/b.json"
for key in stored set_aside; do
    grep -m 1 "\"$key\": [0-9]" "$work/a.json" >"$work/a.count"
    grep -m 1 "\"$key\": [0-9]" "$work/b.json" >"$work/b.count"
    cmp -s "$work/a.count" "$work/b.count" || { echo "the profile reads other rows: $(cat "$work/a.count" "$work/b.count")"; exit 1; }
done
least() { printf '%s\n' $1 | sort -n | head -n 1; } # what else the machine does only adds
a=$(least "$canonical")
b=$(least "$own")
awk -v a="$a" -v b="$b" -v n="$ROWS" -v hold="${HOLD:-yes}" 'BEGIN {
    printf "profile: %d rows, canonical %.2f s, by a profile %.2f s (processor, least), ratio %.3f (1.15 at most)\n", n, a, b, b / a
    exit !(hold == "no" || b / a <= 1.15) }'
