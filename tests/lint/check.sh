#!/bin/sh
# The lint itself: the tree passes its quick part, and a tree with one thing wrong does not.
set -u
cd "$(dirname "$0")/../.."
passed=0
failed=0
ok() { passed=$((passed + 1)); }
bad() { failed=$((failed + 1)); echo "FAILED lint: $*"; }

if out=$(sh tests/lint.sh quick); then ok; else bad "the tree does not pass: $out"; fi

work=$(mktemp -d)
trap 'rm -rf "$work"' EXIT
fresh() {
    rm -rf "$work/t"
    mkdir -p "$work/t/src/base" "$work/t/src/mech" "$work/t/src/stats" "$work/t/src/report" "$work/t/tests" "$work/t/samples"
    cp tests/lint.sh "$work/t/tests/"
    echo 'int base;' >"$work/t/src/base/base.c"
    echo '#include "base/base.h"' >"$work/t/src/mech/mech.c"
}
refused() { # what, the words it must say
    if out=$(sh "$work/t/tests/lint.sh" quick 2>&1); then
        bad "$1 passed"
    else
        case $out in *"$2"*) ok ;; *) bad "$1: it says '$out'" ;; esac
    fi
}
fresh
if sh "$work/t/tests/lint.sh" quick >/dev/null 2>&1; then ok; else bad 'a good tree does not pass'; fi
fresh
echo '#include "report/review.h"' >"$work/t/src/mech/up.c"
refused 'an include that points up' "'report', which is not below 'mech'"
fresh
echo '#include "stats/runs.h"' >"$work/t/src/mech/peer.c"
refused 'an include of a peer' "includes 'stats'"
fresh
echo '#include <sqlite3.h>' >"$work/t/src/mech/db.c"
refused 'sqlite3.h outside book/' 'sqlite3.h'
fresh
awk 'BEGIN { for (i = 0; i < 601; i++) print "int a" i ";" }' >"$work/t/src/base/long.c"
refused 'a file of 601 lines' '601 lines'
fresh
awk 'BEGIN { print "int f(void) {"; for (i = 0; i < 79; i++) print "    g();"; print "}" }' >"$work/t/src/base/wide.c"
refused 'a function of 81 lines' 'function of 81 lines'
echo "$passed passed, $failed failed"
[ "$failed" -eq 0 ]
