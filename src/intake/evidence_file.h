/* Reads a file of evidence (docs/evidence.md): JSON Lines, a head and then one figure a line. Untrusted input: bounded, every
 * value checked, the first fault refused with its line. A key that does not belong there is a fault: no pick, person, site
 * or date comes in by it. */
#ifndef AP_INTAKE_EVIDENCE_FILE_H
#define AP_INTAKE_EVIDENCE_FILE_H

#include "book/evidence.h"
#include "book/species.h"

enum { AP_EVIDENCE_FILE_MAX = 1 << 20, AP_EVIDENCE_ORIGIN_MAX = 80, AP_EVIDENCE_HASH = 64 };

typedef struct ap_evidence_file {
    ap_str origin;
    ap_evidence_item *items; /* in canonical order: kind, species, class */
    size_t count;
    char sha256[AP_EVIDENCE_HASH + 1]; /* of the figures alone, whatever the file's spacing and its origin's name */
} ap_evidence_file;

/* Texts and items live in `arena`; species are those of the book. Errors: AP_E_INPUT with file and line, AP_E_IO,
 * AP_E_LIMIT above AP_EVIDENCE_FILE_MAX bytes, AP_E_MEMORY. */
AP_MUST_USE ap_status ap_evidence_file_read(ap_evidence_file *out, ap_arena *arena, ap_book *book, const char *path,
                                            ap_error *err);

/* The same from bytes in memory; `name` stands for the file in messages. */
AP_MUST_USE ap_status ap_evidence_text_read(ap_evidence_file *out, ap_arena *arena, ap_book *book, ap_str text,
                                            const char *name, ap_error *err);

/* A name for whose evidence it is: 1 to AP_EVIDENCE_ORIGIN_MAX bytes of UTF-8 without control characters. */
bool ap_evidence_origin_is_fine(ap_str origin);
/* Sorts the items into canonical order, rounds their figures to what a file holds and hashes them (SHA-256). */
AP_MUST_USE ap_status ap_evidence_settle(ap_evidence_file *file, ap_error *err);

/* The words of a class in a file: condition, or piece, foliage and group; "" for what does not apply. */
typedef struct ap_evidence_words {
    const char *kind, *condition, *piece, *foliage, *group;
} ap_evidence_words;
ap_evidence_words ap_evidence_class_words(const ap_evidence_item *item);

#endif
