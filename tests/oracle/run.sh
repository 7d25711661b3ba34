#!/bin/sh
# Runs the general-purpose packages that the stored expected values came from, and fails when today's answers differ.
# Needs r-base-core and r-cran-lme4 (Debian); without them it says "not run". UPDATE=1 writes the stored tables anew.
set -eu
cd "$(dirname "$0")/../.."
if ! command -v Rscript >/dev/null 2>&1 || ! Rscript -e 'library(lme4)' >/dev/null 2>&1; then
    echo "oracle: not run (needs r-base-core and r-cran-lme4)"
    exit 0
fi
out=$(mktemp -d)
trap 'rm -rf "$out"' EXIT
Rscript tests/oracle/lme4.R "$out"
if [ "${UPDATE:-}" = 1 ]; then
    cp "$out"/mixed_books.csv "$out"/lme4_expected.csv tests/stats/data/
    echo "oracle: tests/stats/data/mixed_books.csv and lme4_expected.csv written"
    exit 0
fi
if ! cmp -s "$out/mixed_books.csv" tests/stats/data/mixed_books.csv; then
    echo "oracle: the simulated books differ from tests/stats/data/mixed_books.csv"
    exit 1
fi
# The same rows, and the same values to 1e-6 of the larger of 1 and the value (another version may stop elsewhere).
Rscript - "$out/lme4_expected.csv" tests/stats/data/lme4_expected.csv <<'R'
paths <- commandArgs(trailingOnly = TRUE)
new <- read.csv(paths[1], comment.char = "#")
old <- read.csv(paths[2], comment.char = "#")
same <- nrow(new) == nrow(old) && all(new$book == old$book & new$what == old$what & new$level == old$level)
apart <- if (same) abs(new$value - old$value) / pmax(1, abs(old$value)) else Inf
cat("oracle:", nrow(new), "values, largest difference", format(max(apart), digits = 3), "\n")
quit(status = if (same && max(apart) <= 1e-6) 0 else 1)
R
