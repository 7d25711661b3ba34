// Writes a copy of a log in which every free text is hostile: node hostile_log.mjs LOG > HOSTILE. Numbers, dates and words of
// the vocabularies stay, so that the picks are read and say something in every section.
import { readFileSync } from 'node:fs';

const texts = [
    '<script>document.title="ran"</script>',
    '"><img src=x onerror="document.title=\'ran\'">',
    "' onfocus='document.title=`ran`' autofocus='",
    'back`tick` ${1+1}',
    'two\nlines',
    '\u202Eright to left\u202C \u200F \u05D0\u05DC\u05D5\u05DF 17',
    'tree \u{1F333}\u{1F469}\u200D\u{1F527}',
    'long '.repeat(60).trim(),
    'unbroken'.repeat(38).slice(0, 300),
    "=cmd|' /C calc'!A0",
    '@{/Bold x} $a^2_3 \\ `uname` "; system("touch ran") #',
    "'; drop table pick; --",
    '[link](javascript:alert(1)) | **b** <b>'
];

function parse(text) {
    const rows = [];
    let row = [], field = '', quoted = false;
    for (let i = 0; i < text.length; i++) {
        const c = text[i];
        if (quoted) {
            if (c === '"' && text[i + 1] === '"') { field += '"'; i++; }
            else if (c === '"') quoted = false;
            else field += c;
        } else if (c === '"') quoted = true;
        else if (c === ',') { row.push(field); field = ''; }
        else if (c === '\n') { row.push(field); rows.push(row); row = []; field = ''; }
        else if (c !== '\r') field += c;
    }
    return rows;
}

const rows = parse(readFileSync(process.argv[2], 'utf8'));
const head = rows[0];
const at = (name) => head.indexOf(name);
for (let i = 1; i < rows.length; i++) {
    const text = texts[i % texts.length];
    for (const name of ['site', 'crane', 'climber', 'operator', 'estimator', 'notes']) {
        if (at(name) >= 0) rows[i][at(name)] = text;
    }
    if (i % 2) rows[i][at('crew')] = text;
    if (i % 3 === 0) rows[i][at('job')] = text.slice(0, 60);
    if (i % 4 === 0) rows[i][at('species')] = text.slice(0, 60);
}
process.stdout.write(rows.map((r) => r.map((f) => '"' + f.replaceAll('"', '""') + '"').join(',')).join('\n') + '\n');
