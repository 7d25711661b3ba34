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
run review --month 2026-10 --out demo/review

echo
if [ -f demo/review/review.html ]; then
    echo "The company, its crews and every pick are invented (samples/README.md lists what was planted)."
    echo "The review lies in demo/review/review.html"
else
    echo "There is no review: see the message above." >&2
    [ "$code" -ne 0 ] || code=4
fi
exit "$code"
