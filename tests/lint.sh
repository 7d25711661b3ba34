#!/bin/sh
# Rules of the house that a compiler does not know: floors, sizes, who may include what, then format and clang-tidy.
set -eu
cd "$(dirname "$0")/.."
bad=0
say() { echo "lint: $*"; bad=1; }

# The floors, lowest first. An include points down; mech, stats and text stand side by side and do not know each other.
floor_of() {
    case $1 in
        base) echo 0 ;; mech | stats | text) echo 1 ;; book) echo 2 ;; intake) echo 3 ;; derive) echo 4 ;;
        analysis) echo 5 ;; followup) echo 6 ;; nearmiss) echo 7 ;; page) echo 8 ;; figure) echo 9 ;;
        report) echo 10 ;; cli) echo 11 ;; *) echo -1 ;;
    esac
}
for file in src/*/*.[ch]; do
    room=$(basename "$(dirname "$file")")
    floor=$(floor_of "$room")
    [ "$floor" -ge 0 ] || say "$file: '$room' is not a room of the house"
    for target in $(sed -n 's/^#include "\([a-z]*\)\/.*/\1/p' "$file" | sort -u); do
        [ "$target" = "$room" ] && continue
        [ "$(floor_of "$target")" -lt "$floor" ] || say "$file: includes '$target', which is not below '$room'"
    done
    case $room in
        # Pure rooms: nothing but base below them.
        page | mech | stats | text | figure | derive)
            allowed='base'
            [ "$room" = derive ] && allowed='base|mech'
            for target in $(sed -n 's/^#include "\([a-z]*\)\/.*/\1/p' "$file" | grep -vxE "$allowed|$room" || true); do
                say "$file: a pure room includes '$target'"
            done ;;
    esac
done
only_in() { # header, pattern of allowed paths
    for file in $(grep -lE "#include [<\"]$1[>\"]" -r src || true); do
        printf '%s\n' "$file" | grep -qE "$2" || say "$file: includes $1, which belongs to $2"
    done
}
only_in sqlite3.h '^src/book/'
only_in pcre2.h '^src/text/'
only_in spawn.h '^src/(base|figure)/'
only_in cmark.h '^src/page/'
only_in zip.h '^src/text/'
only_in expat.h '^src/text/'

for file in src/*/*.[ch] tests/*/*.[ch] samples/*.c; do
    [ -f "$file" ] || continue
    lines=$(wc -l <"$file")
    [ "$lines" -le 600 ] || say "$file: $lines lines (600 at most)"
done
# A function opens with '{' in column 1 or at the end of a line that starts in column 1, and ends with '}' in column 1.
for file in src/*/*.c; do
    awk -v file="$file" '
        /^[a-zA-Z].*\)[ ]*\{$/ || (/\)[ ]*\{$/ && open_head) { start = NR; name = $0; inside = 1; open_head = 0 }
        /^[a-zA-Z].*[(,]$/ || /^[a-zA-Z][^;={]*\([^;{]*,$/ { open_head = 1 }
        /;$/ { open_head = 0 }
        /^}/ { if (inside && NR - start + 1 > 80) { print "lint: " file ":" start ": function of " NR - start + 1 " lines (80 at most)"; n++ } inside = 0; open_head = 0 }
        END { exit n > 0 }' "$file" || bad=1
done

# gcc 12 for x86 may move two numbers of 32 bits through an MMX register and leave the x87 stack taken: from then on long double,
# which SQLite compares whole numbers with, is NaN. Wider counters in the function it happens in avoid that.
if [ -x build/release/afterpick ] && command -v objdump >/dev/null &&
    objdump -d --no-show-raw-insn build/release/afterpick | grep -q '%mm[0-7]'; then
    say 'build/release/afterpick uses MMX registers: objdump -dl shows where'
fi
[ "${1:-}" = quick ] && exit $bad

if command -v clang-format >/dev/null 2>&1; then
    clang-format --dry-run -Werror $(ls src/*/*.[ch] tests/*/*.[ch] samples/*.c 2>/dev/null) || bad=1
else
    echo 'clang-format: not run (not installed)'
fi
if command -v clang-tidy >/dev/null 2>&1; then
    flags="-std=c17 -Isrc -Ibuild/release/gen -D_XOPEN_SOURCE=700 -D_DEFAULT_SOURCE -D_FILE_OFFSET_BITS=64 -DAP_VERSION='\"lint\"'"
    ls src/*/*.c | xargs -n 1 -P "$(nproc 2>/dev/null || echo 2)" sh -c 'clang-tidy --quiet "$1" -- '"$flags"' 2>/dev/null || exit 1' _ || bad=1
else
    echo 'clang-tidy: not run (not installed)'
fi
exit $bad
