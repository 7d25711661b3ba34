#!/bin/sh
# make install puts one binary, a man page and the completion for bash, nothing else, and the binary needs nothing of this folder.
set -u
cd "$(dirname "$0")/../.."
work=$(mktemp -d)
trap 'rm -rf "$work"' EXIT
passed=0
failed=0
check() { if "$@"; then passed=$((passed + 1)); else failed=$((failed + 1)); echo "FAILED install: $*"; fi; }
make --no-print-directory install DESTDIR="$work/root" PREFIX=/opt/x >"$work/out" 2>&1
(cd "$work/root" && find . -type f | sort) >"$work/got"
printf './opt/x/bin/afterpick\n./opt/x/share/bash-completion/completions/afterpick\n./opt/x/share/man/man1/afterpick.1\n' >"$work/want"
check cmp -s "$work/got" "$work/want"
cd "$work" || exit 1
check "$work/root/opt/x/bin/afterpick" init "$work/new.book" --quiet
check "$work/root/opt/x/bin/afterpick" --book "$work/new.book" weights --quiet >/dev/null
echo "$passed passed, $failed failed"
[ "$failed" -eq 0 ]
