/* Readers of single cells that belong to no dimension: words, yes and no, counts, sets of movements, species; each with a
 * memory of the spellings met before, because a log says the same few words a million times. */
#ifndef AP_INTAKE_CELLS_H
#define AP_INTAKE_CELLS_H

#include "base/pick.h"
#include "book/species.h"
#include "text/quantity.h"

enum { AP_WORD_SLOTS = 16, AP_WORD_KEPT = 23, AP_SPECIES_SLOTS = 256, AP_SPECIES_KEPT = 47 };

/* Direct-mapped; a spelling that is not there is looked up and takes its slot. */
typedef struct ap_word_memory {
    struct {
        uint8_t len;
        char text[AP_WORD_KEPT];
        int32_t value;
    } slots[AP_WORD_SLOTS];
} ap_word_memory;

typedef struct ap_species_memory {
    struct {
        uint8_t len;
        char text[AP_SPECIES_KEPT];
        const ap_species *species;
    } slots[AP_SPECIES_SLOTS];
} ap_species_memory;

/* What the memory holds for this very spelling, 0 when nothing; and putting it there (not 0). */
int32_t ap_word_recall(const ap_word_memory *memory, ap_str cell);
void ap_word_keep(ap_word_memory *memory, ap_str cell, int32_t value);
/* The word itself, without a memory; 0 = none of the words. */
int32_t ap_cell_word_find(const ap_field *field, ap_str cell);
/* Reads a cell of kind WORD, YESNO or MOVES; 0 = none of the words. */
int32_t ap_cell_word(ap_word_memory *memory, const ap_field *field, ap_str cell);
/* The plain "4850" or "18.5" in the column's own unit, which nearly every cell is: the same as ap_quantity_read() at a tenth of
 * its cost. False: not so plain, ask ap_quantity_read(). */
bool ap_cell_number(ap_quantity *out, ap_str cell, const ap_quantity_rules *rules);
/* A whole number 0..9999; false otherwise. */
bool ap_cell_count(int32_t *out, ap_str cell);
/* Statuses as ap_book_species_find(). */
AP_MUST_USE ap_status ap_cell_species(const ap_species **out, ap_species_memory *memory, ap_book *book, ap_str cell,
                                      ap_error *err);
/* "write one of through, step, hinge, angled, snap", with the nearest word first when there is one. */
void ap_cell_word_remedy(char *out, size_t size, const ap_field *field, ap_str cell);

#endif
