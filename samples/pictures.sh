#!/bin/sh
# Draws docs/review.png anew from demo/review/review.html: what headless Chromium shows of its first page. `make pictures` runs it.
set -eu
cd "$(dirname "$0")/.."
browser=
for name in chromium chromium-browser; do
    browser=$(command -v "$name") && break
done
[ -n "$browser" ] || { echo "no chromium: the picture stays as it is" >&2; exit 2; }
[ -f demo/review/review.html ] || { echo "no demo/review/review.html: run 'make demo' first" >&2; exit 2; }
work=$(mktemp -d "${TMPDIR:-/tmp}/afterpick-pictures-XXXXXX")
trap 'rm -rf "$work"' EXIT
"$browser" --headless --no-sandbox --disable-gpu --disable-quic --no-first-run --hide-scrollbars --user-data-dir="$work/profile" \
    --window-size=1000,1290 --screenshot="$work/review.png" "file://$PWD/demo/review/review.html" >/dev/null 2>&1
[ -s "$work/review.png" ] || { echo "chromium drew nothing" >&2; exit 2; }
# Few colours make a small file, where there is a program for it.
if command -v convert >/dev/null 2>&1; then
    convert "$work/review.png" -strip -colors 64 -define png:compression-level=9 PNG8:"$work/small.png" && mv "$work/small.png" "$work/review.png"
fi
mv "$work/review.png" docs/review.png
echo "docs/review.png"
