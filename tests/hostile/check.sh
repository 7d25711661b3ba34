#!/bin/sh
# Texts meant to do harm, in every place a person can write, through every way the program writes.
set -u
cd "$(dirname "$0")/../.."
top=$(pwd)
BUILD=${BUILD:-build/release}
command -v python3 >/dev/null 2>&1 || {
    echo "hostile texts: not run, there is no python3"
    echo "0 passed, 0 failed"
    exit 0
}
work=$(mktemp -d)
trap 'rm -rf "$work"' EXIT

python3 tests/hostile/places.py "$work" "$top" "$top/$BUILD/afterpick"
