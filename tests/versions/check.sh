#!/bin/sh
# Stored books of earlier versions: brought up to date, nothing lost, and the same tables as a new book. version_2.book was
# made by the program of that version from the first five picks of samples/crew-a-2026-10.csv and one changed setting.
set -u
here=$(cd "$(dirname "$0")" && pwd)
top=$(cd "$here/../.." && pwd)
BUILD=${BUILD:-build/release}
A=$top/$BUILD/afterpick
passed=0
failed=0
check() { # what, command...
    what=$1
    shift
    if "$@" >"$work/said" 2>&1; then passed=$((passed + 1)); else
        failed=$((failed + 1))
        echo "versions: $what: failed"
        head -n 5 "$work/said"
    fi
}
work=$(mktemp -d)
trap 'rm -rf "$work"' EXIT
cd "$work" || exit 1
"$A" init new.book --quiet
for stored in "$here"/version_*.book.gz; do
    name=$(basename "$stored" .book.gz)
    gzip -dc "$stored" >"$name.book"
    cp "$name.book" "$name.kept"
    check "$name: a report does not change it, and says so" sh -c '! "$1" weights --book "$2" 2>&1 | grep -v "brought up to date"' _ "$A" "$name.book"
    check "$name: untouched by a report" cmp -s "$name.book" "$name.kept"
    check "$name: a change brings it up to date" "$A" set company 'Brought up' --why test --book "$name.book" --today 2026-11-02
    check "$name: it is whole" "$A" check --book "$name.book"
    check "$name: all five picks are there" [ "$("$A" pick --book "$name.book" --csv | grep -c '^J')" -eq 5 ]
    check "$name: the setting it had is kept" sh -c '"$1" set --book "$2" --json | grep -q "\"block_weight_kg\": 190.50"' _ "$A" "$name.book"
    check "$name: findings can be looked for" "$A" findings --book "$name.book" --today 2026-11-02
    for book in "$name" new; do
        sqlite3 "$book.book" "select type, name, sql from sqlite_schema where name not like 'sqlite_%' order by 1, 2" >"$book.schema"
    done
    check "$name: the same tables, views and indexes as a new book" cmp "$name.schema" new.schema
    check "$name: the same rules" [ "$(sqlite3 "$name.book" 'select count(*) from rule')" -eq "$(sqlite3 new.book 'select count(*) from rule')" ]
done
echo "$passed passed, $failed failed"
[ "$failed" -eq 0 ]
