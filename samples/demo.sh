#!/bin/sh
# The demonstration: a fresh book under demo/, the invented logs of samples/, one monthly review. `make demo` runs it.
set -eu
cd "$(dirname "$0")/.."
BIN=${BIN:-build/release/afterpick}
[ -x "$BIN" ] || { echo "no program at '$BIN': run 'make' first" >&2; exit 2; }

rm -rf demo
mkdir demo
code=0
# Exit code 1 means "done, but something needs a person's attention": in a demonstration that is the point.
run() {
    [ "$code" -eq 0 ] || return 0
    "$BIN" --book demo/demo.book --today 2026-11-02 --as demo "$@" || code=$?
    [ "$code" -ne 1 ] || code=0
}

run init --company 'Lantern Hollow Tree Cranes (invented)'
run import samples/*.csv

# A near miss of June from its log to a closed action.
on() { # a day, then a command of that day
    day=$1
    shift
    run --today "$day" "$@"
}
miss=demo/near-miss-J122-2.md
on 2026-06-23 writeup new J122/2 --out "$miss"
if [ -f "$miss" ]; then
    awk -f samples/near-miss/put_words.awk samples/near-miss/words.md "$miss" |
        sed 's/^- Severity settled on:$/& critical/; s/^- Probability settled on:$/& C/;
             s/^- Because:$/& the butt passed the climber, who stood on its side with no way back/; s/^- Signed off on:$/& 2026-06-29/' \
            >"$miss.new"
    mv "$miss.new" "$miss"
fi
on 2026-06-24 writeup keep "$miss" --why 'accounts of climber, operator and ground crew'
on 2026-06-24 action add 'weigh the first two pieces of a tree and plan the rest from them, leaves and all' --writeup 1 \
    --owner 'lead climber, crew A' --due 2026-08-31 --control administrative --figure heavier --crew A --target 'below 25 %'
on 2026-06-24 action add 'both slings called tight, one by one, and the display read aloud, before the last fibre' --writeup 1 \
    --owner 'crane operator' --due 2026-10-15 --control administrative
on 2026-08-31 action done 1 --why 'the crew does it on every tree since the 20th'
on 2026-09-01 writeup refresh "$miss"
on 2026-09-01 writeup keep "$miss" --why 'with the actions agreed'
on 2026-11-02 writeup render "$miss" --out demo/near-miss-J122-2.html

run review --month 2026-10 --out demo/review

echo
if [ -f demo/review/review.html ]; then
    echo "The company, its crews and every pick are invented (samples/README.md lists what was planted)."
    echo "The review lies in demo/review/review.html, a near miss written up in demo/near-miss-J122-2.html"
else
    echo "There is no review: see the message above." >&2
    [ "$code" -ne 0 ] || code=4
fi
exit "$code"
