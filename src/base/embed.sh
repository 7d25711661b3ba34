#!/bin/sh
# Prints C source that holds the files named as arguments, for src/base/asset.h: one array of bytes each, closed by a
# NUL that is not counted, and the table ordered by name (as bytes compare). With no argument: an empty table.
set -eu
LC_ALL=C
export LC_ALL

if [ $# -gt 0 ]; then
    names=$(printf '%s\n' "$@" | sort -u)
else
    names=""
fi
case $names in
    *[!A-Za-z0-9._/'
'-]*) echo "embed.sh: a name holds more than letters, digits, '.', '_', '-' and '/'" >&2; exit 1 ;;
esac

echo '#include "base/asset.h"'
number=0
for name in $names; do
    [ -f "$name" ] && [ -r "$name" ] || { echo "embed.sh: unable to read '$name'" >&2; exit 1; }
    printf '\nstatic const unsigned char asset_%d[] = {\n' "$number"
    od -An -v -tu1 "$name" | sed 's/  */,/g; s/^,//; s/$/,/'
    echo '0};'
    number=$((number + 1))
done
printf '\nconst ap_asset ap_assets[] = {\n'
number=0
for name in $names; do
    printf '    {"%s", asset_%d, sizeof asset_%d - 1},\n' "$name" "$number" "$number"
    number=$((number + 1))
done
printf '    {NULL, NULL, 0},\n};\nconst size_t ap_asset_count = %d;\n' "$number"
