#!/bin/sh
# The review as a whole: its files, and that it is written and says so when gnuplot is missing, fails or hangs.
set -u
cd "$(dirname "$0")/../.."
BUILD=${BUILD:-build/release}
top=$(pwd)
AFTERPICK=$top/$BUILD/afterpick
work=$(mktemp -d)
trap 'rm -rf "$work"' EXIT
passed=0
failed=0
ok() { passed=$((passed + 1)); }
bad() { failed=$((failed + 1)); echo "FAILED review: $*"; }
says() { if grep -q "$2" "$1"; then ok; else bad "$1 does not say '$2'"; fi; }

"$AFTERPICK" --book "$work/a.book" init --quiet --company 'Invented Tree Works'
"$AFTERPICK" --book "$work/a.book" --today 2026-11-02 import samples/crew-*.csv --quiet >/dev/null
review() { # folder, PATH
    PATH=$2 "$AFTERPICK" --book "$work/a.book" --today 2026-11-02 review --month 2026-10 --out "$work/$1" >"$work/$1.out" 2>"$work/$1.err"
    code=$?
}
review whole "$PATH"
if [ "$code" -eq 0 ]; then ok; else bad "exit $code: $(cat "$work/whole.err")"; fi
for file in review.html review.md; do [ -s "$work/whole/$file" ] && ok || bad "no $file"; done
drawn=$(ls "$work/whole/figures" | wc -l)
inside=$(grep -c '<svg' "$work/whole/review.html")
[ "$drawn" -ge 8 ] && [ "$inside" -ge 1 ] && ok || bad "$drawn figures in the folder, $inside lines with one in the page"
if command -v xmllint >/dev/null 2>&1; then
    if xmllint --noout "$work"/whole/figures/*.svg 2>"$work/xml"; then ok; else bad "$(head -n 3 "$work/xml")"; fi
else
    echo 'figures as XML: not run (no xmllint)'
fi
# The same input gives the same bytes.
review again "$PATH"
if cmp -s "$work/whole/review.html" "$work/again/review.html"; then ok; else bad 'two runs differ'; fi
# Nobody's name, no path of this machine.
if grep -q "$work\|$top" "$work/whole/review.md"; then bad 'a path of this machine is in the review'; else ok; fi

mkdir "$work/none" "$work/broken"
review without "$work/none"
[ "$code" -eq 4 ] && ok || bad "without gnuplot: exit $code"
says "$work/without/review.html" 'gnuplot'
says "$work/without/review.html" 'Estimate error'
says "$work/without.err" 'written without them'
printf '#!/bin/sh\nexit 3\n' >"$work/broken/gnuplot"
chmod +x "$work/broken/gnuplot"
review failing "$work/broken:$PATH"
[ "$code" -eq 4 ] && [ -s "$work/failing/review.html" ] && ok || bad "a gnuplot that fails: exit $code"

# Where it cannot be written it says so.
PATH=$PATH "$AFTERPICK" --book "$work/a.book" review --month 2026-10 --out /dev/null/here >"$work/out" 2>"$work/err"
[ $? -eq 4 ] && ok || bad 'a folder that cannot be made'
says "$work/err" "folder '/dev/null'"
"$AFTERPICK" --book "$work/a.book" weights >/dev/full 2>"$work/err"
[ $? -eq 4 ] && ok || bad 'standard output on a full disk'
says "$work/err" 'standard output'
# A reader that has had enough is no failure and gets no message.
{ "$AFTERPICK" --book "$work/a.book" pick 2>"$work/err"; echo $? >"$work/code"; } | head -n 1 >/dev/null
[ "$(cat "$work/code")" -lt 4 ] && [ ! -s "$work/err" ] && ok || bad "into head: exit $(cat "$work/code"), $(cat "$work/err")"
echo "$passed passed, $failed failed"
[ "$failed" -eq 0 ]
