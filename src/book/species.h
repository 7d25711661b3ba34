/* Species, their names and the handbook's green densities. */
#ifndef AP_BOOK_SPECIES_H
#define AP_BOOK_SPECIES_H

#include "base/species.h"
#include "book/book.h"

/* Looks a written name up: common, scientific, symbol, alias; case, dots, hyphens and double blanks ignored. AP_E_NOT_FOUND
 * with the nearest names; AP_E_AMBIGUOUS with all readings ("cedar"). Texts live in the book until it closes. */
AP_MUST_USE ap_status ap_book_species_find(const ap_species **out, ap_book *book, ap_str name, ap_error *err);
/* Whether it is a name of one or of several species; no near names are looked for. Loads the names at the first call, later
 * ones only read. False too when the book can not be read. */
bool ap_book_species_is_name(ap_book *book, ap_str name);
/* The one species whose name is nearest to a mistyped one; NULL when none is near or two are as near. */
AP_MUST_USE ap_status ap_book_species_near(const ap_species **out, ap_book *book, ap_str name, ap_error *err);
AP_MUST_USE ap_status ap_book_species_get(const ap_species **out, ap_book *book, int64_t id, ap_error *err);

/* All species in order of their code; texts live in the book until it closes. */
typedef ap_status (*ap_species_fn)(void *context, const ap_species *species, ap_error *err);
AP_MUST_USE ap_status ap_book_each_species(ap_book *book, ap_species_fn each, void *context, ap_error *err);
/* The written names that mean a species, besides its common, botanical and symbol ones, joined by ", ". */
AP_MUST_USE ap_status ap_book_species_aliases(ap_buf *out, ap_book *book, int64_t id, ap_error *err);

/* Teaches the book a local name of a species, with who, when and why. A name that already means something else is refused
 * (AP_E_AMBIGUOUS), one that means the same already adds nothing. Inside a transaction. */
AP_MUST_USE ap_status ap_book_species_teach(ap_book *book, ap_str name, const ap_species *species, ap_str why,
                                            const ap_book_author *author, ap_error *err);

/* Adds a species of the company's own: common and scientific name, hardwood, gravity, moisture, density_kg_m3 and ceiling of
 * `given`; it counts as a weak figure (placeholder) without bark. Errors: AP_E_INPUT for a name that is none, AP_E_AMBIGUOUS
 * for one that means something already. Inside a transaction. */
AP_MUST_USE ap_status ap_book_species_add(ap_book *book, const ap_species *given, ap_str why,
                                          const ap_book_author *author, ap_error *err);

#endif
