#!/bin/sh
# The short version of `make fuzz`: each target on its committed seeds and on mutations of them, without the fuzzing engine.
set -u
cd "$(dirname "$0")/../.."
BUILD=${BUILD:-build/release}
ROUNDS=${ROUNDS:-40}
passed=0
failed=0
work=$(mktemp -d)
trap 'rm -rf "$work"' EXIT
pkgs='sqlite3 libpcre2-8 gsl libcmark libmd libzip expat'
for source in tests/fuzz/fuzz_*.c; do
    name=$(basename "$source" .c)
    name=${name#fuzz_}
    # shellcheck disable=SC2046
    if ! ${CC:-cc} -std=c17 -O1 -g -Isrc -I"$BUILD/gen" -Itests -D_XOPEN_SOURCE=700 -D_DEFAULT_SOURCE -D_FILE_OFFSET_BITS=64 \
        $(pkg-config --cflags $pkgs) -o "$work/$name" "$source" tests/fuzz/replay.c "$BUILD/libafterpick.a" $(pkg-config --libs $pkgs) -lm 2>"$work/err"; then
        failed=$((failed + 1))
        echo "FAILED fuzz/$name does not build: $(head -n 3 "$work/err")"
        continue
    fi
    if said=$(timeout 120 "$work/$name" "$ROUNDS" tests/fuzz/seeds/"$name"/* 2>"$work/err"); then
        passed=$((passed + 1))
        echo "fuzz/$name: $said"
    else
        failed=$((failed + 1))
        echo "FAILED fuzz/$name: exit $?: $(tail -n 3 "$work/err")"
    fi
done
echo "$passed passed, $failed failed"
[ "$failed" -eq 0 ]
