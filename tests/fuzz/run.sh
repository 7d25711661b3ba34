#!/bin/sh
# Builds every tests/fuzz/fuzz_*.c with the fuzzing engine and both sanitizers, runs each for SECONDS (600) from the
# seeds and the corpus kept under build/fuzz, and prints what was done. TARGETS="delimited when" picks some.
set -u
cd "$(dirname "$0")/../.."
SECONDS_EACH=${SECONDS:-600}
[ "$SECONDS_EACH" -gt 0 ] || SECONDS_EACH=600 # some shells count in a variable of this name
CLANG=${CLANG:-clang}
BUILD=${FUZZ_BUILD:-build/fuzz}
if ! command -v "$CLANG" >/dev/null 2>&1; then
    echo 'fuzz: not run (no clang)'
    exit 0
fi
make --no-print-directory MODE=fuzz CC="$CLANG" B="$BUILD" "$BUILD/libafterpick.a" || exit 1
commit=$(git rev-parse --short HEAD 2>/dev/null || echo unknown)
[ -z "$(git status --porcelain -- src tests/fuzz 2>/dev/null)" ] || commit="$commit with changes"
pkgs='sqlite3 libpcre2-8 gsl libcmark libmd libzip expat'
bad=0
for source in tests/fuzz/fuzz_*.c; do
    name=$(basename "$source" .c)
    name=${name#fuzz_}
    case " ${TARGETS:-$name} " in *" $name "*) ;; *) continue ;; esac
    mkdir -p "$BUILD/targets" "$BUILD/corpus/$name" "$BUILD/findings"
    # shellcheck disable=SC2046
    if ! "$CLANG" -std=c17 -O1 -g -Isrc -I"$BUILD/gen" -Itests -D_XOPEN_SOURCE=700 -D_DEFAULT_SOURCE -D_FILE_OFFSET_BITS=64 \
        -fsanitize=fuzzer,address,undefined -fno-sanitize-recover=undefined $(pkg-config --cflags $pkgs) \
        -o "$BUILD/targets/$name" "$source" "$BUILD/libafterpick.a" $(pkg-config --libs $pkgs) -lm; then
        echo "$name: does not build"
        bad=1
        continue
    fi
    seeds=
    [ -d "tests/fuzz/seeds/$name" ] && seeds="tests/fuzz/seeds/$name"
    log="$BUILD/$name.log"
    # shellcheck disable=SC2086
    "$BUILD/targets/$name" -max_total_time="$SECONDS_EACH" -timeout=10 -rss_limit_mb=2048 -print_final_stats=1 \
        -artifact_prefix="$BUILD/findings/$name-" "$BUILD/corpus/$name" $seeds >"$log" 2>&1
    code=$?
    runs=$(sed -n 's/^stat::number_of_executed_units: *//p' "$log" | tail -n 1)
    seconds=$(sed -n 's/^Done [0-9]* runs in \([0-9]*\) second.*/\1/p' "$log" | tail -n 1)
    files=$(find "$BUILD/corpus/$name" -type f | wc -l)
    echo "$name: ${seconds:-?} s, ${runs:-?} executions, corpus $files, commit $commit"
    if [ "$code" -ne 0 ]; then
        echo "$name: FOUND something (exit $code), see $log and $BUILD/findings/"
        grep -E 'ERROR|SUMMARY|Assertion|runtime error' "$log" | head -n 5
        bad=1
    fi
done
exit $bad
