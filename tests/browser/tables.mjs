// Every table of a page that sorts or filters, driven by real clicks and keys; used by check.mjs.
//
// What a reader expects of a sorted column stands here anew, not by the page's own code: numbers by their value, dates by the calendar,
// names as people count (J2 before J10), what is not known last in both directions.

const NOT_KNOWN = '—';

/* What stands in the column, rows that are filtered away left out. */
const readColumn = (page, id, at) => page.evaluate((name, i) => [...document.getElementById(name).tBodies[0].rows].filter((row) => !row.hidden)
    .map((row) => {
        const cell = row.cells[i].cloneNode(true);
        cell.querySelectorAll('.mark').forEach((e) => e.remove());
        return { text: cell.textContent.replace(/\s+/g, ' ').trim(), value: row.cells[i].getAttribute('data-value') };
    }), id, at);

const list = (page) => page.evaluate(() => [...document.querySelectorAll('main table')].map((table) => ({
    id: table.id, sorts: table.classList.contains('sorts'), rows: table.tBodies[0].rows.length,
    heads: [...table.tHead.rows[0].cells].map((th) => ({ text: th.textContent.trim(), number: th.classList.contains('number'),
        filter: th.hasAttribute('data-filter'), button: !!th.querySelector('button') }))
})));

function compare(a, b, number) {
    if (number) return Number(a.value) - Number(b.value);
    const parts = (t) => t.toLowerCase().split(/(\d+)/);
    const [left, right] = [parts(a.text), parts(b.text)];
    for (let i = 0; i < Math.min(left.length, right.length); i++) {
        const way = i % 2 ? Number(left[i]) - Number(right[i]) : left[i].localeCompare(right[i], 'en', { sensitivity: 'base' });
        if (way) return way;
    }
    return left.length - right.length;
}

/* Known ones in order, the others behind them. `simple` leaves out texts whose order is a matter of alphabets. */
function inOrder(cells, number, way) {
    const known = cells.filter((c) => (number ? c.value !== null : c.text !== NOT_KNOWN && c.text !== ''));
    const tail = cells.slice(known.length).every((c) => (number ? c.value === null : c.text === NOT_KNOWN || c.text === ''));
    return tail && known.every((c, i) => i === 0 || way * compare(known[i - 1], c, number) <= 0);
}

/* Plain words and numbers: punctuation sorts by rules of its own. */
const isPlain = (cells) => cells.every((c) => c.text === NOT_KNOWN || /^[\w ,/-]*$/.test(c.text));

async function sortOne(page, check, where, table, at) {
    const head = table.heads[at];
    const button = `[id="${table.id}"] > thead th:nth-child(${at + 1}) button`;
    const written = await readColumn(page, table.id, at);
    const judged = head.number || isPlain(written);
    const state = () => page.$eval(`[id="${table.id}"] > thead th:nth-child(${at + 1})`, (th) => th.getAttribute('aria-sort'));
    await page.click(button);
    let cells = await readColumn(page, table.id, at);
    check(`${where}: a click on '${head.text}' sorts`, (!judged || inOrder(cells, head.number, 1)) && cells.length === written.length &&
        (await state()) === 'ascending', cells.map((c) => c.text).join(' | '));
    await page.focus(button);
    await page.keyboard.press('Enter');
    cells = await readColumn(page, table.id, at);
    check(`${where}: Enter on '${head.text}' turns it round`, (!judged || inOrder(cells, head.number, -1)) && (await state()) === 'descending',
        cells.map((c) => c.text).join(' | '));
    await page.keyboard.press('Space');
    cells = await readColumn(page, table.id, at);
    check(`${where}: Space on '${head.text}' gives the order as written`, (await state()) === null &&
        cells.map((c) => c.text).join('\n') === written.map((c) => c.text).join('\n'), cells.map((c) => c.text).join(' | '));
}

/* Each list above the table, by keys: one of its words shows the rows with it and no others, and says how many. */
async function filterOne(page, check, where, table) {
    const lists = await page.evaluate((id) => {
        const box = document.getElementById(id).parentNode.previousElementSibling;
        if (!box || !box.classList.contains('sift')) return [];
        box.id = `${id}-sift`;
        return [...box.querySelectorAll('select')].map((s) => ({ label: s.parentNode.firstChild.textContent.trim(), options: s.options.length }));
    }, table.id);
    for (const [nth, one] of lists.entries()) {
        const at = table.heads.findIndex((h) => h.text === one.label);
        const selector = `[id="${table.id}-sift"] label:nth-of-type(${nth + 1}) select`;
        const all = await readColumn(page, table.id, at);
        await page.focus(selector);
        await page.keyboard.press('ArrowDown');
        const word = await page.$eval(selector, (s) => s.selectedOptions[0].textContent);
        const shown = await readColumn(page, table.id, at);
        const wanted = all.filter((c) => c.text === word || (word === 'not recorded' && c.text === NOT_KNOWN));
        check(`${where}: '${one.label}' shows '${word}' alone`, shown.length > 0 && shown.length === wanted.length &&
            shown.every((c) => c.text === wanted[0].text), shown.map((c) => c.text).join(' | '));
        const says = await page.$eval(`[id="${table.id}-sift"] [role=status]`, (e) => e.textContent);
        check(`${where}: says how many of '${one.label}'`, says === `${shown.length} of ${table.rows} rows`, says);
        await page.keyboard.press('Home');
        check(`${where}: 'all' of '${one.label}' shows all`, (await readColumn(page, table.id, at)).length === table.rows);
    }
    return lists.map((one) => one.label);
}

/* The first, one in the middle and the last; of the tables of picks and findings every column. */
function columnsToTry(table) {
    const all = table.heads.map((_, at) => at);
    return /^(past-limits|findings-all|picks-all)$/.test(table.id) ? all : all.filter((at) => at === 0 || at === all.length >> 1 || at === all.length - 1);
}

/* Drives every table of the page; what filters were met is given back, by table. */
export async function driveTables(page, check, name) {
    const filters = {};
    for (const summary of await page.$$('main summary')) await summary.click(); // tables that are folded away
    for (const table of await list(page)) {
        const where = `${name}, table ${table.id}`;
        check(`${where}: sorts only with a button in each heading`, table.heads.every((h) => h.button === table.sorts), JSON.stringify(table.heads));
        if (!table.sorts) continue;
        filters[table.id] = await filterOne(page, check, where, table);
        for (const at of columnsToTry(table)) await sortOne(page, check, where, table, at);
    }
    return filters;
}

/* Without scripts: every row and no control. */
export async function withoutScripts(page, check, name) {
    const seen = await page.evaluate(() => ({
        controls: document.querySelectorAll('button, select, input, .sift').length,
        hidden: [...document.querySelectorAll('main tr')].filter((row) => row.closest('details:not([open])') === null &&
            row.getClientRects().length === 0).length
    }));
    check(`${name} without scripts: every row, no control`, seen.controls === 0 && seen.hidden === 0, JSON.stringify(seen));
}
