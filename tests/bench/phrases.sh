#!/bin/sh
# The phrase rules over NOTES (400,000) invented notes beside one run of pcre2grep -f over the same notes with the same patterns, put together as
# far as its line length lets: processor seconds and their ratio, held to 2. pcre2grep takes no hit back for a negation, so it
# counts more notes.
set -eu
cd "$(dirname "$0")/../.."
BUILD=${BUILD:-build/release}
NOTES=${NOTES:-400000}
PHRASES=$BUILD/tests/bench/phrases
TIMED=$BUILD/tests/bench/timed
command -v pcre2grep >/dev/null 2>&1 || { echo 'phrases: not run (no pcre2grep)'; exit 0; }
work=$(mktemp -d "${TMPDIR:-/tmp}/afterpick-bench-XXXXXX")
trap 'rm -rf "$work"' EXIT INT TERM
"$BUILD/afterpick" init "$work/crew.book" --quiet >/dev/null
"$PHRASES" - "$NOTES" >"$work/notes"
"$PHRASES" "$work/crew.book" --patterns >"$work/patterns"
hits=$("$PHRASES" "$work/crew.book" "$work/notes")
plain=$(pcre2grep -i -c -f "$work/patterns" "$work/notes")
"$TIMED" 1 "$work/ours" "$PHRASES" "$work/crew.book" "$work/notes"
"$TIMED" 1 "$work/grep" pcre2grep -i -c -f "$work/patterns" "$work/notes"
read -r wall cpu rss <"$work/ours"
read -r grep_wall grep_cpu grep_rss <"$work/grep"
ratio=$(awk -v a="$cpu" -v b="$grep_cpu" 'BEGIN { printf "%.2f", a / b }')
echo "phrases: $NOTES notes, ours $cpu s of processor ($wall s, peak $rss KiB, $hits notes hit), pcre2grep $grep_cpu s ($grep_wall s, peak $grep_rss KiB, $plain notes hit), ratio $ratio"
[ "$hits" -eq $((NOTES / 10)) ] || { echo "phrases: $hits notes hit, one in ten was written to be"; exit 1; }
awk -v r="$ratio" 'BEGIN { exit !(r <= 2) }' || { echo 'phrases: the ratio is above 2'; exit 1; }
