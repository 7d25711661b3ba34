#!/bin/sh
# Pages in a headless browser: nothing on its console, no request, no sideways scrolling at 360 px, the audit of audit.js,
# a picture and a PDF. Pages: those named as arguments, else the demo pages of demo_page.c and, when the program is built,
# a review it writes from samples/.
set -u
cd "$(dirname "$0")/../.." || exit 1
BUILD=${BUILD:-build/release}
CC=${CC:-cc}
work=$(mktemp -d "${TMPDIR:-/tmp}/afterpick-browser-XXXXXX")
trap 'rm -rf "$work"' EXIT
passed=0
failed=0
ok() { passed=$((passed + 1)); }
bad() {
    failed=$((failed + 1))
    echo "FAILED browser: $*"
}
finish() {
    echo "$passed passed, $failed failed"
    [ "$failed" -eq 0 ]
    exit
}

browser=
for name in chromium chromium-browser; do
    command -v "$name" >/dev/null 2>&1 && browser=$name && break
done
if [ -z "$browser" ]; then
    echo 'browser: not run (no chromium)'
    echo '0 passed, 0 failed'
    exit 0
fi

# browse NAME WIDTH ARGUMENT... : runs the browser on an empty profile; console and messages in $work/NAME.log, the record of its
# network in $work/NAME.net.
browse() {
    run=$1
    width=$2
    shift 2
    profile=$(mktemp -d "$work/profile-XXXXXX")
    timeout 90 "$browser" --headless --no-sandbox --disable-gpu --disable-quic --no-first-run --disable-background-networking \
        --disable-component-update --disable-sync --disable-extensions --disable-default-apps --hide-scrollbars \
        --host-resolver-rules='MAP * ~NOTFOUND' --user-data-dir="$profile" --enable-logging=stderr --v=0 \
        --log-net-log="$work/$run.net" --window-size="$width,1600" "$@" 2>"$work/$run.log"
    code=$?
    rm -rf "$profile"
    return $code
}
console_of() { grep -a ':CONSOLE' "$work/$1.log"; }
# Requests and look-ups that a page asked for (the browser's own services are not keyed to a file).
requests_of() {
    grep -aE '"network_(isolation|anonymization)_key":"file://' "$work/$1.net" |
        grep -aoE '"(url|host)":"[^"]*"' | grep -avE '"url":"(file|data|blob):' | sort -u
}

# The check itself must be able to fail: a page that does everything wrong.
mkdir "$work/pages"
cat >"$work/pages/wrong.html" <<'END'
<!doctype html><html><head><title>wrong</title></head><body><p style="width:900px">wide</p><h1>one</h1><h3>three</h3>
<img src="http://wanted.example.invalid/beacon.png" onerror="1"><a href="javascript:alert(1)"></a>
<script>console.error('said something')</script>
</body>
</html>
END

# The audit's words on the page at 1280 and at 360 px, one line each. A window cannot be made narrower than 500 px, a frame can.
audited() {
    awk -v js=tests/browser/audit.js '
        /<meta http-equiv="Content-Security-Policy"/ { next }
        { line[++n] = $0 }
        END {
            for (i = n; i > 0; i--) if (line[i] == "</body>") break
            for (k = 1; k < i; k++) print line[k]
            print "<script>"; while ((getline one < js) > 0) print one; print "</script>"
            for (k = i; k <= n; k++) print line[k]
        }' "$1" >"$work/audit.html"
    cat >"$work/frames.html" <<'END'
<!doctype html><title>frames</title><pre></pre><script>
window.addEventListener('message', function (event) { document.querySelector('pre').textContent += 'AUDIT ' + event.data + '\n'; });
</script><iframe src="audit.html" width="1280" height="900" style="border:0"></iframe><iframe src="audit.html" width="360" height="900" style="border:0"></iframe>
END
    browse audit 1400 --virtual-time-budget=5000 --dump-dom "file://$work/frames.html" | grep -aoE 'AUDIT .*' | sort
}

browse wrong 1280 --screenshot="$work/wrong.png" "file://$work/pages/wrong.html" >/dev/null
if console_of wrong | grep -q 'said something'; then ok; else bad 'a message on the console goes unseen: the check is blind'; fi
if requests_of wrong | grep -q wanted.example.invalid; then ok; else bad 'a request of a page goes unseen: the check is blind'; fi
words=$(audited "$work/pages/wrong.html" | grep 'AUDIT 360 px')
for sign in 'page scrolls sideways' 'element not ours' 'event attribute' 'address javascript' 'heading skips a level' \
    'no skip link' 'script elements'; do
    case $words in
        *"$sign"*) ok ;;
        *) bad "the audit does not see: $sign ($words)" ;;
    esac
done

check_page() {
    page=$1
    name=$(basename "$page")
    full=$(cd "$(dirname "$page")" && pwd)/$name
    if [ ! -s "$full" ]; then
        bad "$name: no such page"
        return
    fi
    for width in 1280 360; do
        rm -f "$work/shot.png"
        browse "shot$width" "$width" --screenshot="$work/shot.png" "file://$full" >/dev/null || bad "$name: the browser failed"
        wide=$(od -An -j 16 -N 4 -t u1 "$work/shot.png" 2>/dev/null | awk '{print $1 * 16777216 + $2 * 65536 + $3 * 256 + $4}')
        bytes=$(wc -c <"$work/shot.png" 2>/dev/null || echo 0)
        # An empty page of this size compresses to under 12,000 bytes.
        if [ "${wide:-0}" = "$width" ] && [ "$bytes" -gt 15000 ]; then ok; else bad "$name: picture at $width px: $wide px, $bytes bytes"; fi
    done
    said=$(console_of shot1280)
    if [ -z "$said" ]; then ok; else bad "$name: console: $(printf '%s\n' "$said" | head -n 3)"; fi
    asked=$(requests_of shot1280)
    if [ -z "$asked" ]; then ok; else bad "$name: requests: $(printf '%s\n' "$asked" | head -n 3)"; fi
    words=$(audited "$full")
    for width in 1280 360; do
        if printf '%s\n' "$words" | grep -qx "AUDIT $width px: nothing wrong"; then ok; else bad "$name: audit at $width px: $words"; fi
    done
    browse print 1280 --no-pdf-header-footer --print-to-pdf="$work/page.pdf" "file://$full" >/dev/null
    if [ "$(head -c 5 "$work/page.pdf" 2>/dev/null)" = '%PDF-' ]; then ok; else bad "$name: no PDF"; fi
    # What is folded away on the screen is open on paper.
    if ! command -v pdftotext >/dev/null 2>&1; then
        echo "$name folded text on paper: not run (no pdftotext)"
    elif [ "$name" = demo.html ]; then
        if pdftotext "$work/page.pdf" - | tr '\n' ' ' | grep -q 'one-sided tolerance bound'; then ok; else bad "$name: folded text is not on paper"; fi
        first=$(pdftotext -f 1 -l 1 "$work/page.pdf" - | tr '\n' ' ')
        case $first in
            *'Estimate error'*) bad "$name: the first page is not alone" ;;
            *'Actions overdue'*) ok ;;
            *) bad "$name: the first page is not whole" ;;
        esac
    fi
}

if [ $# -gt 0 ]; then
    for page in "$@"; do check_page "$page"; done
    finish
fi

if $CC -std=c17 -Isrc -Itests -D_XOPEN_SOURCE=700 -D_DEFAULT_SOURCE -o "$work/demo_page" tests/browser/demo_page.c \
    "$BUILD/libafterpick.a" $(pkg-config --libs sqlite3 libpcre2-8 gsl libcmark libmd libzip expat) -lm 2>"$work/cc.log"; then
    if "$work/demo_page" "$work/pages"; then ok; else bad 'demo_page failed'; fi
    for page in demo metric hostile; do check_page "$work/pages/$page.html"; done
else
    bad "demo_page.c does not build: $(head -n 3 "$work/cc.log")"
fi

program=$BUILD/afterpick
if [ ! -x "$program" ] || ! ls samples/*.csv >/dev/null 2>&1; then
    echo 'browser on a review: not run (no program or no samples)'
    finish
fi
"$program" --book "$work/check.book" init >"$work/cli.log" 2>&1 &&
    { "$program" --book "$work/check.book" import samples/*.csv >>"$work/cli.log" 2>&1 || [ $? -eq 1 ]; } &&
    { "$program" --book "$work/check.book" review --month 2026-10 --out "$work/review" >>"$work/cli.log" 2>&1 || [ $? -eq 1 ]; }
if [ -s "$work/review/review.html" ]; then
    check_page "$work/review/review.html"
elif grep -qi 'unknown command' "$work/cli.log"; then
    echo 'browser on a review: not run (the program has no review yet)'
else
    bad "no review was written: $(tail -n 2 "$work/cli.log")"
fi
finish
