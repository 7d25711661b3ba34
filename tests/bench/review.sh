#!/bin/sh
# The review of about 1,000 picks in a book of 100,000, all figures drawn, beside what gnuplot needs for the same figures from the
# script it was given and what the sqlite3 shell needs for a `select *` over the picks, in turn, TIMES (3) times, processor seconds. Limit:
# three times the one and three times the other together. The first review of a book keeps what the later ones read: it is told apart.
set -u
cd "$(dirname "$0")/../.."
BUILD=${BUILD:-build/release}
TIMES=${TIMES:-3}
AFTERPICK=$(pwd)/$BUILD/afterpick
TIMED=$BUILD/tests/bench/timed
GNUPLOT=$(command -v gnuplot) || { echo 'review: not run (no gnuplot)'; exit 0; }
command -v sqlite3 >/dev/null 2>&1 || { echo 'review: not run (no sqlite3 shell)'; exit 0; }
work=$(mktemp -d "${TMPDIR:-/tmp}/afterpick-review-XXXXXX")
trap 'rm -rf "$work"' EXIT INT TERM
bad=0

"$BUILD/tests/bench/make_log" 100000 >"$work/log.csv"
"$AFTERPICK" init "$work/crew.book" --quiet
"$AFTERPICK" import "$work/log.csv" --book "$work/crew.book" --no-copy --quiet >/dev/null || { echo 'the import failed'; exit 1; }
review() {
    "$TIMED" 1 "$work/ours" "$AFTERPICK" --book "$work/crew.book" review --since 2012-12-01 --until 2012-12-11 --out "$work/out"
}

# A gnuplot that keeps the script it is given.
mkdir "$work/bin"
printf '#!/bin/sh\nexec tee "%s" | exec "%s" "$@"\n' "$work/figures.gp" "$GNUPLOT" >"$work/bin/gnuplot"
chmod +x "$work/bin/gnuplot"
cp "$work/crew.book" "$work/fresh.book"
PATH=$work/bin:$PATH review || { echo 'the review failed'; exit 1; }
[ -s "$work/figures.gp" ] || { echo 'gnuplot was given no script'; exit 1; }
mv "$work/fresh.book" "$work/crew.book"
review || { echo 'the review failed'; exit 1; }
read -r wall cpu rss <"$work/ours"
echo "the first review: $wall s (processor $cpu s, peak $rss KiB)"

i=1
ratios=
while [ "$i" -le "$TIMES" ]; do
    review || { echo 'the review failed'; exit 1; }
    "$TIMED" 1 "$work/draw" sh -c "exec '$GNUPLOT' -d '$work/figures.gp'" || { echo 'gnuplot failed'; exit 1; }
    "$TIMED" 1 "$work/select" sqlite3 -readonly "$work/crew.book" 'SELECT * FROM pick' || { echo 'the select failed'; exit 1; }
    read -r wall cpu rss <"$work/ours"
    read -r draw_wall draw_cpu draw_rss <"$work/draw"
    read -r select_wall select_cpu select_rss <"$work/select"
    ratio=$(awk -v a="$cpu" -v b="$draw_cpu" -v c="$select_cpu" 'BEGIN { printf "%.2f", a / (3 * b + 3 * c) }')
    echo "run $i: review $wall s (processor $cpu s, peak $rss KiB), gnuplot $draw_wall s (processor $draw_cpu s), select $select_wall s (processor $select_cpu s), ratio $ratio"
    ratios="$ratios $ratio"
    i=$((i + 1))
done
# shellcheck disable=SC2086
median=$(printf '%s\n' $ratios | sort -n | sed -n "$((TIMES / 2 + 1))p")
bytes=$(wc -c <"$work/out/review.html")
echo "ratio to three times both, median of $TIMES: $median; review.html has $bytes bytes"
awk -v r="$median" 'BEGIN { exit !(r <= 1) }' || { echo 'the ratio is above 1'; bad=1; }
[ "$bytes" -le 1572864 ] || { echo 'the page is above 1.5 MB'; bad=1; }
exit $bad
