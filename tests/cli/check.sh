#!/bin/sh
# What the command line tells about itself: completion in a real bash, the example of every command, the options in the man page,
# pages of 80 columns, no colour where none is wanted.
set -u
cd "$(dirname "$0")/../.."
top=$(pwd)
BUILD=${BUILD:-build/release}
PROGRAM=$top/$BUILD/afterpick
export PROGRAM
work=$(mktemp -d)
trap 'rm -rf "$work"' EXIT
passed=0
failed=0
pass() { passed=$((passed + 1)); }
fail() { failed=$((failed + 1)); echo "FAILED cli: $*"; }

# Every command, and the topics of those that have some ("calc volume").
"$PROGRAM" --help >"$work/help"
commands=$(sed -n '/^MONTH$/,/^A monthly review/s/^  \([a-z][a-z-]*\) .*/\1/p' "$work/help")
for command in $commands; do
    echo "$command"
    "$PROGRAM" "$command" --help | sed -n "/^What there is/,/^\$/s/^  \([a-z][a-z-]*\) .*/$command \1/p"
done >"$work/commands"
[ "$(wc -l <"$work/commands")" -ge 30 ] && pass || fail "only $(wc -l <"$work/commands") commands found in the help"

if command -v bash >/dev/null 2>&1; then
    bash tests/cli/completion.sh >"$work/out" 2>&1
    line=$(tail -n 1 "$work/out")
    grep -v '^[0-9]* passed' "$work/out"
    p=${line%% *}
    f=${line#*, }
    f=${f%% *}
    case "$p$f" in '' | *[!0-9]*) fail "completion ended without a count" ;; *) passed=$((passed + p)) failed=$((failed + f)) ;; esac
else
    echo "completion: not run, there is no bash"
fi

# Every command and every word of one that does something else stands in a golden case. The completion knows them all.
"$PROGRAM" --completion bash | awk '
    /^        .[a-z].*\*\)/ { name = $0; gsub(/^ *.|.\*\)$/, "", name); sub(/ +$/, "", name) }
    /^            words=/ { words = $0; gsub(/^ *words=.|. *$/, "", words); sub(/.;.*/, "", words)
                           if (split(words, verb, " ") == 0) print name
                           for (i in verb) print name " " verb[i] }' >"$work/verbs"
cat tests/golden/*/run >"$work/runs"
[ "$(wc -l <"$work/verbs")" -ge 80 ] && pass || fail "only $(wc -l <"$work/verbs") commands with their words found in the completion"
while read -r command verb; do
    pattern=$(printf '%s' "$command $verb" | sed 's/ *$//; s/ /.* /g')
    if grep -Eq "afterpick .*$pattern|afterpick $pattern" "$work/runs"; then pass; else fail "no golden case tries '$command $verb'"; fi
done <"$work/verbs"

# A terminal that script(1) can open: a machine without /dev/pts has none.
terminal=no
script -qec true /dev/null >/dev/null 2>&1 </dev/null && terminal=yes

# The Tab key itself, in a bash that somebody types in.
mkdir -p "$work/typed"
ln -s "$PROGRAM" "$work/typed/afterpick"
if [ "$terminal" = yes ] && command -v bash >/dev/null 2>&1; then
    typed() { # what is typed, with its tabs; a text that must stand on the terminal
        printf 'PS1=\nbind "set enable-bracketed-paste off"\neval "$(afterpick --completion bash)"\n%b\nexit\n' "$1" |
            PATH=$work/typed:$PATH TERM=dumb script -qec 'bash --norc --noprofile -i' /dev/null 2>&1 | tr -d '\r' >"$work/screen"
        if grep -q -- "$2" "$work/screen"; then pass; else fail "typed '$1', no '$2' on the screen: $(tail -n 5 "$work/screen")"; fi
    }
    typed 'afterpick calc vol\t --help' '^afterpick calc volume: volume and balance point'
    typed 'afterpick prob\t --hel\t' '^afterpick problems: rows set aside'
    typed 'afterpick weights --units met\t --help' 'afterpick weights --units metric'
else
    echo "the Tab key: not run, script(1) opens no terminal here, or there is no bash"
fi

# The examples, each as a person would paste it, beside the demonstration's book. A fresh copy of the book for each.
mkdir "$work/project" "$work/bin"
ln -s "$top/samples" "$work/project/samples"
ln -s "$PROGRAM" "$work/bin/afterpick"
mkdir "$work/made"
cp -R samples "$work/made/samples"
(cd "$work/made" && BIN="$PROGRAM" sh samples/demo.sh >/dev/null 2>&1)
# What the example of `evidence import` takes in: what another company gave away.
head='{"format":"afterpick-evidence","version":1,"origin":"north branch"}'
figure='{"kind":"species","symbol":"QUAL","scientific":"Quercus alba","handbook_kg_m3":1015.5706,"log_shift":0.031,"se_log":0.024,"trees":14,"picks":41}'
while read -r command; do
    example=$("$PROGRAM" $command --help | sed -n '/^Example:$/{n;s/^  //p;q;}')
    case $example in afterpick\ *) ;; *) fail "no example in 'afterpick $command --help'"; continue ;; esac
    rm -rf "$work/project"
    mkdir "$work/project"
    ln -s "$top/samples" "$work/project/samples"
    cp -R "$work/made/demo" "$work/project/demo"
    printf '%s\n%s\n' "$head" "$figure" >"$work/project/north.jsonl"
    if [ "$command" = merge ]; then
        (cd "$work/project" && "$PROGRAM" init north.book && "$PROGRAM" --book north.book import samples/messy/notebook.csv) >/dev/null 2>&1
    fi
    if [ "$command" = "evidence remove" ]; then
        (cd "$work/project" && "$PROGRAM" --book demo/demo.book --quiet evidence import north.jsonl --why 'agreed') >/dev/null 2>&1
    fi
    code=0
    (cd "$work/project" && PATH="$work/bin:$PATH" sh -c "$example" >"$work/out" 2>"$work/err" </dev/null) || code=$?
    if [ "$code" -le 1 ] && [ -s "$work/out" ]; then pass; else fail "the example of '$command' ends with $code: $(head -c 300 "$work/err")"; fi
done <"$work/commands"

# The man page's list of options is the help's, word for word. UPDATE=1 writes it anew.
options_of_all() {
    while read -r command; do
        "$PROGRAM" $command --help | awk -v command="$command" '
            /^Options:$/ { on = 1; printf ".SS \"%s\"\n", command; next }
            !on { next }
            /^$/ { exit }
            { text = $0; sub(/^ +/, "", text); gsub(/\\/, "\\e", text); gsub(/-/, "\\-", text) }
            /^  --/ { name = text; what = ""
                      if (match(text, /  +/)) { what = substr(text, RSTART + RLENGTH); name = substr(text, 1, RSTART - 1) }
                      printf ".TP\n.B %s\n", name; if (what != "") put(what); next }
            { put(text) }
            function put(s) { if (s ~ /^[.'"'"']/) s = "\\&" s; print s }'
    done <"$work/commands"
}
options_of_all >"$work/options"
page=docs/afterpick.1
begin='.\" The options of every command, written by UPDATE=1 sh tests/cli/check.sh from their help.'
end='.\" End of the options of every command.'
if [ "${UPDATE:-}" = 1 ]; then
    awk -v begin="$begin" -v end="$end" -v file="$work/options" '
        BEGIN { gsub(/\\/, "\\", begin) }
        index($0, "The options of every command, written by") { print; while ((getline line < file) > 0) print line; skip = 1; next }
        index($0, "End of the options of every command.") { skip = 0 }
        !skip' "$page" >"$work/page" && cp "$work/page" "$page"
fi
awk 'index($0, "The options of every command, written by") { on = 1; next } index($0, "End of the options of every command.") { on = 0 } on' "$page" >"$work/has"
if cmp -s "$work/options" "$work/has"; then pass; else fail "docs/afterpick.1 lists other options than the help"; diff "$work/has" "$work/options" | head -n 20; fi
sed '/The options of every command, written by/,$d' "$page" >"$work/first_part"
while read -r command; do
    written=$(printf '%s' "$command" | sed 's/-/\\\\*-/g')
    if grep -Eq "^\.(BI?|B) \"?$written\"?( |\$)" "$work/first_part"; then pass; else fail "docs/afterpick.1 does not tell of '$command'"; fi
done <"$work/commands"
if command -v man >/dev/null 2>&1 && command -v groff >/dev/null 2>&1; then
    trouble=$(LC_ALL=C.UTF-8 MANWIDTH=80 man --warnings -E UTF-8 -l -Tutf8 -Z "$page" 2>&1 >/dev/null)
    [ -z "$trouble" ] && pass || fail "the man page: $trouble"
fi

# Pages of 80 columns: the help (its example aside, which is there to be copied) and what the golden cases print as pages.
{ cat "$work/help"; while read -r command; do "$PROGRAM" $command --help | sed '/^Example:$/,$d'; done <"$work/commands"; } >"$work/pages"
over=$(LC_ALL=C awk '{ s = $0; gsub(/[\200-\277]/, "", s); if (length(s) > 80) print }' "$work/pages")
[ -z "$over" ] && pass || fail "wider than 80 columns: $over"
# Not what is quoted or meant for other programs: the typed line, errors, JSON, CSV, Markdown, profiles and patterns.
LC_ALL=C awk '
    /^\$ / { skip = /--csv|--json|\.csv|cat |sqlite3 |blank-log|profile (guess|show)|evidence export|writeup (new|show|refresh|diff)|--help|grep |try / }
    /^\$ |^\[exit|^afterpick: |^[a-z0-9_]+,|^ *"|^# |^> |^<!--|^sample |^  gives / || skip { next }
    { s = $0; gsub(/[\200-\277]/, "", s); if (length(s) > 80) printf "%s: %s\n", FILENAME, $0 }' tests/golden/*/expected >"$work/wide"
if [ -s "$work/wide" ]; then fail "golden pages wider than 80 columns:"; head -n 40 "$work/wide"; else pass; fi

# Colour: only on a terminal, and not when NO_COLOR or a dumb terminal says no.
if [ "$terminal" = yes ]; then
    colour() { script -qec "env $1 '$PROGRAM' --book '$work/made/demo/demo.book' findings --month 2026-10" /dev/null </dev/null | grep -c "$(printf '\033')\["; }
    [ "$(colour 'TERM=xterm')" -gt 0 ] && pass || fail "no colour on a terminal"
    [ "$(colour 'TERM=xterm NO_COLOR=1')" -eq 0 ] && pass || fail "colour in spite of NO_COLOR"
    [ "$(colour 'TERM=dumb')" -eq 0 ] && pass || fail "colour on a dumb terminal"
    "$PROGRAM" --book "$work/made/demo/demo.book" findings --month 2026-10 | grep -q "$(printf '\033')" && fail "colour in a pipe" || pass
    # A log keeps what was logged; a terminal is not given it raw.
    printf 'job,date,pick,species,planned_weight_lb,notes\nJ1,2026-10-05,1,red oak,900,"a\033[31mb\r\nc"\n' >"$work/escape.csv"
    "$PROGRAM" init "$work/escape.book" --quiet
    "$PROGRAM" --book "$work/escape.book" import "$work/escape.csv" --today 2026-11-02 >/dev/null
    "$PROGRAM" --book "$work/escape.book" export | grep -q "$(printf '\033')" && pass || fail "an exported log lost what was logged"
    script -qec "'$PROGRAM' --book '$work/escape.book' export" /dev/null </dev/null >"$work/screen"
    grep -q "$(printf '\033')" "$work/screen" && fail "a terminal is given an escape sequence out of a log" || pass
    grep -q '31mb' "$work/screen" && pass || fail "the log is not on the terminal"
else
    echo "colour: not run, script(1) opens no terminal here"
fi
echo "$passed passed, $failed failed"
[ "$failed" -eq 0 ]
