#!/bin/sh
# The delimited reader beside the csv module of Python's standard library: awkward files and 2,000 random ones.
# The two agree wherever the reader finds nothing wrong; rows marked as trouble are the reader's own business.
set -u
cd "$(dirname "$0")/../.."
BUILD=${BUILD:-build/release}
if ! command -v python3 >/dev/null 2>&1; then
    echo 'text/check: not run (no python3)'
    echo '0 passed, 0 failed'
    exit 0
fi
tmp=$(mktemp -d)
trap 'rm -rf "$tmp"' EXIT
flags=
case $BUILD in *asan*) flags='-fsanitize=address,undefined' ;; esac
if ! ${CC:-cc} -std=c17 -O1 $flags -Isrc -D_XOPEN_SOURCE=700 -D_DEFAULT_SOURCE -o "$tmp/dump" tests/text/csv_dump.c \
    "$BUILD/libafterpick.a" $(pkg-config --libs libpcre2-8 2>/dev/null || echo -lpcre2-8) -lm; then
    echo 'text/check: the dumper does not build'
    echo '0 passed, 1 failed'
    exit 1
fi
python3 - "$tmp/dump" <<'PYTHON'
import csv, io, random, subprocess, sys

dump = sys.argv[1]
passed = failed = 0

def ours(data, delimiter):
    out = subprocess.run([dump, delimiter], input=data, stdout=subprocess.PIPE, check=True).stdout.decode()
    return [(line.split()[0], [bytes.fromhex(c[1:]).decode('utf-8', 'replace') for c in line.split()[1:]])
            for line in out.splitlines()]

def theirs(text, delimiter):
    # The module gives no cell for a blank line; the reader gives one empty cell.
    return [row or [''] for row in csv.reader(io.StringIO(text, newline=''), delimiter=delimiter)]

def check(name, data, text, delimiter=','):
    global passed, failed
    got = ours(data, delimiter)
    want = theirs(text, delimiter)
    if [cells for _, cells in got] == want and all(state == 'ok' for state, _ in got):
        passed += 1
        return
    failed += 1
    print('FAILED %s: %r\n  got  %r\n  want %r' % (name, data, got, want))

awkward = {
    'quotes inside': 'a,24" oak,18\'6"\r\nb,"say ""ah""",c\r\n',
    'lone CR': 'a,b\rc,d\re,f',
    'empty last line': 'a,b\nc,d\n\n',
    'mixed line ends': 'a,b\r\nc,d\ne,f\rg,h',
    'breaks in quotes': 'a,"x\ny\r\nz",b\r\n"\n",c\r\n',
    'empty cells': ',,\r\n"","",\r\n',
    'one cell': 'a\n\n"b"\n',
    'only quotes': '""""\n"""a"""\n',
    'no last line end': '"a","b"',
    'blanks count': ' a , b\t,c \n',
    'empty file': '',
}
for name, text in awkward.items():
    check(name, text.encode(), text)
    check(name + ', UTF-8 with a mark', b'\xef\xbb\xbf' + text.encode(), text)
    check(name + ', UTF-16 LE', b'\xff\xfe' + text.encode('utf-16-le'), text)
    check(name + ', UTF-16 BE', b'\xfe\xff' + text.encode('utf-16-be'), text)
high = 'a,\u00fc\u2019 \u20ac\r\n"\u00d6,",b\n'
check('Windows-1252', high.encode('cp1252'), high)
check('beyond the first plane', '\U0001F332,x\n'.encode(), '\U0001F332,x\n')

named = passed
random.seed(4180)
bits = ['a', 'oak', ',', ';', '"', '\n', '\r', '\r\n', ' ', '\u00f6', '']
for number in range(2000):
    delimiter = random.choice(',;')
    rows = [[''.join(random.choices(bits, k=random.randrange(6))) for _ in range(random.randrange(1, 6))]
            for _ in range(random.randrange(1, 12))]
    file = io.StringIO(newline='')
    csv.writer(file, delimiter=delimiter, lineterminator=random.choice(['\r\n', '\n']),
               quoting=random.choice([csv.QUOTE_MINIMAL, csv.QUOTE_ALL])).writerows(rows)
    text = file.getvalue()
    check('random %d' % number, text.encode(), text, delimiter)

# Wild text, not made by a writer: wherever the reader finds nothing wrong in the whole file, both agree.
compared = 0
for number in range(3000):
    text = ''.join(random.choices(['a', 'b', ',', '"', '\n', '\r\n', 'oak', '1'], k=random.randrange(1, 30)))
    got = ours(text.encode(), ',')
    if any(state != 'ok' for state, _ in got):
        continue
    compared += 1
    if [cells for _, cells in got] != theirs(text, ','):
        failed += 1
        print('FAILED wild %r\n  got  %r\n  want %r' % (text, got, theirs(text, ',')))
agree = passed
passed = named + (failed == 0)  # the random files count as one check
if compared < 500:
    failed += 1
    print('FAILED only %d wild files were free of trouble' % compared)
else:
    passed += 1
print('text/check: delimited reader beside the csv module: %d files agree, %d wild ones compared' % (agree, compared))
print('%d passed, %d failed' % (passed, failed))
sys.exit(failed > 0)
PYTHON
