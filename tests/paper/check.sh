#!/bin/sh
# A long list of findings on paper: a review of 700 invented picks with some 200 findings, printed by Chromium on Letter. Each finding stands
# on one sheet whole, and at least 14 on an average sheet of them.
set -u
cd "$(dirname "$0")/../.."
BUILD=${BUILD:-build/release}
not_run() {
    echo "paper: not run ($1)"
    echo '0 passed, 0 failed'
    exit 0
}
browser=
for name in chromium chromium-browser; do
    command -v "$name" >/dev/null 2>&1 && browser=$name && break
done
[ -n "$browser" ] || not_run 'no chromium'
command -v pdftotext >/dev/null 2>&1 || not_run 'no pdftotext'
[ -x "$BUILD/tests/bench/make_log" ] || not_run 'no make_log'
work=$(mktemp -d)
trap 'rm -rf "$work"' EXIT INT TERM
crew() { "$BUILD/afterpick" --book "$work/t.book" --today 2012-11-02 --quiet "$@" >/dev/null 2>"$work/says"; }
"$BUILD/tests/bench/make_log" 700 7 >"$work/log.csv"
crew init && crew import "$work/log.csv"
crew review --since 2010-01-01 --until 2010-01-08 --out "$work/out"
timeout 120 "$browser" --headless --no-sandbox --disable-gpu --no-pdf-header-footer --print-to-pdf="$work/out.pdf" \
    "file://$work/out/review.html" >/dev/null 2>&1
[ -s "$work/out.pdf" ] || not_run 'chromium prints nothing here'
rows=$(grep -o 'data-label="no."' "$work/out/review.html" | wc -l)
pdftotext -layout "$work/out.pdf" "$work/out.txt"
# a sheet ends with a form feed; a sheet of the list is one with three findings and more
awk -v RS='\f' '{ n = gsub(/what could have been/, ""); if (n >= 3) { sheets++; found += n } } END { print sheets + 0, found + 0 }' "$work/out.txt" >"$work/count"
read -r sheets found <"$work/count"
echo "paper: $rows findings on $sheets sheets"
passed=0
failed=0
if [ "$rows" -ge 150 ] && [ "$found" -ge "$((rows - 3))" ]; then passed=$((passed + 1)); else
    failed=$((failed + 1)); echo "FAILED paper: $found of $rows findings stand on paper"
fi
if [ "$sheets" -gt 0 ] && [ $((rows / sheets)) -ge 14 ]; then passed=$((passed + 1)); else
    failed=$((failed + 1)); echo "FAILED paper: fewer than 14 findings a sheet"
fi
echo "$passed passed, $failed failed"
[ "$failed" -eq 0 ]
