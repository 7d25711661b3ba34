/* One row of cells becomes one pick, or the reasons why not. */
#ifndef AP_INTAKE_READ_ROW_H
#define AP_INTAKE_READ_ROW_H

#include "book/species.h"
#include "intake/fault.h"
#include "intake/header.h"
#include "text/when.h"

typedef enum ap_row_kind {
    AP_ROW_PICK,
    AP_ROW_FAULTY, /* a cell can not be read: the fault says why; the pick holds the others */
    AP_ROW_RAGGED, /* the row can not be read at all: the fault says why */
    AP_ROW_BLANK,  /* nothing in it */
    AP_ROW_TOTAL,  /* a total or an average, no pick */
    AP_ROW_HEADER, /* the header once more, or a heading of a text log */
    AP_ROW_SKIPPED /* the profile passes over it */
} ap_row_kind;

typedef struct ap_row_reader ap_row_reader;

/* The plan and the book outlive the reader. AP_E_INPUT: a constant of the profile that can not be read; constants with a date
 * are read in the order given. */
AP_MUST_USE ap_status ap_row_reader_new(ap_row_reader **out, const ap_plan *plan, ap_book *book, ap_date_order order,
                                        ap_error *err);
void ap_row_reader_free(ap_row_reader *reader);
void ap_row_reader_set_order(ap_row_reader *reader, ap_date_order order);
/* Where names that are put together live (numbers that restart each day); one batch's arena. Without one, such a pick's name
 * lives until the next row. */
void ap_row_reader_set_texts(ap_row_reader *reader, ap_arena *texts);
/* A sample holds some cells only: none is needed. */
void ap_row_reader_set_partial(ap_row_reader *reader);
/* The date cell of the row has more than one reading unless the order is known. */
bool ap_row_reader_needs_order(const ap_row_reader *reader, const ap_row *row);
/* Texts of the pick are views into the row. The fault is added to; the status is for the book's failures only. */
AP_MUST_USE ap_status ap_row_reader_read(ap_row_kind *kind, ap_pick *pick, ap_fault *fault, ap_row_reader *reader,
                                         const ap_row *row, ap_error *err);

/* The same in two steps, for two threads. All but the species: the book is not touched. */
ap_row_kind ap_row_reader_cells(ap_pick *pick, ap_fault *fault, ap_row_reader *reader, const ap_row *row);
/* The species of a pick, by the book's names; *species is NULL when there is none (the fault says so). May be
 * called while another thread reads rows. The status is for the book's failures only. */
AP_MUST_USE ap_status ap_row_reader_species(const ap_species **species, ap_pick *pick, ap_fault *fault,
                                            ap_row_reader *reader, ap_error *err);

/* One of its cells is a word of totals: "Total:", "average". */
bool ap_row_says_total(const ap_row *row);

#endif
