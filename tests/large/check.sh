#!/bin/sh
# A month of 10,000 picks, none of them ordinary in its size: every page stays under 1.5 MB, says what it leaves out and how to get it.
# 1.5 MB is the project's own limit.
set -u
cd "$(dirname "$0")/../.."
BUILD=${BUILD:-build/release}
AFTERPICK=$(pwd)/$BUILD/afterpick
work=$(mktemp -d)
trap 'rm -rf "$work"' EXIT

passed=0
failed=0
ok() { passed=$((passed + 1)); }
bad() { failed=$((failed + 1)); echo "FAILED large: $*"; }

# An invented log as tests/bench makes it, its days folded into one month and most picks past the company's second band.
"$BUILD/tests/bench/make_log" 10000 7 | awk -F, -v OFS=, '
    NR == 1 { for (i = 1; i <= NF; i++) at[$i] = i; print; next }
    { $at["date"] = sprintf("2026-10-%02d", NR % 28 + 1)
      if (NR % 2) $at["cut_capacity_lb"] = int($at["measured_weight_lb"] * (0.95 + NR % 7 / 50))
      print }' >"$work/log.csv"
"$AFTERPICK" --book "$work/l.book" init --quiet
"$AFTERPICK" --book "$work/l.book" --today 2026-11-02 import "$work/log.csv" --quiet >"$work/out" 2>&1
picks=$("$AFTERPICK" --book "$work/l.book" pick --month 2026-10 --csv | wc -l)
[ "$picks" -gt 9900 ] && ok || bad "only $picks lines of picks: $(head -n 3 "$work/out")"
"$AFTERPICK" --book "$work/l.book" --today 2026-11-02 review --month 2026-10 --out "$work/r" --briefing --book-of-picks --quiet >"$work/out" 2>&1 ||
    bad "the review ends with $?: $(head -n 3 "$work/out")"
find "$work/r" -name '*.html' -size +1464k >"$work/large"
[ -s "$work/large" ] && bad "pages over 1.5 MB: $(ls -l $(cat "$work/large") | awk '{ print $5, $NF }' | sed "s|$work/r/||" | tr '\n' ' ')" || ok
for file in review.html review.md review.txt book/index.html; do
    [ -s "$work/r/$file" ] && ok || bad "no $file"
done
rows=$(awk '/<table id="past-limits"/ { on = 1 } on && /<tr/ { n++ } on && /<\/table>/ { exit } END { print n + 0 }' "$work/r/review.html")
[ "$rows" -gt 50 ] && [ "$rows" -lt 1000 ] && ok || bad "$rows rows of picks past the limits"
grep -q 'afterpick pick --month 2026-10 --csv' "$work/r/review.html" && ok || bad 'the page does not say where the rest is'
echo "a month of $((picks - 1)) picks: review.html $(wc -c <"$work/r/review.html") bytes, book/index.html $(wc -c <"$work/r/book/index.html") bytes"
echo "$passed passed, $failed failed"
[ "$failed" -eq 0 ]
