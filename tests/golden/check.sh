#!/bin/sh
# Golden cases: each folder NAME holds `run` (a few shell lines a person could type), what they need under input/, and
# `expected`: everything they print, errors too, each command followed by its exit code. UPDATE=1 rewrites `expected`
# after a change that was meant; read the difference before you commit it.
set -u
here=$(cd "$(dirname "$0")" && pwd)
top=$(cd "$here/../.." && pwd)
BUILD=${BUILD:-build/release}
passed=0
failed=0
work=$(mktemp -d)
trap 'rm -rf "$work"' EXIT
mkdir "$work/bin"
ln -s "$top/$BUILD/afterpick" "$work/bin/afterpick"

# A locale with a decimal comma, one that is there or one made here: output must not change.
LOCPATH=
for other in de_DE.utf8 fr_FR.utf8 de_DE.UTF-8; do
    locale -a 2>/dev/null | grep -qx "$other" && break
    other=
done
if [ -z "$other" ] && mkdir "$work/locales" && localedef -i de_DE -f UTF-8 "$work/locales/de_DE.UTF-8" >/dev/null 2>&1; then
    other=de_DE.UTF-8
    LOCPATH=$work/locales
fi
locales=C.UTF-8
if [ -n "$other" ] && [ "$(env ${LOCPATH:+LOCPATH="$LOCPATH"} LC_ALL="$other" locale decimal_point 2>/dev/null)" = , ]; then
    locales="C.UTF-8 $other"
else
    echo "golden under a decimal comma: not run, there is no such locale and none can be made"
fi

for case in "$here"/*/; do
    name=$(basename "$case")
    [ -f "$case/run" ] || continue
    for locale in $locales; do
        rm -rf "$work/in"
        mkdir "$work/in"
        [ -d "$case/input" ] && cp -R "$case/input/." "$work/in/"
        # A short name of its own: lines are broken by their length, and the folder is elsewhere on every machine.
        ln -s "$top/samples" "$work/in/SAMPLES"
        # `do` runs a command and shows it, its output and its exit code.
        (cd "$work/in" && env -i PATH="$work/bin:/usr/bin:/bin" HOME="$work" LC_ALL="$locale" ${LOCPATH:+LOCPATH="$LOCPATH"} TZ=UTC SAMPLES=SAMPLES \
            sh -c 'try() { echo "\$ $*"; "$@"; echo "[exit $?]"; }; . "$1"' sh "$case/run") >"$work/got" 2>&1 </dev/null
        if [ "${UPDATE:-}" = 1 ] && [ "$locale" = C.UTF-8 ]; then
            cp "$work/got" "$case/expected"
        fi
        if cmp -s "$work/got" "$case/expected"; then
            passed=$((passed + 1))
        else
            failed=$((failed + 1))
            echo "FAILED golden/$name ($locale)"
            diff -u "$case/expected" "$work/got" | head -n 40
        fi
    done
done
echo "$passed passed, $failed failed"
[ "$failed" -eq 0 ]
