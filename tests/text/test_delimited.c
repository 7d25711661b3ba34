/* The delimited reader from outside. RFC 4180 section 2, rules 1 to 7, one by one; then what logs really look like.
 *
 * Every case is read three times: in one piece, byte by byte and in pieces of 7 bytes; the rows must be the same. */
#include "support/check.h"

#include "text/delimited.h"

typedef struct feed {
    ap_str bytes;
    size_t at, piece;
} feed;

static ap_status feed_read(void *context, char *bytes, size_t cap, size_t *got, ap_error *err) {
    (void)err;
    feed *from = context;
    size_t len = from->bytes.len - from->at;
    len = len < from->piece ? len : from->piece;
    len = len < cap ? len : cap;
    memcpy(bytes, from->bytes.ptr + from->at, len);
    from->at += len;
    *got = len;
    return AP_OK;
}

/* Rows as "a|b" parted by '/', with "!trouble(cell)" and "@line-last" when asked for. */
static void render(ap_buf *out, ap_str bytes, size_t piece, const ap_delimited_options *options, bool lines) {
    ap_error err;
    ap_error_clear(&err);
    feed from = {bytes, 0, piece};
    ap_delimited *reader = NULL;
    check_ok(ap_delimited_new(&reader, feed_read, &from, options, &err), &err);
    for (size_t n = 0;; n++) {
        ap_row row;
        bool more = false;
        check_ok(ap_delimited_next(&row, &more, reader, &err), &err);
        if (!more) {
            break;
        }
        ap_buf_append_cstr(out, n > 0 ? "/" : "");
        assert_true(row.trouble_cell < row.count);
        for (size_t i = 0; i < row.count; i++) {
            assert_non_null(row.cells[i].ptr);
            ap_buf_append_cstr(out, i > 0 ? "|" : "");
            ap_buf_append_str(out, row.cells[i]);
        }
        if (row.trouble) {
            ap_buf_appendf(out, "!%s(%zu)", row.trouble, row.trouble_cell);
        }
        if (lines) {
            ap_buf_appendf(out, "@%d-%d", (int)row.line, (int)row.line_last);
        }
    }
    ap_delimited_free(reader);
}

static void check_rows_at(ap_str bytes, const ap_delimited_options *options, bool lines, const char *want, int line) {
    static const size_t pieces[] = {1u << 20, 1, 7};
    for (size_t i = 0; i < 3; i++) {
        ap_buf got;
        ap_buf_init(&got, 1u << 24);
        render(&got, bytes, pieces[i], options, lines);
        check_str_at(ap_buf_str(&got), want, __FILE__, line);
        ap_buf_release(&got);
    }
}

#define check_rows(literal, want) check_rows_at(AP_STR_LIT(literal), NULL, false, (want), __LINE__)
#define check_lines(literal, want) check_rows_at(AP_STR_LIT(literal), NULL, true, (want), __LINE__)

static void rfc4180_1_records_end_with_crlf(void **state) {
    (void)state;
    check_rows("aaa,bbb,ccc\r\nzzz,yyy,xxx\r\n", "aaa|bbb|ccc/zzz|yyy|xxx");
}

static void rfc4180_2_last_record_may_lack_its_line_end(void **state) {
    (void)state;
    check_rows("aaa,bbb,ccc\r\nzzz,yyy,xxx", "aaa|bbb|ccc/zzz|yyy|xxx");
}

static void rfc4180_3_a_header_is_a_record(void **state) {
    (void)state;
    check_rows("field_name,field_name,field_name\r\naaa,bbb,ccc\r\nzzz,yyy,xxx\r\n",
               "field_name|field_name|field_name/aaa|bbb|ccc/zzz|yyy|xxx");
}

static void rfc4180_4_spaces_belong_to_a_field(void **state) {
    (void)state;
    check_rows("aaa, bbb ,ccc\r\n", "aaa| bbb |ccc");
    check_rows("a,b,\r\n,,c\r\n", "a|b|/||c");
}

static void rfc4180_5_fields_may_be_quoted(void **state) {
    (void)state;
    check_rows("\"aaa\",\"bbb\",\"ccc\"\r\nzzz,yyy,xxx", "aaa|bbb|ccc/zzz|yyy|xxx");
    check_rows("\"\",\"\"\r\n", "|");
    /* Quotes that appear in a bare field, against the rule, stay characters: inch marks are common. */
    check_rows("24\" oak,18'6\"\r\n", "24\" oak|18'6\"");
}

static void rfc4180_6_quoted_fields_hold_breaks_and_commas(void **state) {
    (void)state;
    check_rows("\"aaa\",\"b\r\nbb\",\"ccc\"\r\nzzz,yyy,xxx", "aaa|b\r\nbb|ccc/zzz|yyy|xxx");
    check_rows("\"a,a\",b\r\n", "a,a|b");
}

static void rfc4180_7_doubled_quotes(void **state) {
    (void)state;
    check_rows("\"aaa\",\"b\"\"bb\",\"ccc\"\r\n", "aaa|b\"bb|ccc");
    check_rows("\"\"\"\",\"a\"\"\",\"\"\"b\"\r\n", "\"|a\"|\"b");
}

static void line_ends_mix_and_lines_are_counted(void **state) {
    (void)state;
    check_lines("a,b\nc,d\r\ne,f\rg,h", "a|b@1-1/c|d@2-2/e|f@3-3/g|h@4-4");
    check_lines("a,b\n\n\r\n\rc,d\n", "a|b@1-1/@2-2/@3-3/@4-4/c|d@5-5");
    check_lines("a,\"x\ny\r\nz\rw\"\nc,d\n", "a|x\ny\r\nz\rw@1-4/c|d@5-5");
    check_lines("", "");
    check_lines("\n", "@1-1");
    check_lines("a\r", "a@1-1");
}

static void a_quote_never_closed_costs_its_own_line(void **state) {
    (void)state;
    check_lines("a,b\n1,\"oak\n3,4\n5,6\n", "a|b@1-1/1|\"oak!quote never closed(1)@2-2/3|4@3-3/5|6@4-4");
    /* It meets the opening quote of a later row. */
    check_lines("a,b\n1,\"oak\n3,4\n5,\"elm\"\n7,8\n",
                "a|b@1-1/1|\"oak!quote never closed(1)@2-2/3|4@3-3/5|elm@4-4/7|8@5-5");
    /* Longer than a cell may be. */
    const ap_delimited_options small = {',', 8, 0, 0};
    check_rows_at(AP_STR_LIT("a,b\n1,\"oak\n3,4\n5,6\n7,8\"\n9,0\n"), &small, true,
                  "a|b@1-1/1|\"oak!quote never closed(1)@2-2/3|4@3-3/5|6@4-4/7|8\"@5-5/9|0@6-6", __LINE__);
}

static void text_behind_a_closing_quote_is_kept_and_marked(void **state) {
    (void)state;
    check_rows("a,\"24\" oak\",c\nd,e,f\n", "a|\"24\" oak\"|c!text behind a closing quote(1)/d|e|f");
    /* The place of one row's trouble does not hang over to the next (found by fuzzing). */
    check_rows("a,\"24\" oak\nb\n", "a|\"24\" oak!text behind a closing quote(1)/b");
    check_rows("a,\"b\"  ,c\n", "a|b|c");
}

static void bounds_hold_and_the_reader_goes_on(void **state) {
    (void)state;
    const ap_delimited_options small = {',', 0, 12, 0};
    check_rows_at(AP_STR_LIT("a,b\n123456,78901234567890,x\nc,d\n"), &small, true,
                  "a|b@1-1/123456|78901!row longer than 12 bytes(1)@2-2/c|d@3-3", __LINE__);
    check_rows_at(AP_STR_LIT("123456,78901\r\nc,d\n"), &small, true, "123456|78901@1-1/c|d@2-2", __LINE__);
    check_rows_at(AP_STR_LIT("123456,789012\r\nc,d"), &small, true,
                  "123456|78901!row longer than 12 bytes(1)@1-1/c|d@2-2", __LINE__);
    /* Not cut inside a character. */
    check_rows_at(AP_STR_LIT("123456,7890\xC3\xB6\nc,d"), &small, true,
                  "123456|7890!row longer than 12 bytes(1)@1-1/c|d@2-2", __LINE__);
    const ap_delimited_options few = {',', 0, 0, 3};
    check_rows_at(AP_STR_LIT("a,b,c\na,b,c,d,e\nf,g\n"), &few, false, "a|b|c/a|b|c!more than 3 cells(2)/f|g", __LINE__);
    const ap_delimited_options narrow = {',', 4, 0, 0};
    check_rows_at(AP_STR_LIT("a,12345\nb,1234\n"), &narrow, false, "a|12345!cell longer than 4 bytes(1)/b|1234",
                  __LINE__);
    /* A quote that closes behind the limit: it may have been the cell that was too long. */
    check_rows_at(AP_STR_LIT("a,\"123,45\"\nb,c\n"), &narrow, false,
                  "a|\"123|45\"!quote never closed, or a cell longer than 4 bytes(1)/b|c", __LINE__);
}

static void check_encoding(ap_str bytes, ap_encoding want) {
    feed from = {bytes, 0, 1u << 20};
    ap_delimited *reader = NULL;
    check_ok(ap_delimited_new(&reader, feed_read, &from, NULL, NULL), NULL);
    assert_int_equal(ap_delimited_encoding(reader), want);
    ap_delimited_free(reader);
}

static void encodings_become_utf8(void **state) {
    (void)state;
    check_rows("\xEF\xBB\xBF"
               "a,b\n",
               "a|b");
    check_rows("\xFF\xFE"
               "a\0,\0\xF6\0\n\0",
               "a|\xC3\xB6");
    check_rows("\xFE\xFF\0a\0,\0\xF6\0\n", "a|\xC3\xB6");
    check_rows("a\0,\0b\0\n\0c\0,\0\xF6\0\n\0", "a|b/c|\xC3\xB6");
    check_rows("\xFF\xFE\x3C\xD8\x32\xDF,\0x\0\n\0", "\xF0\x9F\x8C\xB2|x"); /* U+1F332, a surrogate pair */
    check_rows("a,\x80"
               "5\nb,18\x92"
               "6\x94\n",
               "a|\xE2\x82\xAC"
               "5/b|18\xE2\x80\x99"
               "6\xE2\x80\x9D");
    check_rows("\xFF\xFE"
               "a\0,\0\x00\xD8"
               "b\0\n\0c\0,\0d\0",
               "a|\xEF\xBF\xBD"
               "b!not valid UTF-16(1)/c|d");
    check_encoding(AP_STR_LIT("a,b\n"), AP_ENCODING_UTF8);
    check_encoding(AP_STR_LIT("\xEF\xBB\xBF"
                              "a"),
                   AP_ENCODING_UTF8_BOM);
    check_encoding(AP_STR_LIT("\xFF\xFE"
                              "a\0"),
                   AP_ENCODING_UTF16LE);
    check_encoding(AP_STR_LIT("\0a\0,\0b\0\n"), AP_ENCODING_UTF16BE);
    check_encoding(AP_STR_LIT("\xF6"), AP_ENCODING_CP1252);
    check_encoding(AP_STR_LIT("\xC3\xB6"), AP_ENCODING_UTF8);
}

static void a_nul_byte_troubles_its_row_only(void **state) {
    (void)state;
    feed from = {AP_STR_LIT("a,b\nc,x\0y\nd,e\n"), 0, 1u << 20};
    ap_delimited *reader = NULL;
    check_ok(ap_delimited_new(&reader, feed_read, &from, NULL, NULL), NULL);
    for (int i = 0; i < 3; i++) {
        ap_row row;
        bool more = false;
        check_ok(ap_delimited_next(&row, &more, reader, NULL), NULL);
        assert_true(more);
        assert_int_equal(row.trouble != NULL, i == 1);
        if (i == 1) {
            assert_string_equal(row.trouble, "NUL byte");
            assert_int_equal(row.trouble_cell, 1);
            assert_int_equal(row.cells[1].len, 3);
            assert_memory_equal(row.cells[1].ptr, "x\0y", 3);
        }
    }
    ap_delimited_free(reader);
}

/* A file that is UTF-8 in its first 64 KiB is taken for UTF-8; a later bad byte marks its row and nothing else. */
static void a_late_bad_byte_marks_its_row(void **state) {
    (void)state;
    ap_buf file;
    ap_buf_init(&file, 1u << 24);
    for (int i = 0; i < 20000; i++) {
        ap_buf_appendf(&file,
                       "%d,\xC3\xB6"
                       "ak\n",
                       i);
    }
    ap_buf_append_cstr(&file, "bad,x\xF6y\nlast,\xC3\xB6\n");
    feed from = {ap_buf_str(&file), 0, 4096};
    ap_delimited *reader = NULL;
    ap_row row = {0};
    bool more = true;
    int troubled = 0;
    check_ok(ap_delimited_new(&reader, feed_read, &from, NULL, NULL), NULL);
    while (more) {
        check_ok(ap_delimited_next(&row, &more, reader, NULL), NULL);
        if (more && row.trouble) {
            troubled++;
            assert_string_equal(row.trouble, "not valid UTF-8");
            assert_int_equal(row.trouble_cell, 1);
            assert_int_equal(row.line, 20001);
            check_str(row.cells[1], "x\xF6y");
            check_str(row.raw, "bad,x\xF6y");
        }
    }
    assert_int_equal(troubled, 1);
    assert_int_equal(ap_delimited_encoding(reader), AP_ENCODING_UTF8);
    ap_delimited_free(reader);
    ap_buf_release(&file);
}

static void check_delimiter(const char *text, char want) {
    feed from = {ap_str_from(text), 0, 1u << 20};
    ap_delimited *reader = NULL;
    check_ok(ap_delimited_new(&reader, feed_read, &from, NULL, NULL), NULL);
    if (ap_delimited_delimiter(reader) != want) {
        fail_msg("got '%c', want '%c' for:\n%s", ap_delimited_delimiter(reader), want, text);
    }
    ap_delimited_free(reader);
}

static void delimiters_are_sniffed(void **state) {
    (void)state;
    check_delimiter("job,pick,species\nJ1,1,oak\nJ1,2,elm\n", ',');
    check_delimiter("job;pick;species\nJ1;1;oak\n", ';');
    check_delimiter("job\tpick\tspecies\nJ1\t1\toak, red\n", '\t');
    check_delimiter("job|pick|species\nJ1|1|oak\n", '|');
    /* Decimal commas, also in every cell. */
    check_delimiter("length;weight;radius\n5,2;1200,5;8,0\n4,8;900,0;8,5\n", ';');
    check_delimiter("5,2;1200,5;8,0\n4,8;900,0;8,5\n", ';');
    check_delimiter("length\tweight\n5,2\t1200,5\n4,8\t900,0\n", '\t');
    /* Title rows above a header. */
    check_delimiter(
        "Tree removal, June, all crews; draft\n\nCrew: three\njob,pick,species,weight\nJ1,1,oak,4850\nJ1,2,elm,3900\n",
        ',');
    check_delimiter("Log, June\n\njob;pick;weight\nJ1;1;4,5\nJ1;2;3,9\n", ';');
    /* Another candidate inside notes and inside quotes. */
    check_delimiter("job,pick,species,notes\nJ1,1,oak,came up; swung\nJ1,2,elm,dropped; rolled\nJ1,3,ash,still; fine\n",
                    ',');
    check_delimiter("a;b\n\"x,y,z\";1\n\"x,y,w\";2\n", ';');
    check_delimiter("weight,length\n\"5,200 lb\",\"18'6\"\"\"\n\"4,850 lb\",\"17'\"\n", ',');
    /* Integers only: the commas stand between digits and are still delimiters. */
    check_delimiter("1,2,3\n4,5,6\n", ',');
    check_delimiter("one column\n1\n2\n", ',');
    check_delimiter("", ',');
}

static void kinds_of_file(void **state) {
    (void)state;
    assert_string_equal(ap_text_kind_of_file(AP_STR_LIT("%PDF-1.7\n")), "a PDF");
    assert_string_equal(ap_text_kind_of_file(AP_STR_LIT("\x89PNG\r\n\x1A\n....")), "a PNG image");
    assert_string_equal(ap_text_kind_of_file(AP_STR_LIT("\xD0\xCF\x11\xE0\xA1\xB1\x1A\xE1")),
                        "an old binary spreadsheet (.xls)");
    assert_string_equal(ap_text_kind_of_file(AP_STR_LIT("SQLite format 3\0")), "an SQLite database");
    assert_string_equal(ap_text_kind_of_file(AP_STR_LIT("PK\3\4....x.txt")), "a zip archive");
    assert_string_equal(ap_text_kind_of_file(AP_STR_LIT("PK\3\4....[Content_Types].xml")),
                        "a spreadsheet workbook (.xlsx)");
    assert_string_equal(
        ap_text_kind_of_file(AP_STR_LIT("PK\3\4..mimetypeapplication/vnd.oasis.opendocument.spreadsheet")),
        "a spreadsheet workbook (.ods)");
    assert_null(ap_text_kind_of_file(AP_STR_LIT("job,pick\nJ1,1\n")));
    assert_null(ap_text_kind_of_file(AP_STR_LIT("\xFF\xFE"
                                                "j\0o\0b\0,\0p\0i\0c\0k\0\n\0")));
    assert_null(ap_text_kind_of_file(AP_STR_LIT("")));
}

static void check_written(ap_str cell, bool guard, const char *want) {
    ap_buf out;
    ap_buf_init(&out, 1024);
    ap_delimited_write_cell(&out, cell, ',', guard);
    check_str(ap_buf_str(&out), want);
    ap_buf_release(&out);
}

static void cells_are_written(void **state) {
    (void)state;
    check_written(AP_STR_LIT("oak"), true, "oak");
    check_written(AP_STR_LIT("a,b"), true, "\"a,b\"");
    check_written(AP_STR_LIT("18'6\""), true, "\"18'6\"\"\"");
    check_written(AP_STR_LIT("a\nb"), true, "\"a\nb\"");
    check_written(AP_STR_LIT("=1+1"), true, "'=1+1");
    check_written(AP_STR_LIT("=1+1"), false, "=1+1");
    check_written(AP_STR_LIT("@SUM(A1,B1)"), true, "\"'@SUM(A1,B1)\"");
    check_written(AP_STR_LIT(" \t=cmd"), true, "' \t=cmd");
    check_written(AP_STR_LIT("\xEF\xBC\x9D"
                             "1"),
                  true,
                  "'\xEF\xBC\x9D"
                  "1");
    check_written(AP_STR_LIT("-12.5"), true, "-12.5");
    check_written(AP_STR_LIT("-2+3"), true, "'-2+3");
    check_written(AP_STR_NONE, true, "");
    check_written(AP_STR_LIT("'=1"), true, "''=1");
    check_written(AP_STR_LIT("'a"), true, "'a");
}

/* Whatever a cell holds, the guard comes off again. */
static void guarded_cells_come_back(void **state) {
    (void)state;
    static const char *const cells[] = {"=1+1",
                                        "'=1+1",
                                        "'''@x",
                                        "-2+3",
                                        "-12.5",
                                        "'-12.5",
                                        "'a",
                                        "''",
                                        "'",
                                        "",
                                        "+S1",
                                        "\xEF\xBC\x9D"
                                        "1",
                                        "'\xEF\xBC\xA0",
                                        "' =x",
                                        "oak"};
    for (size_t i = 0; i < sizeof cells / sizeof *cells; i++) {
        ap_buf out;
        ap_buf_init(&out, 1024);
        ap_delimited_write_cell(&out, ap_str_from(cells[i]), ',', true);
        check_str(ap_delimited_unguard(ap_buf_str(&out)), cells[i]);
        ap_buf_release(&out);
    }
}

static uint64_t next_random(uint64_t *seed) {
    *seed = *seed * 6364136223846793005u + 1442695040888963407u;
    return *seed >> 33;
}

/* Random rows written with ap_delimited_write_cell() read back as they were, whatever the pieces they arrive in. */
static void random_rows_round_trip(void **state) {
    (void)state;
    static const char *const bits[] = {
        "a", ",", "\"", "\n", "\r", "\r\n", ";", "\t", " ", "oak", "\xC3\xB6", "\xF0\x9F\x8C\xB2", "'", "\"\"", "="};
    static const char delimiters[] = {',', ';', '\t', '|'};
    uint64_t seed = 7;
    for (int round = 0; round < 300; round++) {
        ap_buf file;
        ap_buf want;
        ap_delimited_options options = {delimiters[round % 4], 0, 0, 0};
        ap_buf_init(&file, 1u << 22);
        ap_buf_init(&want, 1u << 22);
        size_t rows = 1 + next_random(&seed) % 40;
        for (size_t r = 0; r < rows; r++) {
            size_t cells = 1 + next_random(&seed) % 6;
            ap_buf_append_cstr(&want, r > 0 ? "/" : "");
            for (size_t c = 0; c < cells; c++) {
                char cell[256];
                size_t len = 0;
                for (size_t n = next_random(&seed) % 9; n > 0; n--) {
                    const char *bit = bits[next_random(&seed) % (sizeof bits / sizeof bits[0])];
                    memcpy(cell + len, bit, strlen(bit));
                    len += strlen(bit);
                }
                if (c > 0) {
                    ap_buf_append_char(&file, options.delimiter);
                    ap_buf_append_char(&want, '|');
                }
                ap_delimited_write_cell(&file, (ap_str){cell, len}, options.delimiter, false);
                ap_buf_append(&want, cell, len);
            }
            ap_buf_append_cstr(&file, round % 3 == 0 ? "\r\n" : round % 3 == 1 ? "\n" : "\r");
        }
        /* A lone CR behind a row would swallow an LF cell at the start of the next: that cell is quoted, so it does not. */
        ap_buf_append_char(&want, '\0');
        check_rows_at(ap_buf_str(&file), &options, false, want.ptr, __LINE__);
        ap_buf_release(&file);
        ap_buf_release(&want);
    }
}

static ap_status feed_fails(void *context, char *bytes, size_t cap, size_t *got, ap_error *err) {
    int *left = context;
    if ((*left)-- == 0) {
        return ap_error_set(err, AP_E_IO, "unable to read 'june.csv': the disk went away");
    }
    memset(bytes, 'x', cap);
    *got = cap;
    return AP_OK;
}

static void a_read_error_is_handed_up(void **state) {
    (void)state;
    ap_error err;
    ap_error_clear(&err);
    ap_delimited *reader = NULL;
    int left = 0;
    check_refused(ap_delimited_new(&reader, feed_fails, &left, NULL, &err), AP_E_IO, &err, "the disk went away");
    assert_null(reader);
    left = 3;
    ap_row row;
    bool more = false;
    check_ok(ap_delimited_new(&reader, feed_fails, &left, NULL, &err), &err);
    check_refused(ap_delimited_next(&row, &more, reader, &err), AP_E_IO, &err, "the disk went away");
    ap_delimited_free(reader);
}

/* 100 MB in one line, then a quoted cell of 50 MB: both marked, the rows around them whole. */
typedef struct long_file {
    size_t at;
} long_file;

static ap_status feed_long(void *context, char *bytes, size_t cap, size_t *got, ap_error *err) {
    (void)err;
    static const char head[] = "a,b\n";
    static const char middle[] = "\nc,d\ne,\"";
    static const char tail[] = "\"\nf,g\n";
    const size_t line = 100u << 20;
    const size_t cell = 50u << 20;
    const struct {
        const char *bytes;
        size_t len;
    } parts[] = {{head, 4}, {NULL, line}, {middle, 8}, {NULL, cell}, {tail, 6}};
    long_file *file = context;
    size_t at = file->at;
    *got = 0;
    for (size_t i = 0; i < 5; i++) {
        if (at < parts[i].len) {
            size_t len = parts[i].len - at < cap ? parts[i].len - at : cap;
            if (parts[i].bytes) {
                memcpy(bytes, parts[i].bytes + at, len);
            } else {
                memset(bytes, 'y', len);
            }
            *got = len;
            file->at += len;
            return AP_OK;
        }
        at -= parts[i].len;
    }
    return AP_OK;
}

static void a_line_of_100_mb_and_a_cell_of_50_mb(void **state) {
    (void)state;
    long_file file = {0};
    ap_delimited *reader = NULL;
    check_ok(ap_delimited_new(&reader, feed_long, &file, NULL, NULL), NULL);
    static const char *const first[] = {"a", NULL, "c", "e", "f"};
    for (int i = 0; i < 5; i++) {
        ap_row row;
        bool more = false;
        check_ok(ap_delimited_next(&row, &more, reader, NULL), NULL);
        assert_true(more);
        assert_int_equal(row.line, i + 1);
        if (first[i]) {
            check_str(row.cells[0], first[i]);
        }
        if (i == 1 || i == 3) {
            assert_non_null(row.trouble);
            assert_string_equal(row.trouble, "row longer than 4 MiB");
            assert_true(row.raw.len <= (4u << 20));
        } else {
            assert_null(row.trouble);
        }
    }
    ap_delimited_free(reader);
}

int main(void) {
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(rfc4180_1_records_end_with_crlf),
        cmocka_unit_test(rfc4180_2_last_record_may_lack_its_line_end),
        cmocka_unit_test(rfc4180_3_a_header_is_a_record),
        cmocka_unit_test(rfc4180_4_spaces_belong_to_a_field),
        cmocka_unit_test(rfc4180_5_fields_may_be_quoted),
        cmocka_unit_test(rfc4180_6_quoted_fields_hold_breaks_and_commas),
        cmocka_unit_test(rfc4180_7_doubled_quotes),
        cmocka_unit_test(line_ends_mix_and_lines_are_counted),
        cmocka_unit_test(a_quote_never_closed_costs_its_own_line),
        cmocka_unit_test(text_behind_a_closing_quote_is_kept_and_marked),
        cmocka_unit_test(bounds_hold_and_the_reader_goes_on),
        cmocka_unit_test(encodings_become_utf8),
        cmocka_unit_test(a_nul_byte_troubles_its_row_only),
        cmocka_unit_test(a_late_bad_byte_marks_its_row),
        cmocka_unit_test(delimiters_are_sniffed),
        cmocka_unit_test(kinds_of_file),
        cmocka_unit_test(cells_are_written),
        cmocka_unit_test(guarded_cells_come_back),
        cmocka_unit_test(random_rows_round_trip),
        cmocka_unit_test(a_read_error_is_handed_up),
        cmocka_unit_test(a_line_of_100_mb_and_a_cell_of_50_mb),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
