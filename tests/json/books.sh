# Sourced: make_books WORK PROGRAM makes what tests/json/commands speaks of in the folder WORK.
make_books() {
    cp -R samples "$1/samples"
    (cd "$1" && BIN="$2" sh samples/demo.sh >/dev/null 2>&1)
    "$2" init "$1/messy.book" --quiet
    "$2" init "$1/new.book" --quiet
    printf '%s\n' '{"format":"afterpick-evidence","version":1,"origin":"north branch"}' \
        '{"kind":"species","symbol":"QUAL","scientific":"Quercus alba","handbook_kg_m3":1015.5706,"log_shift":0.031,"se_log":0.024,"trees":14,"picks":41}' \
        '{"kind":"brush","piece":"limb","foliage":"leaf_on","group":"hardwood","log_shift":0.1,"se_log":0.02,"trees":4,"picks":8}' >"$1/north.jsonl"
}
