#include "report/book_of_picks.h"

#include "report/density_page.h"
#include "report/findings_page.h"
#include "report/pick_page.h"

/* In the order they are kept when there are too many. */
static const uint8_t gravest[] = {AP_MATTERS_LIMIT, AP_MATTERS_CERTAIN, AP_MATTERS_WRITEUP, AP_MATTERS_LIKELY};

/* "pick-j231-17.html": small letters, digits and dashes; a name that would repeat gets a number. */
static ap_str file_name(ap_arena *arena, ap_intern *taken, const char *kind, ap_str name) {
    char slug[48];
    size_t len = 0;
    for (size_t i = 0; i < name.len && len < sizeof slug - 1; i++) {
        char c = name.ptr[i];
        c = c >= 'A' && c <= 'Z' ? (char)(c - 'A' + 'a') : c;
        bool plain = (c >= 'a' && c <= 'z') || (c >= '0' && c <= '9');
        if (plain || (len > 0 && slug[len - 1] != '-')) {
            slug[len++] = plain ? c : '-';
        }
    }
    slug[len] = '\0';
    ap_str file = ap_arena_printf(arena, "%s-%s.html", kind, len ? slug : "unnamed");
    for (unsigned n = 2; file.ptr && ap_intern_find(taken, file); n++) {
        file = ap_arena_printf(arena, "%s-%s-%u.html", kind, len ? slug : "unnamed", n);
    }
    ap_intern_add(taken, file);
    return file;
}

/* Names of the picks of write-ups, "J231/17, J231/18" split. */
static void add_written_up(ap_intern *names, const ap_writeup *writeups, size_t count) {
    for (size_t w = 0; w < count; w++) {
        ap_str rest = writeups[w].picks;
        while (rest.len) {
            size_t end = 0;
            while (end < rest.len && !(rest.ptr[end] == ',' && end + 1 < rest.len && rest.ptr[end + 1] == ' ')) {
                end++;
            }
            ap_intern_add(names, (ap_str){rest.ptr, end});
            size_t skip = end < rest.len ? end + 2 : end;
            rest = (ap_str){rest.ptr + skip, rest.len - skip};
        }
    }
}

static void mark(uint8_t *why, const ap_review *r, ap_intern *written_up) {
    for (size_t f = 0; f < r->findings.count; f++) {
        const ap_finding *finding = &r->findings.items[f];
        for (size_t p = 0; p < finding->pick_count; p++) {
            why[finding->picks[p]] |= finding->class == AP_FINDING_CERTAIN ? AP_MATTERS_CERTAIN : AP_MATTERS_LIKELY;
        }
    }
    for (size_t i = r->first; i < r->end; i++) {
        if (ap_over(ap_fact_share_worst(&r->roster->facts[i]), r->roster->settings.band_stop)) {
            why[i] |= AP_MATTERS_LIMIT;
        }
    }
    for (size_t i = 0; ap_intern_count(written_up) && i < r->roster->count; i++) {
        if (ap_intern_find(written_up, ap_str_from(r->roster->facts[i].rest->name))) {
            why[i] |= AP_MATTERS_WRITEUP;
        }
    }
}

/* Takes the gravest, then lists what was taken in pick order. */
static void take(ap_pick_book *book, uint8_t *why, size_t count) {
    enum { TAKEN = 128 };
    for (size_t k = 0; k < sizeof gravest; k++) {
        for (size_t i = 0; i < count && book->count < AP_PICK_BOOK_MOST; i++) {
            if ((why[i] & gravest[k]) && !(why[i] & TAKEN)) {
                why[i] |= TAKEN;
                book->count++;
            }
        }
    }
    size_t at = 0;
    for (size_t i = 0; i < count; i++) {
        book->matter += why[i] != 0;
        if (why[i] & TAKEN) {
            book->picks[at] = i;
            book->why[at++] = (uint8_t)(why[i] & ~TAKEN);
        }
    }
}

static size_t name_groups(ap_str **files, ap_arena *arena, ap_intern *taken, const char *kind, const ap_review *r,
                          const ap_weight_table *table) {
    size_t count = table->count < AP_PICK_BOOK_GROUPS_MOST ? table->count : AP_PICK_BOOK_GROUPS_MOST;
    *files = ap_arena_alloc_array(arena, count + 1, sizeof **files);
    for (size_t g = 0; *files && g < count; g++) {
        ap_str label = ap_roster_label(r->roster, table->by[0], table->groups[g].key[0]);
        (*files)[g] = label.ptr ? file_name(arena, taken, kind, label) : AP_STR_NONE;
    }
    return count;
}

ap_status ap_pick_book_choose(ap_pick_book *out, const ap_review *r, const ap_writeup *writeups, size_t writeup_count,
                              ap_error *err) {
    ap_pick_book book = {.review = r};
    ap_arena *arena = r->arena;
    ap_intern *names = ap_intern_new(arena);
    ap_intern *taken = ap_intern_new(arena);
    uint8_t *why = ap_arena_alloc_array(arena, r->roster->count + 1, sizeof *why);
    book.picks = ap_arena_alloc_array(arena, AP_PICK_BOOK_MOST, sizeof *book.picks);
    book.files = ap_arena_alloc_array(arena, AP_PICK_BOOK_MOST, sizeof *book.files);
    book.why = ap_arena_alloc_array(arena, AP_PICK_BOOK_MOST, sizeof *book.why);
    if (names && taken && why && book.picks && book.files && book.why) {
        add_written_up(names, writeups, writeup_count);
        mark(why, r, names);
        take(&book, why, r->roster->count);
        for (size_t i = 0; i < book.count; i++) {
            book.files[i] = file_name(arena, taken, "pick", ap_str_from(r->roster->facts[book.picks[i]].rest->name));
        }
        book.species_count = name_groups(&book.species, arena, taken, "species", r, &r->species);
        book.crane_count = name_groups(&book.cranes, arena, taken, "crane", r, &r->cranes);
    }
    *out = book;
    return ap_arena_check(arena, "the book of picks", err);
}

void ap_pick_book_link(ap_doc *doc, const ap_pick_book *book, const char *folder) {
    for (size_t i = 0; i < book->count; i++) {
        ap_doc_pick_page(doc, ap_str_from(book->review->roster->facts[book->picks[i]].rest->name),
                         ap_doc_printf(doc, "%s%.*s", folder, AP_STR_ARG(book->files[i])));
    }
}

size_t ap_pick_book_find(const ap_pick_book *book, size_t pick) {
    size_t low = 0;
    size_t high = book->count;
    while (low < high) {
        size_t middle = low + (high - low) / 2;
        if (book->picks[middle] < pick) {
            low = middle + 1;
        } else {
            high = middle;
        }
    }
    return low < book->count && book->picks[low] == pick ? low : SIZE_MAX;
}

static void put_groups(ap_doc *doc, const ap_pick_book *book, const ap_weight_table *table, const ap_str *files,
                       size_t count, const char *id, const char *label, const char *caption) {
    const ap_column columns[] = {
        {.key = ap_str_from(label), .label = ap_str_from(label), .kind = AP_CELL_TEXT},
        {.key = AP_STR_LIT("picks"), .label = AP_STR_LIT("picks"), .kind = AP_CELL_COUNT},
        {.key = AP_STR_LIT("weighed"), .label = AP_STR_LIT("weighed and planned"), .kind = AP_CELL_COUNT},
        {.key = AP_STR_LIT("median_ratio"), .label = AP_STR_LIT("against plan"), .kind = AP_CELL_RATIO},
        {.key = AP_STR_LIT("heavier"), .label = AP_STR_LIT("share heavier"), .kind = AP_CELL_PERCENT},
    };
    ap_table *out = ap_doc_table(doc, ap_str_from(id), ap_str_from(caption), columns, 5);
    for (size_t g = 0; g < count; g++) {
        const ap_weight_group *group = &table->groups[g];
        ap_str name = ap_roster_label(book->review->roster, table->by[0], group->key[0]);
        ap_table_row(out);
        ap_table_link(out, name.ptr ? name : AP_STR_LIT("not recorded"), files[g]);
        ap_table_value(out, (double)group->picks);
        ap_table_value(out, (double)group->count);
        ap_table_value(out, group->median_ratio);
        ap_table_value(out, group->share_heavier);
    }
    if (table->count > count) {
        ap_doc_paragraph(doc, ap_doc_printf(doc, "%zu more have no page.", table->count - count));
    }
}

/* Of too many the gravest; the others are reached from the pages of their findings, species and cranes. */
static void put_index_picks(ap_doc *doc, const ap_pick_book *book) {
    const ap_review *r = book->review;
    size_t *picks = ap_arena_alloc_array(r->arena, book->count + 1, sizeof *picks);
    size_t shown = 0;
    uint8_t least = 0; /* of these classes all that fit */
    for (size_t k = 0; picks && k < sizeof gravest; k++) {
        size_t count = 0;
        for (size_t i = 0; i < book->count; i++) {
            count += (book->why[i] & (least | gravest[k])) != 0;
        }
        least |= count <= AP_INDEX_ROWS_MOST || k == 0 ? gravest[k] : 0;
    }
    for (size_t i = 0; picks && i < book->count && shown < AP_INDEX_ROWS_MOST; i++) {
        if (book->why[i] & least) {
            picks[shown++] = book->picks[i];
        }
    }
    ap_picks_table(doc, "picks-all", "In the order of the log", r->roster, picks, shown);
    if (shown < book->count) {
        ap_doc_paragraph(doc, ap_doc_printf(doc,
                                            "%zu of the %zu picks with a page are listed, the gravest kinds first; the "
                                            "others are listed on the pages of their species and cranes below.",
                                            shown, book->count));
    }
}

void ap_pick_book_index(ap_doc *doc, const ap_pick_book *book) {
    const ap_review *r = book->review;
    const ap_findings_told told = {r->roster, &r->limits, &r->findings, &r->chance, r->period, &r->said, "", NULL};
    ap_doc_answer(doc, ap_doc_printf(doc,
                                     "%.*s with a page of %s own: in a finding, in a write-up, or past %.0f %% of "
                                     "rated capacity.",
                                     AP_STR_ARG(ap_say_count(doc, book->count, "pick")),
                                     book->count == 1 ? "its" : "their", r->roster->settings.band_stop * 100));
    if (book->matter > book->count) {
        ap_doc_caution(doc, ap_doc_printf(doc,
                                          "%zu picks would have deserved a page; only the gravest %zu have one: those "
                                          "past the limit first, then those of certain findings, of write-ups, of "
                                          "likely findings.",
                                          book->matter, book->count));
    }
    ap_doc_link(doc, AP_STR_LIT("To the review"), AP_STR_LIT("../review.html"));
    ap_doc_section(doc, 2, AP_STR_LIT("findings"), AP_STR_LIT("Findings"));
    ap_findings_table_cut(doc, "findings-all", &told, r->arena);
    ap_doc_section(doc, 2, AP_STR_LIT("picks"), AP_STR_LIT("Picks that matter"));
    put_index_picks(doc, book);
    ap_doc_section(doc, 2, AP_STR_LIT("species"), AP_STR_LIT("Species"));
    put_groups(doc, book, &r->species, book->species, book->species_count, "species-all", "species",
               "Picks by species");
    ap_doc_section(doc, 2, AP_STR_LIT("cranes"), AP_STR_LIT("Cranes"));
    put_groups(doc, book, &r->cranes, book->cranes, book->crane_count, "cranes-all", "crane", "Picks by crane");
    ap_doc_caution(doc, ap_str_from(ap_say_caution));
}

/* Picks of a group that have a page. */
static void put_picks_of(ap_doc *doc, const ap_pick_book *book, ap_by by, uint32_t key) {
    const ap_review *r = book->review;
    size_t *picks = ap_arena_alloc_array(r->arena, book->count + 1, sizeof *picks);
    size_t count = 0;
    for (size_t i = 0; picks && i < book->count; i++) {
        if (ap_fact_group(&r->roster->facts[book->picks[i]], by) == key) {
            picks[count++] = book->picks[i];
        }
    }
    ap_picks_table(doc, "picks", "Its picks that matter", r->roster, picks, count);
}

static ap_str group_answer(ap_doc *doc, const ap_review *r, const ap_weight_table *table, size_t g) {
    const ap_weight_group *group = &table->groups[g];
    ap_weight_table one = *table;
    one.all = *group;
    one.groups = table->groups + g;
    one.count = 1;
    return ap_say_error(doc, r->roster, &one);
}

void ap_pick_book_species(ap_doc *doc, const ap_pick_book *book, size_t g) {
    const ap_review *r = book->review;
    uint32_t key = r->species.groups[g].key[0];
    ap_doc_answer(doc, group_answer(doc, r, &r->species, g));
    ap_doc_link(doc, AP_STR_LIT("All pages"), AP_STR_LIT("index.html"));
    ap_doc_section(doc, 2, AP_STR_LIT("error"), AP_STR_LIT("Estimate error by cut"));
    ap_weight_table cuts = r->grid;
    cuts.groups = ap_arena_alloc_array(r->arena, r->grid.count + 1, sizeof *cuts.groups);
    cuts.count = 0;
    for (size_t i = 0; cuts.groups && i < r->grid.count; i++) {
        if (r->grid.groups[i].key[0] == key) {
            cuts.groups[cuts.count++] = r->grid.groups[i];
        }
    }
    ap_weights_table(doc, "by-cut", "Measured against planned, this period", r->roster, &cuts);
    const ap_density_study *study = &r->wood;
    ap_doc_section(doc, 2, AP_STR_LIT("wood"), AP_STR_LIT("What its wood weighs"));
    size_t said = 0;
    for (size_t s = 0; s < study->density.species_count; s++) {
        if (study->density.species[s].label == key) {
            ap_doc_paragraph(doc, ap_say_verdict(doc, study, &study->density.species[s], &study->plans.species[s]));
            said++;
        }
    }
    if (said == 0) {
        ap_doc_paragraph(doc, AP_STR_LIT("No weighed piece of it is evidence on its density yet."));
    }
    ap_doc_section(doc, 2, AP_STR_LIT("matter"), AP_STR_LIT("Picks"));
    put_picks_of(doc, book, AP_BY_SPECIES, key);
    ap_doc_caution(doc, ap_str_from(ap_say_caution));
}

void ap_pick_book_crane(ap_doc *doc, const ap_pick_book *book, size_t g) {
    const ap_review *r = book->review;
    ap_doc_section(doc, 2, AP_STR_LIT("matter"), AP_STR_LIT("Picks"));
    ap_doc_paragraph(doc, group_answer(doc, r, &r->cranes, g));
    put_picks_of(doc, book, AP_BY_CRANE, r->cranes.groups[g].key[0]);
    ap_doc_caution(doc, ap_str_from(ap_say_caution));
}

static void put_group_link(ap_doc *doc, const ap_review *r, const ap_weight_table *table, const ap_str *files,
                           size_t count, uint32_t key) {
    for (size_t g = 0; g < count; g++) {
        if (table->groups[g].key[0] == key && files[g].ptr) {
            ap_doc_link(doc, ap_roster_label(r->roster, table->by[0], key), files[g]);
        }
    }
}

void ap_pick_book_pick(ap_doc *doc, const ap_pick_book *book, size_t at) {
    const ap_review *r = book->review;
    const ap_fact *fact = &r->roster->facts[book->picks[at]];
    ap_doc_section(doc, 2, AP_STR_LIT("from-here"), AP_STR_LIT("From here"));
    for (size_t f = 0; f < r->findings.count; f++) {
        const ap_finding *finding = &r->findings.items[f];
        bool touches = false;
        for (size_t p = 0; p < finding->pick_count; p++) {
            touches = touches || finding->picks[p] == book->picks[at];
        }
        if (touches && finding->number) {
            ap_doc_link(doc,
                        ap_doc_printf(doc, "Finding %lld, %s", (long long)finding->number,
                                      ap_detector_title(finding->detector)),
                        ap_doc_printf(doc, "finding-%lld.html", (long long)finding->number));
        }
    }
    put_group_link(doc, r, &r->species, book->species, book->species_count, ap_fact_group(fact, AP_BY_SPECIES));
    put_group_link(doc, r, &r->cranes, book->cranes, book->crane_count, ap_fact_group(fact, AP_BY_CRANE));
    if (book->why[at] & AP_MATTERS_WRITEUP) {
        ap_doc_paragraph(doc, AP_STR_LIT("It is in a write-up: 'afterpick writeup' lists them."));
    }
    ap_doc_link(doc, AP_STR_LIT("All pages"), AP_STR_LIT("index.html"));
    ap_doc_link(doc, AP_STR_LIT("To the review"), AP_STR_LIT("../review.html"));
}
