#!/bin/sh
# Every fenced `console` example of README.md and docs/ prints what stands below it. UPDATE=1 rewrites what is printed.
set -u
cd "$(dirname "$0")/../.."
command -v python3 >/dev/null 2>&1 || { echo "docs: not run, there is no python3"; echo "0 passed, 0 failed"; exit 0; }
exec python3 tests/docs/examples.py
