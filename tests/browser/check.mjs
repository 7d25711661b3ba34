// Drives pages in headless Chromium: node check.mjs BROWSER WORK PAGE... The last line is "N passed, N failed". Every page is
// checked; a name says what more is asked of it (the demo pages, a review). Which page is wrong on purpose: wrong.html.
//
// Sources: WCAG 2.2 levels A and AA as axe-core's rules read them; the HTML standard as html-validate reads it; narrow means
// 360 CSS px, common practice, no source; 1.5 MB is the project's own limit.
import { readFileSync, statSync, mkdtempSync } from 'node:fs';
import { execFileSync } from 'node:child_process';
import { basename, join } from 'node:path';
import { pathToFileURL } from 'node:url';
import puppeteer from 'puppeteer-core';
import { HtmlValidate } from 'html-validate';
import { driveTables, withoutScripts } from './tables.mjs';

const [browserPath, work, ...pages] = process.argv.slice(2);
const here = new URL('.', import.meta.url);
const axeSource = readFileSync(new URL('node_modules/axe-core/axe.min.js', here), 'utf8');
const auditSource = readFileSync(new URL('audit.js', here), 'utf8');
const MOST_BYTES = 1.5e6;
let passed = 0;
let failed = 0;

function check(what, good, seen) {
    if (good) { passed++; return true; }
    failed++;
    console.log(`FAILED browser: ${what}${seen === undefined ? '' : ': ' + String(seen).slice(0, 1500)}`);
    return false;
}

const rules = {
    extends: ['html-validate:recommended', 'html-validate:a11y'],
    rules: {
        'long-title': 'off', // a title may hold a company's name
        'no-inline-style': 'off', // the figures' own attributes
        'no-trailing-whitespace': 'off',
        'doctype-style': 'off', // <!doctype html> is as good as <!DOCTYPE html>
        'require-sri': 'off',
        'void-style': 'off',
        'prefer-native-element': 'off' // role=region on the box that scrolls, as WAI-ARIA practice has it
    }
};
const validator = new HtmlValidate(rules);
// A page with one text in every place cannot have a name of its own for each landmark.
const sameText = new HtmlValidate({ ...rules, rules: { ...rules.rules, 'unique-landmark': 'off' } });

async function htmlFaults(text, judge = validator) {
    const report = await judge.validateString(text);
    return report.results.flatMap((r) => r.messages).filter((m) => m.severity === 2).map((m) => `${m.line}: ${m.ruleId}: ${m.message}`);
}

// Nothing glides: a click meets what it was aimed at.
const wish = (page, scheme) => page.emulateMediaFeatures([{ name: 'prefers-color-scheme', value: scheme },
    { name: 'prefers-reduced-motion', value: 'reduce' }]);

async function open(browser, path, options = {}) {
    const page = await browser.newPage();
    const seen = { console: [], requests: [], page };
    await page.setRequestInterception(true);
    page.on('request', (request) => { seen.requests.push(request.url()); request.continue(); });
    page.on('console', (message) => seen.console.push(`${message.type()}: ${message.text()}`));
    page.on('pageerror', (error) => seen.console.push(`error: ${error.message}`));
    // Not only what passes the interception: sockets and prefetches too.
    const network = await page.createCDPSession();
    await network.send('Network.enable');
    for (const event of ['requestWillBeSent', 'webSocketCreated', 'webTransportCreated', 'eventSourceMessageReceived']) {
        network.on(`Network.${event}`, (it) => { const url = it.request?.url ?? it.url ?? event; if (!seen.requests.includes(url)) seen.requests.push(url); });
    }
    page.on('dialog', (dialog) => { seen.console.push(`dialog: ${dialog.message()}`); dialog.dismiss(); });
    if (options.script === false) await page.setJavaScriptEnabled(false);
    await page.setViewport({ width: options.width ?? 1280, height: 900 });
    await wish(page, 'light');
    await page.goto(pathToFileURL(path).href, { waitUntil: 'load' });
    return seen;
}

async function accessibility(page) {
    await page.evaluate(axeSource);
    return page.evaluate(async () => {
        const report = await window.axe.run(document, {
            runOnly: { type: 'tag', values: ['wcag2a', 'wcag2aa', 'wcag21a', 'wcag21aa', 'wcag22aa'] },
            resultTypes: ['violations']
        });
        return report.violations.map((v) => `${v.id} (${v.nodes.length}): ${v.nodes[0].target} ${v.nodes[0].failureSummary}`);
    });
}

const audit = (page) => page.evaluate(`window.auditSays=null;${auditSource};window.auditSays`);
const pdfText = (path, first) => execFileSync('pdftotext', ['-layout', ...(first ? ['-f', `${first}`, '-l', `${first}`] : []), path, '-'],
    { encoding: 'utf8', maxBuffer: 1 << 26 });
const squeeze = (text) => text.replace(/\s+/g, '');

// What was seen while a page was open: nothing on the console, no request but the file itself.
function quiet(name, seen, path) {
    const own = pathToFileURL(path).href;
    check(`${name}: console`, seen.console.length === 0, seen.console.join(' ; '));
    const others = seen.requests.filter((url) => url !== own);
    check(`${name}: requests`, others.length === 0, others.join(' ; '));
}

async function looks(browser, path, name, text, firstPage) {
    const light = await open(browser, path);
    const page = light.page;
    const load = await page.evaluate(() => Math.round(performance.getEntriesByType('navigation')[0].loadEventEnd));
    const title = await page.title();
    check(`${name}: a script of the data ran`, !title.startsWith('ran') && title !== 'owned', title);
    let faults = await accessibility(page);
    check(`${name}: WCAG in light`, faults.length === 0, faults.join('\n'));
    check(`${name}: audit`, (await audit(page)) === '', await audit(page));
    const drawings = text.match(/<svg[\s>][\s\S]*?<\/svg>/g) ?? [];
    const broken = await page.evaluate((all) => all.filter((svg) =>
        new DOMParser().parseFromString(svg, 'image/svg+xml').querySelector('parsererror')).length, drawings);
    check(`${name}: ${broken} of ${drawings.length} drawings are no XML`, broken === 0);
    await wish(page, 'dark');
    faults = await accessibility(page);
    check(`${name}: WCAG in dark`, faults.length === 0, faults.join('\n'));
    await wish(page, 'light');
    await page.emulateMediaType('print');
    faults = (await accessibility(page)).filter((line) => !line.startsWith('target-size')); // nobody clicks on paper
    check(`${name}: WCAG on paper`, faults.length === 0, faults.join('\n'));
    await page.emulateMediaType(null);
    if (firstPage) await onPaper(page, name, text);
    await page.setViewport({ width: 360, height: 740 });
    const wide = await page.evaluate(() => document.scrollingElement.scrollWidth - innerWidth);
    check(`${name}: scrolls sideways at 360 px by`, wide <= 0, wide);
    check(`${name}: audit at 360 px`, (await audit(page)) === '', await audit(page));
    faults = await accessibility(page);
    check(`${name}: WCAG at 360 px`, faults.length === 0, faults.join('\n'));
    quiet(name, light, path);
    await page.close();
    const bare = await open(browser, path, { script: false });
    await withoutScripts(bare.page, check, name);
    quiet(`${name} without scripts`, bare, path);
    await bare.page.close();
    return { load, drawings: drawings.length };
}

// A4 and Letter: the first section has the first page for itself, no page is empty, what is folded away is open.
async function onPaper(page, name, text) {
    const marks = await page.evaluate(() => {
        const sections = [...document.querySelectorAll('main > section')];
        const cut = document.querySelector('main > .page-break');
        const before = cut ? sections.filter((s) => s.compareDocumentPosition(cut) & Node.DOCUMENT_POSITION_FOLLOWING) : [];
        const after = cut ? sections.filter((s) => !before.includes(s)) : [];
        return { first: before.map((s) => s.innerText.trim().split('\n').at(-1)), next: after[0]?.querySelector('h2').innerText,
                 folded: document.querySelector('details p')?.textContent };
    });
    for (const format of ['A4', 'Letter']) {
        const path = join(work, `page-${format}.pdf`);
        await page.pdf({ path, format, preferCSSPageSize: false, displayHeaderFooter: false, printBackground: true });
        const sheets = pdfText(path).split('\f').slice(0, -1);
        const empty = sheets.flatMap((sheet, i) => (squeeze(sheet).length < 25 ? [i + 1] : []));
        check(`${name} on ${format}: empty pages`, empty.length === 0, empty);
        if (marks.next) {
            const first = squeeze(sheets[0]);
            check(`${name} on ${format}: the first page is whole`, marks.first.every((m) => first.includes(squeeze(m))), marks.first);
            check(`${name} on ${format}: the first page is alone`, squeeze(sheets[1]).includes(squeeze(marks.next)) &&
                !sheets[0].split('\n').some((line) => line.trim() === marks.next), sheets[0].slice(-300));
        }
        if (marks.folded && format === 'A4') {
            check(`${name} on paper: folded text`, squeeze(sheets.join('')).includes(squeeze(marks.folded).slice(0, 40)), marks.folded);
        }
    }
}

// The cells of one column as they stand, hidden rows left out.
const column = (page, table, at) => page.evaluate((id, i) => [...document.querySelectorAll(`#${id} > tbody > tr`)]
    .filter((row) => !row.hidden).map((row) => row.cells[i].textContent.trim()), table, at);
const heading = (page, table, label) => page.evaluate((id, text) =>
    [...document.querySelectorAll(`#${id} > thead th`)].findIndex((th) => th.textContent.trim().startsWith(text)), table, label);
const sortState = (page, table, at) => page.evaluate((id, i) => document.querySelectorAll(`#${id} > thead th`)[i].getAttribute('aria-sort'),
    table, at);
const button = (table, at) => `#${table} > thead th:nth-child(${at + 1}) button`;
const asNumber = (cell) => parseFloat(cell.replace(/,/g, ''));
const rising = (list) => list.every((v, i) => i === 0 || list[i - 1] <= v);

// Real clicks and keys on the demo page's two tables.
async function sorting(browser, path) {
    const seen = await open(browser, path);
    const page = seen.page;
    let at = await heading(page, 'by-species', 'Picks');
    const written = await column(page, 'by-species', at);
    await page.click(button('by-species', at));
    check('sort: a click makes numbers rise', rising((await column(page, 'by-species', at)).map(asNumber)), await column(page, 'by-species', at));
    check('sort: aria-sort says so', (await sortState(page, 'by-species', at)) === 'ascending');
    check('sort: the order as written was another one', !rising(written.map(asNumber)), written);
    await page.focus(button('by-species', at));
    await page.keyboard.press('Enter');
    check('sort: Enter makes them fall', rising((await column(page, 'by-species', at)).map(asNumber).reverse()));
    check('sort: aria-sort descending', (await sortState(page, 'by-species', at)) === 'descending');
    await page.keyboard.press('Space');
    check('sort: the third time is as written', String(await column(page, 'by-species', at)) === String(written));
    check('sort: no aria-sort then', (await sortState(page, 'by-species', at)) === null);

    at = await heading(page, 'by-species', 'Planning factor');
    for (const way of ['rising', 'falling']) {
        await page.click(button('by-species', at));
        const cells = await column(page, 'by-species', at);
        check(`sort: blanks last, ${way}`, cells.indexOf('—') === cells.length - 1 && cells.length === 10, cells);
    }
    // A quantity is not sorted by what is printed: 9 ft 11 in comes before 10 ft 1 in.
    at = await heading(page, 'margin-picks', 'Radius');
    await page.click(button('margin-picks', at));
    const inches = (await column(page, 'margin-picks', at)).map((t) => { const m = /(?:(\d+) ft)? ?(?:(\d+) in)?/.exec(t); return 12 * +(m[1] ?? 0) + +(m[2] ?? 0); });
    check('sort: lengths in feet and inches', rising(inches) && inches[0] < inches.at(-1), inches);
    at = await heading(page, 'margin-picks', 'Date');
    await page.click(button('margin-picks', at));
    await page.click(button('margin-picks', at));
    check('sort: dates', rising((await column(page, 'margin-picks', at)).reverse()));
    await page.click(button('margin-picks', 0));
    const names = await column(page, 'margin-picks', 0);
    const parts = names.map((n) => { const m = /J(\d+)\/(\d+)/.exec(n); return +m[1] * 1000 + +m[2]; });
    check('sort: J225/2 before J225/10', rising(parts), names);

    // Reached by Tab: box of the table, then its first heading.
    await page.evaluate(() => document.querySelector('#by-species').parentNode.focus());
    await page.keyboard.press('Tab');
    check('sort: Tab goes to the first heading', await page.evaluate(() => document.activeElement.closest('table')?.id === 'by-species' &&
        document.activeElement.tagName === 'BUTTON'));

    // Filter, with the keys of a list.
    const box = '#margin-picks-box';
    await page.evaluate(() => { document.querySelector('#margin-picks').parentNode.previousElementSibling.id = 'margin-picks-box'; });
    await page.focus(`${box} select`);
    await page.keyboard.press('ArrowDown');
    const word = await page.evaluate(() => document.querySelector('#margin-picks-box select').selectedOptions[0].textContent);
    const crews = await column(page, 'margin-picks', await heading(page, 'margin-picks', 'Crew'));
    check('filter: a key shows one crew alone', crews.length > 0 && crews.length < 40 && crews.every((c) => c === word), `${word}: ${crews}`);
    const says = await page.$eval(`${box} [role=status]`, (e) => e.textContent);
    check('filter: says how many', says === `${crews.length} of 40 rows`, says);
    await page.emulateMediaType('print');
    check('filter: paper shows every row', (await page.evaluate(() => [...document.querySelectorAll('#margin-picks > tbody > tr')]
        .filter((row) => row.getClientRects().length > 0).length)) === 40);
    check('filter: no controls on paper', await page.$eval(box, (e) => getComputedStyle(e).display === 'none'));
    await page.emulateMediaType(null);
    // A link to a row that is filtered away.
    const hidden = await page.evaluate(() => [...document.querySelectorAll('#margin-picks tr[id]')].find((row) => row.hidden)?.id);
    check('filter: a marked row is away', hidden !== undefined);
    await page.evaluate((id) => { location.hash = id; }, hidden ?? 'none');
    await page.waitForFunction(() => !document.querySelector('#margin-picks tr[hidden]'), { timeout: 2000 }).catch(() => {});
    check('filter: a link to it brings it back', (await column(page, 'margin-picks', 0)).length === 40);
    quiet('demo after clicks', { console: seen.console, requests: seen.requests.map((u) => u.split('#')[0]) }, path);
    await page.close();

    const without = await open(browser, path, { script: false });
    const counts = await without.page.$$eval('#margin-picks > tbody > tr, #margin-picks button, .sift', (all) => all.map((e) => e.tagName));
    check('without scripts: every row, no control', counts.length === 40 && counts.every((n) => n === 'TR'), counts);
    await without.page.close();
}

// A review in which many picks are past the company's limits, and one whose every text is hostile.
async function everyTable(browser, path, name) {
    const seen = await open(browser, path);
    const filters = await driveTables(seen.page, check, name);
    if (name.startsWith('strict')) {
        const wanted = name.includes('index') ? { 'findings-all': ['class', 'what', 'species', 'crew', 'state'], 'picks-all': ['crew', 'crane', 'species', 'cut'] }
            : { 'past-limits': ['class', 'species', 'crew', 'crane'], 'findings-all': ['class', 'species', 'crew'], 'error-grid': ['species', 'cut'] };
        for (const [table, labels] of Object.entries(wanted)) {
            const missing = labels.filter((label) => !(filters[table] ?? []).includes(label));
            check(`${name}, table ${table}: filters by ${labels}`, missing.length === 0 || (missing.length === 1 && missing[0] === 'state'), filters[table]);
        }
        const unlinked = await seen.page.$$eval(name.includes('index') ? '#picks-all tbody th' : '#past-limits tbody th',
            (cells) => cells.filter((cell) => !cell.querySelector('a[href$=".html"]')).map((cell) => cell.textContent));
        check(`${name}: every pick leads to its page`, unlinked.length === 0, unlinked);
    }
    quiet(`${name} after clicks`, seen, path);
    await seen.page.close();
}

// The check itself must be able to fail.
async function blind(browser, path) {
    const seen = await open(browser, path);
    const page = seen.page;
    check('blind to the console', seen.console.some((line) => line.includes('said something')));
    check('blind to requests', seen.requests.some((url) => url.includes('wanted.example.invalid')));
    check('blind to WCAG', (await accessibility(page)).some((line) => /image-alt|color-contrast|html-has-lang/.test(line)));
    check('blind to HTML', (await htmlFaults(readFileSync(path, 'utf8'))).some((line) => /no-dup-id|close-order/.test(line)));
    await page.setViewport({ width: 360, height: 740 });
    const words = await audit(page);
    for (const sign of ['page scrolls sideways', 'element not ours', 'event attribute', 'address javascript', 'heading skips a level',
                        'no skip link', 'script elements', 'id twice']) {
        check(`the audit does not see: ${sign}`, words.includes(sign), words);
    }
    await page.close();
}

const browser = await puppeteer.launch({
    executablePath: browserPath, headless: true, userDataDir: mkdtempSync(join(work, 'profile-')),
    args: ['--no-sandbox', '--disable-gpu', '--disable-quic', '--no-first-run', '--disable-background-networking', '--disable-component-update',
           '--disable-sync', '--disable-extensions', '--disable-default-apps', '--host-resolver-rules=MAP * ~NOTFOUND']
});
try {
    for (const path of pages) {
        const name = path.startsWith(work) ? path.slice(work.length + 1) : basename(path);
        if (basename(path) === 'wrong.html') { await blind(browser, path); continue; }
        if (name.startsWith('strict')) { await everyTable(browser, path, name); continue; } // made like the others, with longer tables
        const text = readFileSync(path, 'utf8');
        const faults = await htmlFaults(text, name === 'pages/hostile.html' ? sameText : validator);
        check(`${name}: html-validate`, faults.length === 0, `${faults.length}: ${faults.slice(0, 8).join(' ; ')}`);
        const bytes = statSync(path).size;
        check(`${name}: ${bytes} bytes are too many`, bytes < MOST_BYTES);
        const { load, drawings } = await looks(browser, path, name, text, /(review|demo|briefing|crane-k1)\.html$/.test(name));
        console.log(`${name}: ${bytes} bytes, ${drawings} drawings, load event after ${load} ms`);
        if (basename(path) === 'demo.html') await sorting(browser, path);
        if (name === 'hostile-review/review.html') await everyTable(browser, path, name);
    }
} finally {
    await browser.close();
}
console.log(`${passed} passed, ${failed} failed`);
process.exitCode = failed ? 1 : 0;
