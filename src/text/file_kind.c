/* What a file is when it is not text, by the first bytes its format's own specification fixes. */
#include "text/delimited.h"

typedef struct magic {
    size_t at;
    const char *bytes;
    size_t len;
    const char *kind;
} magic;

#define MAGIC(at, literal, kind)                                                                                       \
    { at, literal, sizeof(literal) - 1, kind }

static const magic magics[] = {
    MAGIC(0, "%PDF-", "a PDF"),
    MAGIC(0, "\x89PNG\r\n\x1A\n", "a PNG image"),
    MAGIC(0, "\xFF\xD8\xFF", "a JPEG image"),
    MAGIC(0, "GIF8", "a GIF image"),
    MAGIC(0, "\xD0\xCF\x11\xE0\xA1\xB1\x1A\xE1", "an old binary spreadsheet (.xls)"),
    MAGIC(0, "SQLite format 3\0", "an SQLite database"),
    MAGIC(0, "\x1F\x8B", "a gzip archive"),
    MAGIC(0, "7z\xBC\xAF\x27\x1C", "a 7z archive"),
    MAGIC(0, "{\\rtf", "a rich text document (.rtf)"),
    MAGIC(0,
          "\x7F"
          "ELF",
          "a program"),
    MAGIC(4, "ftyp", "a photo or a video"),
    MAGIC(0, "RIFF", "a sound, a video or an image"),
};

static bool contains(ap_str head, const char *literal) {
    size_t len = strlen(literal);
    for (size_t i = 0; i + len <= head.len; i++) {
        if (head.ptr[i] == literal[0] && memcmp(head.ptr + i, literal, len) == 0) {
            return true;
        }
    }
    return false;
}

static const char *kind_of_zip(ap_str head) {
    if (contains(head, "application/vnd.oasis.opendocument.spreadsheet")) {
        return "a spreadsheet workbook (.ods)";
    }
    bool office = contains(head, "[Content_Types].xml") || contains(head, "_rels/.rels");
    if (contains(head, "xl/") || (office && !contains(head, "word/") && !contains(head, "ppt/"))) {
        return "a spreadsheet workbook (.xlsx)";
    }
    return "a zip archive";
}

/* One byte in ten a control character that text does not use. UTF-16 has NULs, at every second byte at most. */
static bool is_binary(ap_str head) {
    size_t odd = 0;
    size_t nul[2] = {0, 0};
    for (size_t i = 0; i < head.len; i++) {
        unsigned char byte = (unsigned char)head.ptr[i];
        nul[i & 1] += byte == 0;
        odd += byte < 0x20 && byte != 0 && !(byte >= 0x08 && byte <= 0x0D) && byte != 0x1A && byte != 0x1B;
    }
    size_t wild = odd + (nul[0] > 0 && nul[1] > 0 ? nul[0] + nul[1] : 0);
    return head.len >= 16 && wild * 10 > head.len;
}

const char *ap_text_kind_of_file(ap_str head) {
    for (size_t i = 0; i < sizeof magics / sizeof magics[0]; i++) {
        const magic *m = &magics[i];
        if (head.len >= m->at + m->len && memcmp(head.ptr + m->at, m->bytes, m->len) == 0) {
            return m->kind;
        }
    }
    if (head.len >= 4 && memcmp(head.ptr, "PK", 2) == 0 &&
        (memcmp(head.ptr + 2, "\3\4", 2) == 0 || memcmp(head.ptr + 2, "\5\6", 2) == 0)) {
        return kind_of_zip(head);
    }
    return is_binary(head) ? "a binary file" : NULL;
}
