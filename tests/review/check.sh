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
# What the first page names and what it counts besides are all certain findings of the month: who adds up must not miss one.
certain=$("$AFTERPICK" --book "$work/a.book" --today 2026-11-02 findings --month 2026-10 --csv | cut -d, -f2 | grep -c '^certain$')
named=$(sed -n '/^## Look at these first/,/^## /p' "$work/whole/review.md" | grep -c '^- ▲ ')
besides=$(sed -n 's/^Besides, \([0-9]*\) certain finding.*/\1/p' "$work/whole/review.md" | head -n 1)
[ "$certain" -eq $((named + ${besides:-0})) ] && ok || bad "$certain certain findings, $named named first and ${besides:-none} besides"
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
says "$work/failing/review.html" 'Figure not drawn'
# A program that hangs, and one that is too old: the same, in the time it was given.
printf '#!/bin/sh\nexec sleep 60\n' >"$work/broken/gnuplot"
AFTERPICK_FIGURE_SECONDS=2
export AFTERPICK_FIGURE_SECONDS
start=$(date +%s)
review hanging "$work/broken:$PATH"
took=$(($(date +%s) - start))
[ "$code" -eq 4 ] && [ "$took" -lt 30 ] && ok || bad "a gnuplot that hangs: exit $code after $took s"
says "$work/hanging/review.html" 'did not finish in time'
says "$work/hanging.err" 'did not finish in time'
says "$work/hanging/review.md" 'Estimate error'
AFTERPICK_FIGURE_SECONDS=soon
review named "$work/none"
says "$work/named.err" 'AFTERPICK_FIGURE_SECONDS is to be a number'
unset AFTERPICK_FIGURE_SECONDS
real=$(command -v gnuplot)
printf '#!/bin/sh\nsed s/GPVAL_VERSION/4.6/g | "%s" -d /dev/stdin\n' "$real" >"$work/broken/gnuplot"
review old "$work/broken:$PATH"
[ "$code" -eq 4 ] && ok || bad "an old gnuplot: exit $code"
says "$work/old/review.html" 'older than 5.2'
# Other commands that draw: what they have to say is said all the same, and why there is no figure.
"$AFTERPICK" --book "$work/a.book" --today 2026-11-02 writeup new J152/2 --out "$work/near.md" --quiet >/dev/null
draws() { # PATH, what is said of the figure
    for words in 'pick J152/2 --figure text' "pick J152/2 --figure $work/side.svg" 'trend --figure text' 'density --figure text' 'weights --figure text' \
        "writeup render $work/near.md --out $work/near-$3.html" "review --month 2026-10 --out $work/book-$3 --book-of-picks"; do
        PATH=$1 "$AFTERPICK" --book "$work/a.book" --today 2026-11-02 $words >"$work/out" 2>"$work/err"
        [ $? -eq 4 ] && [ -s "$work/out" ] && ok || bad "'$words' with a gnuplot that is $3: $(head -n 2 "$work/err")"
        cat "$work"/out "$work"/err "$work"/near-"$3".html "$work"/book-"$3"/review.html 2>/dev/null >"$work/both"
        grep -q "$2" "$work/both" && ok || bad "'$words' does not say '$2'"
    done
    page=$(ls "$work/book-$3"/book/pick-*.html | head -n 1)
    says "$page" 'Figure not drawn'
}
draws "$work/none" 'could not be started' missing
draws "$work/broken:$PATH" 'older than 5.2' old
printf '#!/bin/sh\nexec sleep 60\n' >"$work/broken/gnuplot"
AFTERPICK_FIGURE_SECONDS=1
export AFTERPICK_FIGURE_SECONDS
draws "$work/broken:$PATH" 'did not finish in time' hanging
unset AFTERPICK_FIGURE_SECONDS
# Ids are those of one page: none comes twice, in the drawings or around them.
twice=$(grep -o ' id="[^"]*"' "$work/whole/review.html" | sort | uniq -d)
[ -z "$twice" ] && ok || bad "ids that come twice: $twice"
for figure in planned species cut estimator grid trend runs capacity movement movement-setup re-rigs kerf density predicted between; do
    says "$work/whole/review.html" "<figure id=\"fig-$figure\">"
done

# Ten picks of one job, hardly two alike: few, and no reason to stop.
cat >"$work/few.csv" <<'END'
job,date,tree,pick,species,crew,estimator,planned_weight_lb,planned_as,rigging_weight_lb,measured_weight_lb,measured_as,weighed_by,cut
J1,2010-01-01,T1,1,green ash,crew-5,est-5,5450,net,500,5530,gross,load_indicator,step
J1,2010-01-01,T1,2,somewood,crew-1,est-7,1050,net,460,1510,gross,load_indicator,step
J1,2010-01-01,T1,3,green ash,crew-5,est-2,1150,net,530,1650,gross,load_indicator,angled
J1,2010-01-01,T1,4,northern red oak,crew-2,est-7,900,net,520,1430,gross,load_indicator,hinge
J1,2010-01-01,T1,5,silver maple,crew-5,est-1,1000,net,440,1290,gross,load_indicator,step
J1,2010-01-01,T1,6,American beech,crew-1,est-3,4050,net,400,4620,gross,load_indicator,through
J1,2010-01-01,T1,7,Norway spruce,crew-5,est-5,600,net,360,870,gross,load_indicator,angled
J1,2010-01-01,T1,8,white oak,crew-5,est-7,3400,net,460,5110,gross,load_indicator,hinge
J1,2010-01-01,T2,9,northern red oak,crew-6,est-1,7200,net,450,7290,gross,load_indicator,hinge
J1,2010-01-01,T2,10,eastern white pine,crew-1,est-2,1650,net,400,2480,gross,load_indicator,hinge
END
"$AFTERPICK" --book "$work/few.book" init --quiet --company 'Invented Tree Works'
"$AFTERPICK" --book "$work/few.book" --today 2026-11-02 import "$work/few.csv" --quiet >/dev/null
"$AFTERPICK" --book "$work/few.book" weights >"$work/few.out" 2>"$work/few.err" && ok || bad "ten picks: $(cat "$work/few.err")"
says "$work/few.out" 'green ash'

# The book of picks written a second time, of another month: older pages go, what somebody put there or changed stays and is told of.
book() { "$AFTERPICK" --book "$work/a.book" --today 2026-11-02 review --month "$1" --out "$work/second" --book-of-picks >"$work/book.out" 2>"$work/book.err"; }
book 2026-10 || bad "book of picks: $(cat "$work/book.err")"
[ ! -s "$work/book.err" ] && ok || bad "a first book of picks says: $(cat "$work/book.err")"
(cd "$work/second/book" && sha256sum --quiet -c pages.sha256 && [ "$(wc -l <pages.sha256)" -eq "$(ls | grep -c html)" ]) >"$work/out" 2>&1 && ok || bad "pages.sha256: $(head -n 3 "$work/out")"
edited=$(cd "$work/second/book" && ls pick-*.html | head -n 1)
echo 'by hand' >>"$work/second/book/$edited"
echo 'mine' >"$work/second/book/notes.html"
book 2026-07 && ok || bad "book of picks of another month: $(cat "$work/book.err")"
says "$work/book.err" 'of an earlier review, not written again, removed'
says "$work/book.err" '1 page of an earlier review in .* changed since'
[ -s "$work/second/book/$edited" ] && [ -s "$work/second/book/notes.html" ] && ok || bad 'a page somebody changed or made is gone'
stale=$(cd "$work/second/book" && ls | grep '^pick-' | grep -v "^$edited$" | while read -r page; do grep -q "href=\"$page\"" index.html || echo "$page"; done)
[ -z "$stale" ] && ok || bad "pages of the earlier month are left: $stale"
book 2026-10
[ $? -eq 3 ] && ok || bad 'a changed page was written over'
says "$work/book.err" "$edited' is there and is not as an earlier review left it"

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
