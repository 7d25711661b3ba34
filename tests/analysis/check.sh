#!/bin/sh
# The error table against the sqlite3 shell's own arithmetic: it reads a log itself, as untyped text, and works out counts,
# medians, shares and the worst ratio in SQL; the program's JSON must say the same to 1e-9.
set -u
cd "$(dirname "$0")/../.."
BUILD=${BUILD:-build/release}
if ! command -v sqlite3 >/dev/null 2>&1; then
    echo 'analysis against sqlite3: not run (no sqlite3 shell)'
    echo '0 passed, 0 failed'
    exit 0
fi
work=$(mktemp -d)
trap 'rm -rf "$work"' EXIT
passed=0
failed=0
log=samples/crew-a-2026-06-07.csv # US units throughout, weights in lb, gross and net mixed
"$BUILD/afterpick" --book "$work/a.book" init --quiet
"$BUILD/afterpick" --book "$work/a.book" --today 2026-11-02 import "$log" --quiet >/dev/null

for by in species cut crew estimator; do
    "$BUILD/afterpick" --book "$work/a.book" weights --by "$by" --json >"$work/got.json"
    wrong=$(sqlite3 :memory: <<SQL
.mode csv
.import $log log
.mode list
CREATE TEMP VIEW row AS SELECT $by AS grp,
    nullif(measured_weight_lb, '') * 1.0 AS measured, nullif(planned_weight_lb, '') * 1.0 AS planned,
    coalesce(nullif(rigging_weight_lb, ''), 350) * 1.0 AS rigging, measured_as FROM log;
CREATE TEMP VIEW compared AS SELECT grp,
    CASE measured_as WHEN 'gross' THEN measured - rigging WHEN 'net' THEN measured END / planned AS ratio
    FROM row WHERE measured IS NOT NULL AND planned IS NOT NULL AND measured_as IN ('gross', 'net');
CREATE TEMP VIEW ranked AS SELECT grp, ratio, ln(ratio) AS e, row_number() OVER (PARTITION BY grp ORDER BY ratio) AS r,
    count(*) OVER (PARTITION BY grp) AS n FROM compared;
CREATE TEMP VIEW want AS SELECT grp, max(n) AS n, avg(CASE WHEN r IN ((n + 1) / 2, (n + 2) / 2) THEN ratio END) AS median,
    avg(e) AS mean_log, avg(ratio > 1.1 * (1 + 1e-9)) AS heavier, max(ratio) AS worst FROM ranked GROUP BY grp;
CREATE TEMP VIEW got AS SELECT json_extract(value, '\$.$by') AS grp, json_extract(value, '\$.count') AS n,
    json_extract(value, '\$.median_ratio') AS median, json_extract(value, '\$.mean_log_ratio') AS mean_log,
    json_extract(value, '\$.share_heavier_10pct') AS heavier, json_extract(value, '\$.worst_ratio') AS worst
    FROM json_each(readfile('$work/got.json'), '\$.groups');
SELECT CASE WHEN (SELECT count(*) FROM want) < 1 THEN 'the log gave sqlite3 nothing' END WHERE (SELECT count(*) FROM want) < 1;
SELECT want.grp, want.n, got.n, want.median, got.median, want.heavier, got.heavier, want.worst, got.worst
    FROM want LEFT JOIN got ON got.grp = want.grp
    WHERE got.n IS NOT want.n OR abs(got.median - want.median) > 1e-9 OR abs(got.mean_log - want.mean_log) > 1e-9
       OR abs(got.heavier - want.heavier) > 1e-9 OR abs(got.worst - want.worst) > 1e-9;
SELECT 'a group too many: ' || grp FROM got WHERE n > 0 AND grp NOT IN (SELECT grp FROM want);
SQL
    )
    if [ -z "$wrong" ]; then
        passed=$((passed + 1))
    else
        failed=$((failed + 1))
        echo "FAILED weights --by $by differs from sqlite3's arithmetic:"
        echo "$wrong"
    fi
done
echo "$passed passed, $failed failed"
[ "$failed" -eq 0 ]
