#!/bin/sh
# Pages in headless Chromium, driven by check.mjs: sorted and filtered by click and key, printed, on a phone, in the dark, by
# axe-core and html-validate. Pages: those named as arguments, else the demo pages of demo_page.c and, when the program is
# built, a review with its pages from samples/ and one of a log whose every text is hostile.
set -u
cd "$(dirname "$0")/../.." || exit 1
BUILD=${BUILD:-build/release}
CC=${CC:-cc}
work=$(mktemp -d "${TMPDIR:-/tmp}/afterpick-browser-XXXXXX")
trap 'rm -rf "$work"' EXIT
not_run() {
    echo "browser: not run ($*)"
    echo '0 passed, 0 failed'
    exit 0
}

browser=
for name in chromium chromium-browser; do
    browser=$(command -v "$name") && break
done
[ -n "$browser" ] || not_run 'no chromium'
command -v pdftotext >/dev/null 2>&1 || not_run 'no pdftotext'
command -v node >/dev/null 2>&1 || not_run 'no node'
node -e 'const [a, b] = process.versions.node.split("."); process.exit(a > 18 || (a == 18 && b >= 19) ? 0 : 1)' || not_run "node $(node --version) is older than 18.19"
[ -d tests/browser/node_modules/puppeteer-core ] || not_run "packages of tests/browser/package-lock.json are missing; '.ci/install check' gets them"

failed=0
bad() {
    failed=$((failed + 1))
    echo "FAILED browser: $*"
}
mkdir "$work/pages"
cat >"$work/pages/wrong.html" <<'END'
<!doctype html><html><head><title>wrong</title></head><body><p style="width:900px" id="one">wide</p><h1 id="one">one</h1><h3>three</h3>
<img src="http://wanted.example.invalid/beacon.png" onerror="1"><a href="javascript:alert(1)"></a>
<script>console.error('said something')</script>
</body>
</html>
END

# afterpick BOOK ARGUMENT... ; 1 is "done, but something needs a person".
run() {
    book=$1
    shift
    "$BUILD/afterpick" --book "$work/$book.book" --today 2026-11-02 "$@" >"$work/cli.log" 2>&1 || [ $? -eq 1 ] ||
        bad "$*: $(tail -n 2 "$work/cli.log")"
}

pick_of() { # one that moved toward a person, as the book names it
    "$BUILD/afterpick" --book "$work/$1.book" --csv pick --month 2026-10 | grep 'toward the climber' | head -n 1 | cut -d, -f1 | tr -d '"'
}

if [ $# -eq 0 ]; then
    set -- "$work/pages/wrong.html"
    if $CC -std=c17 -Isrc -Itests -D_XOPEN_SOURCE=700 -D_DEFAULT_SOURCE -o "$work/demo_page" tests/browser/demo_page.c \
        "$BUILD/libafterpick.a" $(pkg-config --libs sqlite3 libpcre2-8 gsl libcmark libmd libzip expat) -lm 2>"$work/cc.log" &&
        "$work/demo_page" "$work/pages"; then
        set -- "$@" "$work/pages/demo.html" "$work/pages/metric.html" "$work/pages/hostile.html"
    else
        bad "demo_page.c: $(head -n 3 "$work/cc.log")"
    fi
    if [ -x "$BUILD/afterpick" ] && ls samples/*.csv >/dev/null 2>&1; then
        run demo init
        run demo import samples/crew-*.csv
        run demo review --month 2026-10 --out "$work/review" --briefing --book-of-picks
        node tests/browser/hostile_log.mjs samples/crew-a-2026-10.csv >"$work/hostile.csv" || bad 'hostile_log.mjs failed'
        run bad init --company '<script>document.title="ran"</script>'
        run bad import "$work/hostile.csv"
        run bad review --month 2026-10 --out "$work/hostile-review" --briefing --book-of-picks
        # A company that looks closely: many picks past its limits, tables long enough to sort and filter.
        cp "$work/demo.book" "$work/strict.book"
        run strict set band_watch 40% --why tried
        run strict set band_stop 50% --why tried
        run strict review --month 2026-10 --out "$work/strict" --book-of-picks
        # Every other page that is made.
        run demo density accept 'eastern white pine' --why tried
        run demo weight-sheet 'eastern white pine' 'white oak' --out "$work/sheet.html"
        run bad weight-sheet 'white oak' --out "$work/hostile-sheet.html"
        run demo blank-log --html --out "$work/log.html"
        for book in demo bad; do
            run $book writeup new "$(pick_of $book)" --out "$work/$book.md"
            sed '/^## What happened/s|$|\n\nWritten <script>document.title="ran"</script> by hand, [here](javascript:alert(1)).|' "$work/$book.md" >"$work/$book.text" && mv "$work/$book.text" "$work/$book.md"
            run $book writeup keep "$work/$book.md" --why tried
            run $book writeup render "$work/$book.md" --out "$work/$book-writeup.html"
            run $book writeup render "$work/$book.md" --redacted --out "$work/$book-redacted.html"
            set -- "$@" "$work/$book-writeup.html" "$work/$book-redacted.html"
        done
        set -- "$@" "$work/strict/review.html" "$work/strict/book/index.html" "$work/sheet.html" "$work/hostile-sheet.html" "$work/log.html"
        set -- "$@" "$work/review/review.html" "$work/hostile-review/review.html" "$work/review/briefing.html" "$work/review/book/index.html"
        for kind in finding species crane pick; do
            for one in "$work"/review/book/$kind-*.html; do break; done
            for two in "$work"/hostile-review/book/$kind-*.html; do break; done
            set -- "$@" "$one" "$two"
        done
        # Every link of every page leads to a page that is there.
        for one in "$work"/review "$work"/review/book "$work"/hostile-review "$work"/hostile-review/book; do
            (cd "$one" && cat ./*.html | grep -o 'href="[^"#][^"]*"' | sort -u | sed 's/href="//; s/#.*//; s/"$//' |
                while read -r link; do [ -f "$link" ] || echo "$one: $link"; done) >"$work/links"
            [ -s "$work/links" ] && bad "links to nowhere: $(head -n 3 "$work/links")"
        done
    else
        echo 'browser on a review: not run (no program or no samples)'
    fi
fi
node tests/browser/check.mjs "$browser" "$work" "$@" >"$work/said" 2>&1 || [ -s "$work/said" ] || bad 'check.mjs failed'
counted=$(grep -E '^[0-9]+ passed, [0-9]+ failed$' "$work/said" | tail -n 1)
grep -vE '^[0-9]+ passed, [0-9]+ failed$' "$work/said"
if [ -z "$counted" ]; then
    bad 'check.mjs ended without a count'
    counted='0 passed, 0 failed'
fi
passed=${counted%% *}
more=${counted#*, }
failed=$((failed + ${more%% *}))
echo "$passed passed, $failed failed"
[ "$failed" -eq 0 ]
