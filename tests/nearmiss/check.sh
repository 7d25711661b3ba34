#!/bin/sh
# The patterns planted in samples/ (samples/README.md) are found in the month they belong to, from the logs through the import; a review
# and a listing keep the same findings; a book that cannot be written is still looked at.
set -u
cd "$(dirname "$0")/../.."
BIN=${BUILD:-build/release}/afterpick
work=$(mktemp -d)
trap 'rm -rf "$work"' EXIT INT TERM
passed=0
failed=0
book=$work/demo.book
"$BIN" init "$book" --quiet
"$BIN" import samples/*.csv --book "$book" --today 2026-11-02 --quiet >/dev/null
for month in 09 10; do
    "$BIN" --book "$book" findings --month "2026-$month" --csv --today 2026-11-02 >"$work/$month.csv"
done
found() { # month, what, pattern
    if grep -q "$3" "$work/$1.csv"; then passed=$((passed + 1)); else
        failed=$((failed + 1))
        echo "FAILED nearmiss: $2 is not found in 2026-$1"
    fi
}
found 09 'the row of crew B' 'again and again.*crew B.*J147/1'
found 10 'E2 light on silver maple through cuts' 'Plans running light.*silver maple, through cut'
found 10 'over chart at set-down' 'Over chart.*J157/5'
found 10 'the butt at the climber' 'toward a person.*J152/2'
found 10 'a swing not marked as a near miss' 'toward a person.*not logged as a near miss.*J159/4'
found 10 'the climber inside the butt s way' "inside the butt's way.*J156/2"
found 10 'the drop onto the slings' 'Shock.*1.32.*J158/7'
found 10 'two flat legs' 'Legs of the sling.*degrees.*J155/3'
found 10 'the kerfs of J160' 'Kerf closed or opened.*job J160'
found 09 'eye slings bring the hook back' 'Hook had to come back.*eye slings on leaning pieces'

"$BIN" --book "$book" findings --month 2026-10 --csv --today 2026-11-03 >"$work/again.csv"
if [ "$(cut -d, -f1 "$work/10.csv")" = "$(cut -d, -f1 "$work/again.csv")" ] && grep -q 'seen before, open' "$work/again.csv"; then
    passed=$((passed + 1))
else
    failed=$((failed + 1))
    echo 'FAILED nearmiss: the same findings a day later have other numbers, or are called new'
fi

# The superuser may write everywhere: another user is taken for the look where that is possible.
chmod 755 "$work"
chmod 444 "$book"
if [ "$(id -u)" -ne 0 ]; then
    look() { "$BIN" --book "$book" findings --month 2026-08; }
elif command -v setpriv >/dev/null 2>&1 && cp "$BIN" "$work/afterpick" 2>/dev/null; then
    look() { setpriv --reuid=65534 --regid=65534 --clear-groups "$work/afterpick" --book "$book" findings --month 2026-08; }
else
    look() { return 9; }
fi
look >"$work/look" 2>&1
case $? in
    0) grep -q 'findings were not kept' "$work/look" && passed=$((passed + 1)) || { failed=$((failed + 1)); echo 'FAILED nearmiss: a read-only look does not say that nothing was kept'; } ;;
    9) echo 'a book that cannot be written: not run (no other user to look as)' ;;
    *) failed=$((failed + 1)); echo 'FAILED nearmiss: a book that cannot be written is not looked at'; head -3 "$work/look" ;;
esac
echo "$passed passed, $failed failed"
[ "$failed" -eq 0 ]
