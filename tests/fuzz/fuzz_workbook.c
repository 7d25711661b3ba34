/* Any bytes as a workbook. The first byte says what the rest is: 'z' the file as it stands; 'o' content.xml of an .ods;
 * 'x' the parts of an .xlsx, parted by NUL: sheet, shared texts, styles, workbook. What must hold:
 *  - a refusal says why; rows come in the sheet's order within the limits; every cell is there and valid UTF-8;
 *  - `raw` of a row without trouble, read as comma-separated text, is the row;
 *  - the same sheet again gives the same rows; looking for a header leaves the sheet at its top. */
#include <sys/stat.h>
#include <unistd.h>

#include "text/stored_zip.h"
#include "text/workbook.h"

int LLVMFuzzerTestOneInput(const uint8_t *data, size_t size);

enum { ROWS_MAX = 300 };
static const ap_workbook_options limits = {
    .cell_max = 64, .row_max = 256, .cells_max = 16, .shared_max = 4096, .part_max = 1 << 20};

static void require(bool holds) {
    if (!holds) {
        abort();
    }
}

#define RELATED "http://schemas.openxmlformats.org/officeDocument/2006/relationships/"
#define RELS_HEAD "<Relationships xmlns='http://schemas.openxmlformats.org/package/2006/relationships'>"
#define REL(id, type, target) "<Relationship Id='" id "' Type='" RELATED type "' Target='" target "'/>"
#define RELS_END "</Relationships>"

static void add_parts(stored_zip *zip, ap_str rest) {
    static const char *const names[] = {"xl/sheet.xml", "xl/shared.xml", "xl/styles.xml", "xl/workbook.xml"};
    static const char *const spare[] = {
        "<worksheet/>", "<sst/>", "<styleSheet/>",
        "<workbook xmlns='http://schemas.openxmlformats.org/spreadsheetml/2006/main' "
        "xmlns:r='http://schemas.openxmlformats.org/officeDocument/2006/relationships'><sheets>"
        "<sheet name='A' sheetId='1' r:id='s'/></sheets></workbook>"};
    stored_zip_add(zip, "_rels/.rels", AP_STR_LIT(RELS_HEAD REL("a", "officeDocument", "xl/workbook.xml") RELS_END));
    stored_zip_add(zip, "xl/_rels/workbook.xml.rels",
                   AP_STR_LIT(RELS_HEAD REL("s", "worksheet", "sheet.xml") REL("t", "sharedStrings", "shared.xml")
                                  REL("u", "styles", "styles.xml") RELS_END));
    for (size_t i = 0; i < 4; i++) {
        ap_str part = ap_str_split(rest, '\0', &rest);
        stored_zip_add(zip, names[i], part.len > 0 ? part : ap_str_from(spare[i]));
    }
}

static void check_raw(const ap_row *row) {
    ap_str again[16];
    size_t count = 0;
    ap_buf cell;
    ap_buf_init(&cell, 4096);
    size_t at = 0;
    for (bool more = true; more; count++) { /* RFC 4180, one row */
        bool quoted = at < row->raw.len && row->raw.ptr[at] == '"';
        at += quoted;
        ap_buf_clear(&cell);
        while (at < row->raw.len && (quoted || row->raw.ptr[at] != ',')) {
            if (quoted && row->raw.ptr[at] == '"') {
                at++;
                if (at >= row->raw.len || row->raw.ptr[at] != '"') {
                    break;
                }
            }
            ap_buf_append_char(&cell, row->raw.ptr[at++]);
        }
        require(count < row->count && count < sizeof again / sizeof again[0]);
        require(cell.len == row->cells[count].len);
        require(cell.len == 0 || memcmp(cell.ptr, row->cells[count].ptr, cell.len) == 0);
        more = at < row->raw.len;
        require(!more || row->raw.ptr[at] == ',');
        at += more;
        if (more && at == row->raw.len) { /* an empty last cell */
            require(false);
        }
    }
    require(count == row->count);
    ap_buf_release(&cell);
}

static void check_row(const ap_row *row, int64_t *line) {
    bool ordered = row->line > *line;
    require(row->line >= 1 && row->line <= 1048576 && row->line_last == row->line);
    require(ordered || row->trouble);
    *line = ordered ? row->line : *line;
    require(row->count >= 1 && row->count <= limits.cells_max && row->trouble_cell < row->count && row->raw.ptr);
    require(ap_utf8_is_valid(row->raw) && row->raw.len <= limits.row_max);
    for (size_t i = 0; i < row->count; i++) {
        require(row->cells[i].ptr && row->cells[i].len <= limits.cell_max);
        require(ap_utf8_is_valid(row->cells[i]) && !memchr(row->cells[i].ptr, '\0', row->cells[i].len));
    }
    require(row->trouble || row->count == 1 || row->cells[row->count - 1].len > 0);
    if (!row->trouble) {
        check_raw(row);
    }
}

static uint64_t read_sheet(ap_workbook *book, size_t sheet) {
    ap_error err;
    ap_error_clear(&err);
    uint64_t hash = 0;
    int64_t line = 0;
    bool more = true;
    ap_status status = ap_workbook_select(book, sheet, &err);
    for (int rows = 0; status == AP_OK && more && rows < ROWS_MAX; rows++) {
        ap_row row;
        status = ap_workbook_next(&row, &more, book, &err);
        if (status == AP_OK && more) {
            check_row(&row, &line);
            hash = hash * 31 + ap_str_hash(row.raw) + (uint64_t)row.line + (row.trouble != NULL);
        }
    }
    require(status == AP_OK || (err.code == status && err.text[0]));
    require(status != AP_E_INTERNAL && status != AP_E_USAGE);
    return hash * 31 + (uint64_t)status;
}

static bool is_second(void *context, const ap_row *row) {
    (void)row;
    return ++*(int *)context == 2;
}

static void read_book(const char *path) {
    ap_error err;
    ap_error_clear(&err);
    ap_workbook *book = NULL;
    ap_status status = ap_workbook_open(&book, path, &limits, &err);
    if (status != AP_OK) {
        require(!book && err.code == status && err.text[0] && status != AP_E_INTERNAL);
        return;
    }
    size_t count = ap_workbook_sheet_count(book);
    require(count > 0);
    for (size_t i = 0; i < count && i < 4; i++) {
        require(ap_utf8_is_valid(ap_workbook_sheet_name(book, i)));
        require(read_sheet(book, i) == read_sheet(book, i));
    }
    bool found = false;
    size_t sheet = count;
    int64_t line = 0;
    int asked = 0;
    status = ap_workbook_find_header(&found, &sheet, &line, book, 5, is_second, &asked, &err);
    if (status == AP_OK && found) {
        ap_row row;
        bool more = false;
        require(sheet < count && line >= 1);
        require(ap_workbook_next(&row, &more, book, &err) == AP_OK && more && row.line <= line);
    }
    ap_workbook_close(book);
}

int LLVMFuzzerTestOneInput(const uint8_t *data, size_t size) {
    static char path[] = "/tmp/fuzz_workbook_XXXXXX";
    static int fd = -1;
    if (fd < 0) {
        fd = mkstemp(path);
        require(fd >= 0);
    }
    if (size < 1) {
        return 0;
    }
    ap_str rest = {(const char *)data + 1, size - 1};
    ap_str bytes = rest;
    stored_zip zip;
    stored_zip_init(&zip);
    if (data[0] == 'o') {
        stored_zip_add(&zip, "content.xml", rest);
        bytes = stored_zip_end(&zip);
    } else if (data[0] == 'x') {
        add_parts(&zip, rest);
        bytes = stored_zip_end(&zip);
    }
    require(ftruncate(fd, 0) == 0 && pwrite(fd, bytes.ptr, bytes.len, 0) == (ssize_t)bytes.len);
    read_book(path);
    stored_zip_release(&zip);
    return 0;
}
