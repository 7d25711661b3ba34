#!/bin/sh
# The committed logs are what the generator writes, byte for byte, and hold what samples/README.md promises.
set -u
cd "$(dirname "$0")/../.."
BUILD=${BUILD:-build/release}
passed=0
failed=0
check() { # what, command...
    what=$1
    shift
    if "$@"; then passed=$((passed + 1)); else failed=$((failed + 1)); echo "samples: $what: failed"; fi
}
fresh=$(mktemp -d)
trap 'rm -rf "$fresh"' EXIT

check 'the generator runs' "$BUILD/samples/make_samples" "$fresh"
check 'twelve logs' [ "$(ls samples/*.csv | wc -l)" -eq 12 ]
check 'as many as the generator writes' [ "$(ls "$fresh"/*.csv | wc -l)" -eq 12 ]
for log in samples/*.csv; do
    check "$log is reproduced" cmp -s "$log" "$fresh/$(basename "$log")"
done
check 'the generator refuses a folder that is not there' sh -c '! "$1" "$2" 2>/dev/null' _ "$BUILD/samples/make_samples" "$fresh/absent"
check 'it says how it is used' sh -c '"$1" 2>/dev/null; [ $? -eq 2 ]' _ "$BUILD/samples/make_samples"

# Plain counts, by another program than the one under test.
picks=$(cat samples/*.csv | grep -c '^J')
check "at least 680 picks ($picks)" [ "$picks" -ge 680 ]
check "at most 740 picks ($picks)" [ "$picks" -le 740 ]
check '60 jobs' [ "$(cut -d, -f1 samples/*.csv | grep '^J' | sort -u | wc -l)" -eq 60 ]
check 'no pick twice' [ -z "$(awk -F, 'FNR == 1 { for (i = 1; i <= NF; i++) if ($i == "pick") k = i; next } { print $1 "/" $k }' samples/*.csv | sort | uniq -d)" ]
weighed=$(awk -F, 'FNR == 1 { for (i = 1; i <= NF; i++) if ($i ~ /^measured_weight/) k = i; next } $k != "" { n++ } END { printf "%d", 1000 * n / '"$picks"' }' samples/*.csv)
check "about 88 % weighed ($weighed of 1000): not less" [ "$weighed" -ge 865 ]
check "about 88 % weighed ($weighed of 1000): not more" [ "$weighed" -le 900 ]
check 'a site or person is a code or invented' [ -z "$(cut -d, -f5-8 samples/*.csv | grep '^E' | grep -vE '^E[1-4],C[1-6],O[1-3],K[12]$')" ]
echo "$passed passed, $failed failed"
[ "$failed" -eq 0 ]
