"""Makes the small workbooks of tests/text/workbooks by hand, part by part. Their content is invented.

    python3 tests/workbook/make.py tests/text/workbooks
"""
import os
import sys
import zipfile

MAIN = 'http://schemas.openxmlformats.org/spreadsheetml/2006/main'
REL = 'http://schemas.openxmlformats.org/officeDocument/2006/relationships'
STRICT_MAIN = 'http://purl.oclc.org/ooxml/spreadsheetml/main'
STRICT_REL = 'http://purl.oclc.org/ooxml/officeDocument/relationships'
PACKAGE_REL = 'http://schemas.openxmlformats.org/package/2006/relationships'
HEAD = '<?xml version="1.0" encoding="UTF-8" standalone="yes"?>\n'
ODF = ' '.join('xmlns:%s="urn:oasis:names:tc:opendocument:xmlns:%s:1.0"' % (n, n)
               for n in ('office', 'table', 'text', 'style', 'manifest')) + \
    ' xmlns:number="urn:oasis:names:tc:opendocument:xmlns:datastyle:1.0"' \
    ' xmlns:of="urn:oasis:names:tc:opendocument:xmlns:of:1.2"' \
    ' xmlns:draw="urn:oasis:names:tc:opendocument:xmlns:drawing:1.0"' \
    ' xmlns:dc="http://purl.org/dc/elements/1.1/"' \
    ' xmlns:calcext="urn:org:documentfoundation:names:experimental:calc:xmlns:calcext:1.0"'


def pack(path, parts, stored=()):
    with zipfile.ZipFile(path, 'w') as zip_file:
        for name, text in parts:
            info = zipfile.ZipInfo(name, (2026, 10, 5, 12, 0, 0))
            info.compress_type = zipfile.ZIP_STORED if name in stored else zipfile.ZIP_DEFLATED
            zip_file.writestr(info, text)


def relationships(rows):
    return HEAD + '<Relationships xmlns="%s">%s</Relationships>' % (PACKAGE_REL, ''.join(
        '<Relationship Id="%s" Type="%s" Target="%s"%s/>' % row for row in rows))


def xlsx(path, sheets, shared='', styles='', book='', strict=False, more=(), workbook='xl/workbook.xml', sheets_xml=None):
    """sheets: (name, state, sheet XML inside worksheet)."""
    main, rel = (STRICT_MAIN, STRICT_REL) if strict else (MAIN, REL)
    rows = [('rId%d' % (i + 1), rel + '/worksheet', '/xl/worksheets/page%d.xml' % (i + 1), '')
            for i in range(len(sheets))]
    rows += [('rIdS', rel + '/styles', 'styles.xml', ''), ('rIdT', rel + '/sharedStrings', './texts.xml', ''),
             ('rIdX', rel + '/externalLink', 'https://example.org/none.xlsx', ' TargetMode="External"'),
             ('rIdF', rel + '/chartsheet', 'chartsheets/sheet1.xml', '')]
    listed = sheets_xml or ''.join('<sheet name="%s" sheetId="%d"%s r:id="rId%d"/>' % (
        name, i + 1, ' state="%s"' % state if state else '', i + 1) for i, (name, state, _) in enumerate(sheets))
    parts = [
        ('[Content_Types].xml', HEAD + '<Types xmlns="http://schemas.openxmlformats.org/package/2006/content-types"/>'),
        ('_rels/.rels', relationships([('rId1', rel + '/officeDocument', workbook, '')])),
        ('xl/workbook.xml', HEAD + '<workbook xmlns="%s" xmlns:r="%s">%s<sheets>%s</sheets></workbook>' % (
            main, rel, book, listed)),
        ('xl/_rels/workbook.xml.rels', relationships(rows)),
        ('xl/styles.xml', HEAD + '<styleSheet xmlns="%s">%s</styleSheet>' % (main, styles)),
        ('xl/texts.xml', HEAD + '<sst xmlns="%s">%s</sst>' % (main, shared)),
    ]
    parts += [('xl/worksheets/page%d.xml' % (i + 1), HEAD + xml if xml.startswith('<x:') else
               HEAD + '<worksheet xmlns="%s">%s</worksheet>' % (main, xml)) for i, (_, _, xml) in enumerate(sheets)]
    pack(path, parts + list(more))


def ods(path, body, styles='', manifest='', more=(), mimetype='application/vnd.oasis.opendocument.spreadsheet'):
    pack(path, [
        ('mimetype', mimetype),
        ('content.xml', HEAD + '<office:document-content %s office:version="1.3"><office:automatic-styles>%s'
         '</office:automatic-styles><office:body>%s</office:body></office:document-content>' % (ODF, styles, body)),
        ('META-INF/manifest.xml', HEAD + '<manifest:manifest %s>%s</manifest:manifest>' % (ODF, manifest)),
    ] + list(more), stored=('mimetype',))


FORMATS = [
    ('General', 0), ('m/d/yy', 14), ('h:mm', 20), ('m/d/yy h:mm', 22), ('0%', 9), ('[h]:mm', 164),
    ('yyyy\\-mm\\-dd', 165), ('#,##0" lb"', 166), ('"J"000', 167), ('0000', 168), ('h:mm:ss', 21),
    ('0.0,"t"', 169), ('[$-409]d\\-mmm\\-yyyy;@', 170), ('mm:ss', 45), ('[Red]0.00', 171), ('0.0 "d"', 172),
]
STYLES = '<numFmts count="9">%s</numFmts><cellStyleXfs><xf numFmtId="14"/></cellStyleXfs><cellXfs>%s</cellXfs>' \
         '<dxfs><dxf><numFmt numFmtId="0" formatCode="yyyy"/></dxf></dxfs>' % (
             ''.join('<numFmt numFmtId="%d" formatCode="%s"/>' % (number, code.replace('"', '&quot;'))
                     for code, number in FORMATS if number >= 164),
             ''.join('<xf numFmtId="%d"/>' % number for _, number in FORMATS))
STYLE = {code: index for index, (code, _) in enumerate(FORMATS)}

SHARED = (
    '<si><t>pick</t></si>'
    '<si><r><rPr><b/></rPr><t>silver </t></r><r><t xml:space="preserve">maple</t></r>'
    '<rPh sb="0" eb="1"><t>SPOKEN</t></rPh><phoneticPr fontId="1"/></si>'
    '<si><t>two_x000A_lines, and _x005F_x0041_</t></si>'
    '<si><t>Eiche &#xFC;ber \U0001F332</t></si>'
)


def cell(ref, value, style=None, kind=None, formula=None):
    return '<c r="%s"%s%s>%s%s</c>' % (ref, ' s="%d"' % style if style is not None else '',
                                       ' t="%s"' % kind if kind else '',
                                       '<f>%s</f>' % formula if formula else '',
                                       '<v>%s</v>' % value if value is not None else '')


def values_sheet():
    s = STYLE
    rows = [
        ('1', cell('A1', 0, kind='s') + cell('B1', 1, kind='s') + cell('C1', 2, kind='s') + cell('E1', 3, kind='s')),
        ('3', cell('A3', 46300, s['m/d/yy']) + cell('B3', '0.586805555555556', s['h:mm']) +
         cell('C3', '46300.586805555', s['m/d/yy h:mm']) + cell('D3', '0.35', s['0%']) +
         cell('E3', '1.14583333333333', s['[h]:mm']) + cell('F3', 46300, s['yyyy\\-mm\\-dd']) +
         cell('G3', '46300.5', s['[$-409]d\\-mmm\\-yyyy;@']) + cell('H3', '0.5868634259', s['h:mm:ss'])),
        ('4', cell('A4', '0.30000000000000004') + cell('B4', '4850', s['#,##0" lb"']) + cell('C4', 7, s['"J"000']) +
         cell('D4', 231, s['0000']) + cell('E4', '4850', s['0.0,"t"']) + cell('F4', '1E-3') +
         cell('G4', '1.5E+3') + cell('H4', '-12.50', s['[Red]0.00']) + cell('I4', '3', s['0.0 "d"'])),
        ('5', cell('A5', 1, kind='b') + cell('B5', 0, kind='b') +
         '<c r="C5" t="inlineStr"><is><r><t>in</t></r><r><t>line</t></r><rPh sb="0" eb="1"><t>NO</t></rPh></is></c>' +
         cell('D5', 'text of a formula', kind='str', formula='A1&amp;B1') + cell('E5', 12, formula='6*2') +
         cell('F5', '', kind='str', formula='""') + cell('G5', None, s['0%'])),
        ('6', cell('A6', 6) + cell('B6', '#DIV/0!', kind='e', formula='1/0')),
        ('7', cell('A7', 7) + cell('C7', None, formula='A1+1')),
        ('8', cell('A8', 60, s['m/d/yy'])),
        ('9', cell('A9', 59, s['m/d/yy']) + cell('B9', 61, s['m/d/yy']) + cell('C9', 1, s['m/d/yy'])),
        ('10', cell('A10', '#REF!', kind='e')),
        ('11', cell('A11', None, 3) + cell('ZZ11', None, 3)),
        ('12', cell('A12', -1, s['m/d/yy'])),
        ('13', cell('B13', 13) + '<c><v>14</v></c>' + cell('E13', 99, kind='s')),
        ('1048576', cell('A1048576', None, 2)),
    ]
    return '<dimension ref="A1"/><sheetData>%s</sheetData><mergeCells><mergeCell ref="A13:B13"/></mergeCells>' % ''.join(
        '<row r="%s">%s</row>' % row for row in rows)


def make(folder):
    at = lambda name: os.path.join(folder, name)
    listed = ('<sheet name="Picks" sheetId="4" r:id="rId1"/><sheet name="Figure" sheetId="9" r:id="rIdF"/>'
              '<sheet name="Old &amp; hidden" state="veryHidden" sheetId="2" r:id="rId2"/>')
    comments = HEAD + '<comments xmlns="%s"><commentList><comment ref="A1"><text><t>LEAK</t></text></comment>' \
        '</commentList></comments>' % MAIN
    xlsx(at('values.xlsx'), [('Picks', '', values_sheet()), ('Old', '', '<sheetData><row><c><v>1</v></c></row></sheetData>')],
         SHARED, STYLES, sheets_xml=listed, more=[('xl/comments1.xml', comments), ('xl/vbaProject.bin', b'\xcc' * 64)])
    # Another prefix for the same namespace, a foreign namespace with the same names.
    prefixed = ('<x:worksheet xmlns:x="%s" xmlns="urn:example:other"><x:sheetData><x:row r="2"><x:c r="B2" t="d" s="0">'
                '<x:v>2026-10-05T14:05:00</x:v></x:c><x:c r="C2" s="1"><x:v>44838</x:v></x:c><c r="D2"><v>5</v></c>'
                '<x:c r="E2" t="d"><x:v>14:05:30</x:v></x:c><x:c r="F2" s="1"><x:v>0</x:v></x:c></x:row>'
                '<row r="3"><c r="A3"><v>6</v></c></row></x:sheetData></x:worksheet>') % STRICT_MAIN
    xlsx(at('strict_1904.xlsx'), [('Log', '', prefixed)], '', STYLES, '<workbookPr date1904="1"/>', strict=True)

    table = (
        '<table:table table:name="Picks" table:style-name="ta1"><office:forms/>'
        '<table:shapes><draw:frame><table:table><table:table-row><table:table-cell office:value-type="float" '
        'office:value="1"/></table:table-row></table:table></draw:frame></table:shapes>'
        '<table:table-column table:number-columns-repeated="16384"/>'
        '<table:table-header-rows><table:table-row><table:table-cell office:value-type="string"><office:annotation>'
        '<dc:creator>x</dc:creator><text:p>LEAK</text:p></office:annotation><text:p>pick</text:p></table:table-cell>'
        '<table:table-cell table:number-columns-repeated="2" office:value-type="string"><text:p>  two <text:span> runs'
        '</text:span><text:s text:c="3"/>end </text:p><text:p>second<text:tab/>line<text:note><text:p>NO</text:p>'
        '</text:note></text:p></table:table-cell><table:table-cell table:number-columns-repeated="16381"/>'
        '</table:table-row></table:table-header-rows>'
        '<table:table-row table:number-rows-repeated="3"><table:table-cell table:number-columns-repeated="16384"/>'
        '</table:table-row>'
        '<table:table-row-group><table:table-row table:number-rows-repeated="2">'
        '<table:table-cell office:value-type="float" office:value="4850"><text:p>4,850 lb</text:p></table:table-cell>'
        '<table:table-cell office:value-type="percentage" office:value="0.35"><text:p>35.00%</text:p></table:table-cell>'
        '<table:table-cell office:value-type="date" office:date-value="2026-10-05"><text:p>10/05/26</text:p>'
        '</table:table-cell><table:table-cell office:value-type="date" office:date-value="2026-10-05T14:05:00"/>'
        '<table:table-cell office:value-type="time" office:time-value="PT14H05M00S"/>'
        '<table:table-cell office:value-type="time" office:time-value="PT27H30M00S"/>'
        '<table:table-cell office:value-type="boolean" office:boolean-value="true"/>'
        '<table:table-cell office:value-type="currency" office:value="12.5"><text:p>$12.50</text:p></table:table-cell>'
        '<table:table-cell office:value-type="float" office:value="231"><text:p>J231</text:p></table:table-cell>'
        '</table:table-row></table:table-row-group>'
        '<table:table-row><table:table-cell table:number-columns-spanned="2" office:value-type="float" '
        'office:value="0.1"/><table:covered-table-cell office:value-type="float" office:value="9"/>'
        '<table:table-cell office:value-type="float" office:value="3"/></table:table-row>'
        '<table:table-row><table:table-cell table:formula="of:=1/0" office:value-type="string" office:string-value="" '
        'calcext:value-type="error"><text:p>#DIV/0!</text:p></table:table-cell></table:table-row>'
        '<table:table-row><table:table-cell table:formula="of:=A1"/></table:table-row>'
        '<table:table-row><table:table-cell office:value-type="float" office:value="4850"><text:p>4.9 t</text:p>'
        '</table:table-cell></table:table-row>'
        '<table:table-row><table:table-cell table:formula="of:=&quot;&quot;" office:value-type="string"/>'
        '<table:table-cell office:value-type="string"><text:p>last</text:p></table:table-cell></table:table-row>'
        '<table:table-row table:number-rows-repeated="1048565"><table:table-cell '
        'table:number-columns-repeated="16384"/></table:table-row></table:table>')
    tracked = ('<table:tracked-changes><table:cell-content-change><table:previous><table:change-track-table-cell '
               'office:value-type="float" office:value="77"/></table:previous></table:cell-content-change>'
               '</table:tracked-changes>')
    second = ('<table:table table:name="Hidden" table:style-name="ta2"><table:table-row><table:table-cell '
              'office:value-type="float" office:value="2"/></table:table-row></table:table>'
              "<table:table table:name=\"'file:///x/y.ods'#$A\"/>")
    styles = ('<style:style style:name="ta1" style:family="table"><style:table-properties table:display="true"/>'
              '</style:style><style:style style:name="ta2" style:family="table"><style:table-properties '
              'table:display="false"/></style:style>')
    ods(at('values.ods'), '<office:spreadsheet>%s%s%s</office:spreadsheet>' % (tracked, table, second), styles)

    # Refusals.
    one = '<sheetData><row r="1"><c r="A1"><v>1</v></c></row></sheetData>'
    doctype = ('<!DOCTYPE office:document-content [<!ENTITY a "aaaa"><!ENTITY b "&a;&a;&a;">]>'
               '<office:document-content %s><office:body><office:spreadsheet/></office:body></office:document-content>')
    pack(at('doctype.ods'), [('content.xml', doctype % ODF)])
    ods(at('password.ods'), '<office:spreadsheet/>', manifest='<manifest:file-entry manifest:full-path="content.xml">'
        '<manifest:encryption-data manifest:checksum="x"/></manifest:file-entry>')
    ods(at('letter.ods'), '<office:text/>', mimetype='application/vnd.oasis.opendocument.text')
    xlsx(at('binary.xlsb'), [('A', '', one)], workbook='xl/workbook.bin', more=[('xl/workbook.bin', b'\x83\x01')])
    xlsx(at('no_cells.xlsx'), [], sheets_xml='<sheet name="F" sheetId="1" r:id="rIdF"/>')
    xlsx(at('damaged.xlsx'), [('A', '', '<sheetData><row r="1"><c r="A1"><v>1</v></c></row><row r="2"><c>')])
    xlsx(at('deep.xlsx'), [('A', '', '<sheetData>%s%s</sheetData>' % ('<x>' * 200, '</x>' * 200))])
    name = 'EncryptedPackage'.encode('utf-16-le')
    with open(at('password.xlsx'), 'wb') as out:
        out.write(b'\xd0\xcf\x11\xe0\xa1\xb1\x1a\xe1' + b'\0' * 1016 + name + b'\0' * 472)


if __name__ == '__main__':
    make(sys.argv[1])
