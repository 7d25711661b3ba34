#!/bin/sh
# The patterns planted in samples/ (samples/README.md) that notes, pencil, silence and the associations should find, end to end; and those months
# in which nothing of the kind was planted stay quiet.
set -u
cd "$(dirname "$0")/../.."
BUILD=${BUILD:-build/release}
work=$(mktemp -d)
trap 'rm -rf "$work"' EXIT
passed=0
failed=0
"$BUILD/afterpick" init "$work/demo.book" --quiet
"$BUILD/afterpick" --book "$work/demo.book" import samples/*.csv --today 2026-11-02 --no-copy --quiet >/dev/null
for month in 04 05 06 07 08 09 10; do
    "$BUILD/afterpick" --book "$work/demo.book" findings --month "2026-$month" --csv >"$work/$month"
done
"$BUILD/afterpick" --book "$work/demo.book" findings --associations --csv >"$work/associations"
has() { # name, file, pattern
    if grep -Eq "$3" "$work/$2"; then
        passed=$((passed + 1))
    else
        failed=$((failed + 1))
        echo "FAILED nearmiss: $1 is not found in $2"
    fi
}
quiet() { # name, file, pattern
    if grep -Eq "$3" "$work/$2"; then
        failed=$((failed + 1))
        echo "FAILED nearmiss: $1 is found in $2"
    else
        passed=$((passed + 1))
    fi
}
has 'the note about the swing at the climber, not marked' 10 'The notes say.*climber.*J159/4'
has 'the weight copied down four rows' 10 'The same weight 4 times in a row.*J159/7'
has 'crew C weighing less' 09 'Fewer picks weighed than before.*crew C'
has 'crew C weighing less and less' 10 'Fewer picks weighed than before.*crew C'
has 'the kerfs of J160, in the notes too' 10 'The notes say.*kerf.*J160'
has 'eye slings on leaning pieces bringing the hook back' associations 'hook came back,an eye sling on a leaning piece.*more often'
for month in 04 05 06 07 08; do
    quiet 'a pencil or silence finding without a pattern' "$month" 'The same weight|repeat the plan|heaped|Fewer picks weighed|No pick logged'
done
echo "$passed passed, $failed failed"
[ "$failed" -eq 0 ]
