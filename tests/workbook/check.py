"""See check.sh. python3 check.py TMP OFFICE: TMP holds the dumper and takes the files; OFFICE is a program or ''."""
import csv
import datetime
import io
import os
import random
import subprocess
import sys
import xml.etree.ElementTree as tree
import zipfile
from decimal import Decimal
from xml.sax.saxutils import escape

sys.dont_write_bytecode = True
sys.path.insert(0, os.path.dirname(os.path.abspath(__file__)))
import make  # noqa: E402

tmp, office = sys.argv[1], sys.argv[2]
passed = failed = 0


def check(name, got, want):
    global passed, failed
    if got == want:
        passed += 1
        return
    failed += 1
    print('FAILED %s' % name)
    if isinstance(got, list) and isinstance(want, list):
        for index, (a, b) in enumerate(zip(got, want)):
            if a != b:
                print('  row %d: got  %r\n         want %r' % (index + 1, a, b))
                break
        print('  rows: got %d, want %d' % (len(got), len(want)))
    else:
        print('  got %r\n  want %r' % (got, want))


def dump(path):
    """[(sheet, hidden, [(state, cells)])]"""
    out = subprocess.run([os.path.join(tmp, 'dump'), path], stdout=subprocess.PIPE).stdout.decode()
    sheets = []
    decode = lambda word: bytes.fromhex(word[1:]).decode()
    for line in out.splitlines():
        words = line.split(' ')
        if words[0] == 'sheet':
            sheets.append((decode(words[1]), words[2] == '1', []))
        elif words[0].isdigit():
            if int(words[0]) != len(sheets[-1][2]) + 1:
                return 'row %s out of order' % words[0]
            sheets[-1][2].append((words[1], [decode(word) for word in words[2:]]))
        else:
            return line
    return sheets


def trimmed(rows):
    """Empty cells at the end of a row and blank rows at the end are nobody's business; a blank row is one empty cell."""
    rows = [list(row) for row in rows]
    for row in rows:
        while len(row) > 1 and row[-1] == '':
            row.pop()
        row[:] = row or ['']
    while rows and rows[-1] == ['']:
        rows.pop()
    return rows


def cells(rows):
    return [row for _, row in rows]


# ---- random workbooks: what was put in comes out ----

random.seed(29500)
WORDS = ['pick', 'oak', 'two\nlines', ' blank ', '<&>"', 'Eiche \u00fc', '\U0001F332', '', "18'6\"", '2400', '=1+1', '_x41']


def number_text(text):
    """The number as a spreadsheet would write it: 15 significant digits, no exponent."""
    value = Decimal('%.15g' % float(text))
    return '{:f}'.format(value.normalize()) if value else '0'


def random_value():
    kind = random.choice('tttnnnddchpb')
    day = datetime.date(1904, 1, 2) + datetime.timedelta(days=random.randrange(107000))
    minute = random.randrange(1, 1440)
    if kind == 't':
        return kind, random.choice(WORDS)
    if kind == 'n':
        return kind, random.choice([str(random.randrange(-99999, 99999)), repr(random.uniform(-1e4, 1e4)),
                                    repr(random.random() * 10 ** random.randrange(-9, 15))])
    if kind == 'd':
        return kind, day.isoformat()
    if kind == 'c':
        return kind, '%02d:%02d' % (minute // 60, minute % 60)
    if kind == 'h':
        return kind, '%s %02d:%02d' % (day.isoformat(), minute // 60, minute % 60)
    if kind == 'p':
        return kind, str(random.randrange(0, 130))
    return kind, random.choice(['TRUE', 'FALSE'])


def shown(kind, text):
    return number_text(text) if kind == 'n' else text + '%' if kind == 'p' else text


def serial(text, from_1904):
    base = datetime.date(1904, 1, 1) if from_1904 else datetime.date(1899, 12, 30)
    day, _, clock = text.rpartition(' ') if ' ' in text else (text, '', '') if '-' in text else ('', '', text)
    days = (datetime.date.fromisoformat(day) - base).days if day else 0
    minutes = int(clock[:2]) * 60 + int(clock[3:]) if clock else 0
    return repr(days + minutes / 1440)


def name_of(column):
    name = ''
    column += 1
    while column:
        column, rest = divmod(column - 1, 26)
        name = chr(65 + rest) + name
    return name


def xlsx_cell(row, column, kind, text, shared, from_1904):
    ref = name_of(column) + str(row)
    style = {'d': 'm/d/yy', 'c': 'h:mm', 'h': 'm/d/yy h:mm', 'p': '0%'}
    if kind == 't':
        if random.random() < 0.3:
            return '<c r="%s" t="inlineStr"><is><t xml:space="preserve">%s</t></is></c>' % (ref, escape(text))
        shared.append('<si><t xml:space="preserve">%s</t></si>' % escape(text))
        return make.cell(ref, len(shared) - 1, kind='s')
    if kind == 'b':
        return make.cell(ref, int(text == 'TRUE'), kind='b')
    if kind == 'n':
        return make.cell(ref, text, formula=random.choice([None, '1+1']))
    value = repr(int(text) / 100) if kind == 'p' else serial(text, from_1904)
    return make.cell(ref, value, make.STYLE[style[kind]])


def ods_cell(kind, text, repeat):
    times = ' table:number-columns-repeated="%d"' % repeat if repeat > 1 else ''
    if kind == 't':
        lines = ''.join('<text:p>%s</text:p>' % (
            '<text:s/>' * (len(line) - len(line.lstrip(' '))) + escape(line.strip(' ')) +
            '<text:s/>' * (len(line) - len(line.rstrip(' ')) if line.strip() else 0)) for line in text.split('\n'))
        return '<table:table-cell%s office:value-type="string">%s</table:table-cell>' % (times, lines)
    types = {'n': ('float', 'value', text), 'p': ('percentage', 'value', None), 'd': ('date', 'date-value', text),
             'h': ('date', 'date-value', text.replace(' ', 'T') + ':00'), 'b': ('boolean', 'boolean-value', text.lower()),
             'c': ('time', 'time-value', 'PT%sH%sM00S' % (text[:2], text[3:]))}
    word, attribute, value = types[kind]
    value = repr(int(text) / 100) if kind == 'p' else value
    return '<table:table-cell%s office:value-type="%s" office:%s="%s"><text:p>x</text:p></table:table-cell>' % (
        times, word, attribute, value)


def random_rows():
    rows, number = [], 0
    for _ in range(random.randrange(1, 12)):
        number += random.choice([1, 1, 1, 2, 7])
        columns = sorted(random.sample(range(40), random.randrange(1, 8)))
        rows.append((number, [(column,) + random_value() for column in columns]))
    return rows


def expected(rows):
    want = []
    for number, row in rows:
        want += [[''] for _ in range(number - 1 - len(want))]
        line = [''] * 40
        for column, kind, text in row:
            line[column] = shown(kind, text)
        want.append(line)
    return trimmed(want)


def write_xlsx(path, rows, from_1904):
    shared = []
    data = ''.join('<row r="%d">%s</row>' % (number, ''.join(xlsx_cell(number, *one, shared, from_1904) for one in row))
                   for number, row in rows)
    make.xlsx(path, [('Picks', '', '<sheetData>%s</sheetData>' % data)], ''.join(shared), make.STYLES,
              '<workbookPr date1904="1"/>' if from_1904 else '', strict=random.random() < 0.3)


def write_ods(path, rows):
    data, last = '', 0
    for number, row in rows:
        if number > last + 1:
            data += '<table:table-row table:number-rows-repeated="%d"><table:table-cell/></table:table-row>' % (
                number - last - 1)
        last = number
        line, column = '', 0
        for at, kind, text in row:
            if at > column:
                line += '<table:table-cell table:number-columns-repeated="%d"/>' % (at - column)
            line += ods_cell(kind, text, 1)
            column = at + 1
        data += '<table:table-row>%s<table:table-cell table:number-columns-repeated="%d"/></table:table-row>' % (
            line, 16384 - column)
    make.ods(path, '<office:spreadsheet><table:table table:name="Picks">%s</table:table></office:spreadsheet>' % data)


def hand_read(path):
    """Shared, inline and number cells without a style, by zipfile and ElementTree alone."""
    with zipfile.ZipFile(path) as package:
        sheet = tree.fromstring(package.read('xl/worksheets/page1.xml'))
        texts = tree.fromstring(package.read('xl/texts.xml'))
    space = sheet.tag[:sheet.tag.index('}') + 1]
    shared = [''.join(t.text or '' for t in item.iter(space + 't')) for item in texts]
    out = {}
    for one in sheet.iter(space + 'c'):
        value = one.findtext(space + 'v')
        kind = one.get('t', 'n')
        if kind == 's':
            out[one.get('r')] = shared[int(value)]
        elif kind == 'inlineStr':
            out[one.get('r')] = ''.join(t.text or '' for t in one.iter(space + 't'))
        elif kind == 'n' and one.get('s') is None:
            out[one.get('r')] = number_text(value)
    return out


agree = 0
for turn in range(150):
    rows = random_rows()
    want = expected(rows)
    for suffix in ('xlsx', 'ods'):
        path = os.path.join(tmp, 'random.' + suffix)
        if suffix == 'xlsx':
            write_xlsx(path, rows, turn % 3 == 0)
        else:
            write_ods(path, rows)
        got = dump(path)
        good = isinstance(got, list) and cells(got[0][2]) == want and all(state == 'ok' for state, _ in got[0][2])
        if good and suffix == 'xlsx':
            table = cells(got[0][2])
            by_hand = hand_read(path)
            for ref, text in by_hand.items():
                letters = ref.rstrip('0123456789')
                column = [name_of(i) for i in range(40)].index(letters)
                row = table[int(ref[len(letters):]) - 1] if int(ref[len(letters):]) <= len(table) else ['']
                good = good and (row[column] if column < len(row) else '') == text
        if good:
            agree += 1
        else:
            check('random %s %d' % (suffix, turn), got if isinstance(got, str) else cells(got[0][2]), want)
check('random workbooks that agree', agree, 300)
print('workbook/check: %d random workbooks read back what was put in' % agree)

# ---- an office suite ----

FLAT = '''<?xml version="1.0" encoding="UTF-8"?>
<office:document %s office:version="1.3" office:mimetype="application/vnd.oasis.opendocument.spreadsheet">
<office:automatic-styles>
<number:date-style style:name="N1"><number:year number:style="long"/><number:text>-</number:text>
<number:month number:style="long"/><number:text>-</number:text><number:day number:style="long"/></number:date-style>
<number:time-style style:name="N2"><number:hours number:style="long"/><number:text>:</number:text>
<number:minutes number:style="long"/></number:time-style>
<number:percentage-style style:name="N3"><number:number number:decimal-places="0" number:min-integer-digits="1"/>
<number:text>%%</number:text></number:percentage-style>
<number:number-style style:name="N4"><number:number number:decimal-places="0" number:min-integer-digits="1"/>
<number:text> lb</number:text></number:number-style>
<number:number-style style:name="N5"><number:text>J</number:text><number:number number:decimal-places="0"
number:min-integer-digits="3"/></number:number-style>
<number:date-style style:name="N6"><number:year number:style="long"/><number:text>-</number:text>
<number:month number:style="long"/><number:text>-</number:text><number:day number:style="long"/><number:text> </number:text>
<number:hours number:style="long"/><number:text>:</number:text><number:minutes number:style="long"/></number:date-style>
<number:time-style style:name="N7" number:truncate-on-overflow="false"><number:hours number:style="long"/>
<number:text>:</number:text><number:minutes number:style="long"/></number:time-style>
%s
<style:style style:name="ta2" style:family="table"><style:table-properties table:display="false"/></style:style>
</office:automatic-styles>
<office:body><office:spreadsheet>%s</office:spreadsheet></office:body></office:document>'''
STYLED = ''.join('<style:style style:name="c%d" style:family="table-cell" style:data-style-name="N%d"/>' % (i, i)
                 for i in range(1, 8))


def styled(style, kind, attribute, value):
    return '<table:table-cell table:style-name="c%d" office:value-type="%s" office:%s="%s"/>' % (
        style, kind, attribute, value)


def text_cell(text):
    return '<table:table-cell office:value-type="string"><text:p>%s</text:p></table:table-cell>' % escape(text)


def flat_document():
    head = '<table:table-row>%s</table:table-row>' % ''.join(
        text_cell(t) for t in ['pick', 'date', 'time', 'share', 'weight', 'job', 'begun', 'spent', 'sum', 'notes'])
    rows = ''
    for i in range(1, 40):
        rows += '<table:table-row>' + \
            '<table:table-cell office:value-type="float" office:value="%d"/>' % i + \
            styled(1, 'date', 'date-value', (datetime.date(2026, 1, 20) + datetime.timedelta(days=i * 11)).isoformat()) + \
            styled(2, 'time', 'time-value', 'PT%02dH%02dM00S' % (7 + i % 9, i * 7 % 60)) + \
            styled(3, 'percentage', 'value', repr(i / 100)) + styled(4, 'float', 'value', 900 + 137 * i) + \
            styled(5, 'float', 'value', i * 29) + \
            styled(6, 'date', 'date-value', '2026-10-%02dT%02d:%02d:00' % (1 + i % 28, i % 24, 1 + i)) + \
            styled(7, 'time', 'time-value', 'PT%dH%02dM00S' % (i, i)) + \
            '<table:table-cell table:formula="of:=[.A%d]*0.1+0.2" office:value-type="float" office:value="0"/>' % (i + 1) + \
            '<table:table-cell office:value-type="string"><office:annotation><text:p>LEAK</text:p></office:annotation>' \
            '<text:p>note %d, &quot;quoted&quot;</text:p>%s</table:table-cell>' % (
                i, '<text:p>second line</text:p>' if i % 5 == 0 else '') + '</table:table-row>'
        if i % 13 == 0:
            rows += '<table:table-row table:number-rows-repeated="2"><table:table-cell/></table:table-row>'
    error = '<table:table-row>' + text_cell('bad') + \
        '<table:table-cell table:formula="of:=1/0" office:value-type="float" office:value="0"/></table:table-row>'
    table = '<table:table table:name="Picks 2026">%s%s%s</table:table>' % (head, rows, error)
    hidden = '<table:table table:name="Lists" table:style-name="ta2"><table:table-row>%s</table:table-row></table:table>' % (
        text_cell('oak'))
    return FLAT % (make.ODF, STYLED, table + hidden)


def convert(kind, *paths):
    subprocess.run([office, '-env:UserInstallation=file://' + tmp + '/office', '--headless', '--convert-to', kind,
                    '--outdir', tmp] + list(paths), stdout=subprocess.DEVNULL, stderr=subprocess.DEVNULL, timeout=240)


def with_office():
    flat = os.path.join(tmp, 'suite.fods')
    with open(flat, 'w', encoding='utf-8') as out:
        out.write(flat_document())
    convert('xlsx:Calc MS Excel 2007 XML', flat)
    convert('ods:calc8', flat)
    if not all(os.path.exists(os.path.join(tmp, 'suite.' + kind)) for kind in ('xlsx', 'ods')):
        print('workbook/check: beside an office suite: not run (it does not convert here)')
        return
    books = [os.path.join(tmp, 'suite_ods.ods'), os.path.join(tmp, 'suite_xlsx.xlsx')]
    for book in books:
        os.rename(os.path.join(tmp, 'suite.' + book.rsplit('.', 1)[1]), book)
    # 44 = comma, 34 = quote, 76 = UTF-8; cells as shown; every sheet in a file of its own.
    convert('csv:Text - txt - csv (StarCalc):44,34,76,1,,0,false,true,true,false,false,-1', *books)
    for book in books:
        with open(book.rsplit('.', 1)[0] + '-Picks 2026.csv', encoding='utf-8', newline='') as file:
            shown_rows = trimmed(csv.reader(io.StringIO(file.read(), newline='')))
        got = dump(book)
        kind = book.rsplit('.', 1)[1]
        if isinstance(got, str):
            check('suite ' + kind, got, 'rows')
            continue
        check('suite %s: sheets' % kind, [(name, hidden) for name, hidden, _ in got],
              [('Picks 2026', False), ('Lists', True)])
        rows = got[0][2]
        want = [[c for c in row] for row in shown_rows]
        check('suite %s: rows as it shows them' % kind, cells(rows), want)
        check('suite %s: only the error is trouble' % kind, [c[0] for s, c in rows if s != 'ok'], ['bad'])
        check('suite %s: comments stay out' % kind, any('LEAK' in c for row in cells(rows) for c in row), False)
    print('workbook/check: %d rows of an office suite\'s .xlsx and .ods agree with its comma-separated text' % len(rows))


if office:
    with_office()
else:
    print('workbook/check: beside an office suite: not run (none installed)')
print('%d passed, %d failed' % (passed, failed))
sys.exit(failed > 0)
