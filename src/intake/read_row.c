#include "intake/read_row.h"

#include "intake/cells.h"
#include "intake/dates.h"

struct ap_row_reader {
    const ap_plan *plan;
    ap_book *book;
    ap_date_order order;
    ap_pick blank;         /* copied before every row */
    ap_word_memory *words; /* one per column of the plan */
    ap_species_memory species;
    ap_str date_text; /* the last date cell and its reading: picks of a day stand together */
    char date_kept[AP_ISO_SIZE];
    ap_date date_value;
    ap_buf space; /* joined words, the name of a pick */
    ap_arena *texts;
    bool partial;
    bool blanked[AP_F_COUNT]; /* cells of this row that the profile reads as blank */
};

void ap_row_reader_free(ap_row_reader *reader) {
    if (reader) {
        ap_buf_release(&reader->space);
        free(reader->words);
        free(reader);
    }
}

void ap_row_reader_set_texts(ap_row_reader *reader, ap_arena *texts) {
    reader->texts = texts;
}

void ap_row_reader_set_partial(ap_row_reader *reader) {
    reader->partial = true;
}

void ap_row_reader_set_order(ap_row_reader *reader, ap_date_order order) {
    reader->order = order;
    reader->date_text = AP_STR_NONE;
}

/* ap_str_trim() for the common cell that needs none; a leading or trailing byte of U+00A0 goes the long way. */
static inline ap_str trim(ap_str cell) {
    if (cell.len) {
        const unsigned char first = (unsigned char)cell.ptr[0];
        const unsigned char last = (unsigned char)cell.ptr[cell.len - 1];
        if (first > ' ' && first < 0x80 && last > ' ' && last < 0x80) {
            return cell;
        }
    }
    return ap_str_trim(cell);
}

static ap_str cell_of(const ap_row_reader *reader, const ap_row *row, int field) {
    const int at = reader->plan->position[field];
    return at >= 0 && (size_t)at < row->count ? trim(row->cells[at]) : AP_STR_NONE;
}

/* The profile passes over the row; a pattern that needs too many steps is the row's fault. */
static bool is_skipped(ap_fault *fault, const ap_plan *plan, const ap_row *row) {
    for (size_t i = 0; i < plan->skip_count; i++) {
        const ap_plan_skip *skip = &plan->skips[i];
        const ap_str text = skip->cell == SIZE_MAX    ? row->raw
                            : skip->cell < row->count ? trim(row->cells[skip->cell])
                                                      : AP_STR_NONE;
        bool found = text.len == 0 && !skip->skip->match;
        if (skip->skip->match && ap_pattern_match(&found, skip->skip->match, text, 0, NULL) != AP_OK) {
            ap_fault_add(fault, skip->cell == SIZE_MAX ? 0 : (int)skip->cell + 1, AP_STR_LIT("row"), text,
                         "make its repeats possessive",
                         "can not be read: the pattern on line %d of the profile needs too many steps on it",
                         skip->skip->line);
            return false;
        }
        if (found) {
            return true;
        }
    }
    return false;
}

bool ap_row_reader_needs_order(const ap_row_reader *reader, const ap_row *row) {
    const ap_str cell = cell_of(reader, row, AP_F_date);
    char space[AP_DATE_YEAR_SIZE];
    if (cell.len == 0 || row->trouble || (cell.len >= 5 && cell.ptr[4] == '-')) {
        return false;
    }
    const unsigned orders = ap_date_orders(ap_date_with_year(space, cell, reader->plan->year));
    return orders != 0 && !(orders & 1u);
}

static bool is_total_word(ap_str cell) {
    static const char *const words[] = {
        "total", "totals", "grand total", "subtotal",     "sub-total",  "sum",   "average", "mean", "avg",
        "count", "summe",  "gesamt",      "durchschnitt", "mittelwert", "somme", "moyenne", "suma", "promedio"};
    while (cell.len && (cell.ptr[cell.len - 1] == ':' || cell.ptr[cell.len - 1] == ' ')) {
        cell.len--;
    }
    for (size_t i = 0; i < sizeof words / sizeof *words; i++) {
        if (ap_str_equal_nocase(cell, ap_str_from(words[i]))) {
            return true;
        }
    }
    return false;
}

bool ap_row_says_total(const ap_row *row) {
    for (size_t i = 0; i < row->count; i++) {
        if (is_total_word(trim(row->cells[i]))) {
            return true;
        }
    }
    return false;
}

/* Only a row without date and species can be anything but a pick: a blank one, or a total. */
static ap_row_kind kind_without_date(const ap_row *row) {
    bool any = false;
    for (size_t i = 0; i < row->count; i++) {
        any = any || trim(row->cells[i]).len > 0;
    }
    return !any ? AP_ROW_BLANK : ap_row_says_total(row) ? AP_ROW_TOTAL : AP_ROW_PICK;
}

static bool is_header_again(const ap_row_reader *reader, const ap_row *row) {
    if (row->count != reader->plan->count) {
        return false;
    }
    for (size_t i = 0; i < row->count; i++) {
        if (!ap_str_equal(trim(row->cells[i]), ap_str_trim(reader->plan->columns[i].header))) {
            return false;
        }
    }
    return true;
}

static bool is_ragged(ap_fault *fault, const ap_plan *plan, const ap_row *row) {
    if (row->count == plan->count) {
        return false;
    }
    if (row->count < plan->count) {
        ap_fault_add(fault, 0, AP_STR_LIT("row"), AP_STR_NONE, "give the row all its cells, blank ones too",
                     "has %zu cells, the header %zu", row->count, plan->count - plan->counted);
        return true;
    }
    for (size_t i = plan->count; i < row->count; i++) {
        if (!ap_str_is_blank(row->cells[i])) { /* trailing blank cells are a spreadsheet's habit and harmless */
            ap_fault_add(fault, (int)i + 1, AP_STR_LIT("row"), row->cells[i],
                         "put quotes around a cell that holds the separator, or take the extra cell out",
                         "has %zu cells, the header %zu", row->count, plan->count);
            return true;
        }
    }
    return false;
}

static void read_date(ap_row_reader *reader, ap_date *out, int column, ap_str cell, ap_fault *fault) {
    if (reader->date_text.len == cell.len && cell.len && memcmp(reader->date_kept, cell.ptr, cell.len) == 0) {
        *out = reader->date_value;
        return;
    }
    ap_refusal why;
    char space[AP_DATE_YEAR_SIZE];
    const ap_str dated = ap_date_with_year(space, cell, reader->plan->year);
    if (!ap_date_from_iso(out, dated) && !ap_when_read_date(out, dated, reader->order, &why)) {
        ap_fault_add(fault, column, AP_STR_LIT("date"), cell, why.remedy, "%s", why.reason);
        *out = AP_DATE_NONE;
        return;
    }
    if (cell.len <= sizeof reader->date_kept) {
        memcpy(reader->date_kept, cell.ptr, cell.len);
        reader->date_text = (ap_str){reader->date_kept, cell.len};
        reader->date_value = *out;
    }
}

static void read_text(ap_str *out, const ap_field *desc, int column, ap_str cell, ap_fault *fault) {
    const bool names_something = desc->leg == 0 && desc->group == AP_GROUP_WHERE;
    for (size_t i = 0; names_something && i < cell.len; i++) {
        if ((unsigned char)cell.ptr[i] < 0x20 || cell.ptr[i] == 0x7f) {
            char shown[AP_QUOTED_SIZE];
            ap_fault_quote(shown, cell);
            ap_fault_add(fault, column, ap_str_from(desc->name), cell, "write it on one line",
                         "%s holds a line break or another control character", shown);
            return;
        }
    }
    *out = cell;
}

static void read_word(ap_row_reader *reader, int32_t *out, size_t index, ap_str cell, ap_str raw, ap_fault *fault) {
    const ap_field *desc = reader->plan->columns[index].desc;
    if (raw.ptr == cell.ptr) {
        *out = ap_cell_word(&reader->words[index], desc, cell);
    } else {
        *out = ap_cell_word_find(desc, cell);
        ap_word_keep(&reader->words[index], raw, *out);
    }
    if (*out == 0) {
        char remedy[AP_FAULT_REMEDY_MAX];
        char shown[AP_QUOTED_SIZE];
        const int at = (int)reader->plan->columns[index].cell + 1;
        ap_fault_quote(shown, cell);
        ap_cell_word_remedy(remedy, sizeof remedy, desc, cell);
        ap_fault_add(fault, at, ap_str_from(desc->name), cell, remedy, "%s is not a word for %s", shown, desc->label);
    }
}

/* What the profile reads instead of the cell; false when that is blank, or can not be told. */
static bool mapped(ap_str *cell, ap_row_reader *reader, const ap_plan_column *column, ap_fault *fault) {
    const ap_str raw = *cell;
    ap_error why;
    if (ap_profile_value_of(cell, column->values, raw, &reader->space, &why) != AP_OK) {
        ap_fault_add(fault, (int)column->cell + 1, ap_str_from(column->desc->name), raw,
                     "make the repeats of the pattern possessive, or write the cell otherwise", "can not be read: %s",
                     why.text);
        return false;
    }
    if (cell->len == 0 && column->field < AP_F_COUNT) {
        reader->blanked[column->field] = true;
    }
    return cell->len > 0;
}

/* "n/a", "--", "forgot": nothing there that a number could be made of. */
static void refuse_quantity(int shown_at, const ap_field *desc, ap_str cell, const ap_refusal *why, ap_fault *fault) {
    bool digit = false;
    for (size_t i = 0; i < cell.len; i++) {
        digit = digit || (cell.ptr[i] >= '0' && cell.ptr[i] <= '9');
    }
    char remedy[AP_FAULT_REMEDY_MAX];
    snprintf(remedy, sizeof remedy, "%s%s", digit ? "" : "leave it blank if it is not known, else ", why->remedy);
    ap_fault_add(fault, shown_at, ap_str_from(desc->name), cell, remedy, "%s", why->reason);
}

/* `number`: the cell is a number of a workbook, whose mark is the point whatever its texts use. */
static void read_cell(ap_row_reader *reader, ap_pick *pick, size_t index, ap_str cell, bool number, ap_fault *fault) {
    const ap_plan_column *column = &reader->plan->columns[index];
    const ap_field *desc = column->desc;
    const ap_str raw = cell;
    const int shown_at = (int)column->cell + 1;
    void *at = (char *)pick + desc->offset;
    ap_refusal why;
    if (column->values) {
        const bool words = desc->kind == AP_KIND_WORD || desc->kind == AP_KIND_YESNO || desc->kind == AP_KIND_MOVES;
        const int32_t known = words ? ap_word_recall(&reader->words[index], cell) : 0;
        if (known) {
            *(int32_t *)at = known;
            pick->leg_count = desc->leg > pick->leg_count ? desc->leg : pick->leg_count;
            return;
        }
        if (!mapped(&cell, reader, column, fault)) {
            return;
        }
    }
    switch (desc->kind) {
    case AP_KIND_TEXT:
        read_text(at, desc, shown_at, cell, fault);
        break;
    case AP_KIND_WORD:
    case AP_KIND_YESNO:
    case AP_KIND_MOVES:
        read_word(reader, at, index, cell, raw, fault);
        break;
    case AP_KIND_QTY: {
        ap_quantity quantity;
        ap_quantity_rules rules = column->rules;
        rules.decimal = number ? '.' : rules.decimal;
        if (ap_cell_number(&quantity, cell, &rules) || ap_quantity_read(&quantity, cell, &rules, &why)) {
            *(double *)at = quantity.value;
            pick->written[column->field] = quantity.written;
        } else {
            refuse_quantity(shown_at, desc, cell, &why, fault);
        }
        break;
    }
    case AP_KIND_COUNT:
        if (!ap_cell_count(at, cell)) {
            char shown[AP_QUOTED_SIZE];
            ap_fault_quote(shown, cell);
            ap_fault_add(fault, shown_at, ap_str_from(desc->name), cell, "write a whole number, 0 or more",
                         "%s is not a count", shown);
        }
        break;
    case AP_KIND_DATE:
        read_date(reader, at, shown_at, cell, fault);
        break;
    case AP_KIND_TIME:
        if (!ap_time_from_iso(at, cell) && !ap_when_read_time(at, cell, &why)) {
            ap_fault_add(fault, shown_at, ap_str_from(desc->name), cell, why.remedy, "%s", why.reason);
        }
        break;
    }
    pick->leg_count = desc->leg > pick->leg_count ? desc->leg : pick->leg_count;
}

/* Constants are in the pick before a row is read. */
static ap_status read_constants(ap_row_reader *reader, ap_error *err) {
    const ap_plan *plan = reader->plan;
    for (size_t i = 0; i < plan->constant_count; i++) {
        const size_t index = plan->count + plan->also_count + i;
        const ap_str text = ap_str_trim(plan->constants[i]);
        ap_fault fault;
        ap_fault_clear(&fault);
        read_cell(reader, &reader->blank, index, text, false, &fault);
        if (fault.count) {
            return ap_error_set(err, AP_E_INPUT, "%s of the profile: %s; %s", plan->columns[index].desc->name,
                                fault.reason, fault.remedy);
        }
    }
    return AP_OK;
}

ap_status ap_row_reader_new(ap_row_reader **out, const ap_plan *plan, ap_book *book, ap_date_order order,
                            ap_error *err) {
    ap_row_reader *reader = calloc(1, sizeof *reader);
    if (reader) {
        ap_buf_init(&reader->space, 1u << 20);
        reader->words = calloc(plan->count + plan->also_count + plan->constant_count + 1, sizeof *reader->words);
    }
    if (!reader || !reader->words) {
        ap_row_reader_free(reader);
        return ap_error_set(err, AP_E_MEMORY, "out of memory for reading rows");
    }
    reader->plan = plan;
    reader->book = book;
    reader->order = order;
    ap_pick_clear(&reader->blank);
    const ap_status status = read_constants(reader, err);
    if (status != AP_OK) {
        ap_row_reader_free(reader);
        return status;
    }
    *out = reader;
    return AP_OK;
}

ap_status ap_row_reader_species(const ap_species **species, ap_pick *pick, ap_fault *fault, ap_row_reader *reader,
                                ap_error *err) {
    ap_error why;
    ap_error_clear(&why);
    *species = NULL;
    if (pick->species.len == 0) {
        return AP_OK;
    }
    const ap_status status = ap_cell_species(species, &reader->species, reader->book, pick->species, &why);
    if (status == AP_OK) {
        pick->species_id = (*species)->id;
        pick->species_common = (*species)->common;
        return AP_OK;
    }
    *species = NULL;
    if (status != AP_E_NOT_FOUND && status != AP_E_AMBIGUOUS) {
        return ap_error_set(err, status, "%s", why.text);
    }
    /* The book's sentence names the field itself: "species 'mapel' is not known: near names are ..." */
    const char *says = strncmp(why.text, "species ", 8) == 0 ? why.text + 8 : why.text;
    ap_fault_add(fault, reader->plan->position[AP_F_species] + 1, AP_STR_LIT("species"), pick->species,
                 "write the name in full, or teach it: 'afterpick species teach'", "%s", says);
    return AP_OK;
}

static void need_cells(const ap_row_reader *reader, const ap_row *row, const ap_pick *pick, ap_fault *fault) {
    static const int needed[] = {AP_F_job, AP_F_date, AP_F_pick, AP_F_species};
    for (size_t i = 0; i < sizeof needed / sizeof *needed; i++) {
        if (ap_pick_field_is_blank(&reader->blank, needed[i]) &&
            (reader->blanked[needed[i]] || cell_of(reader, row, needed[i]).len == 0)) {
            ap_fault_add(fault, reader->plan->position[needed[i]] + 1, ap_str_from(ap_field_get(needed[i])->name),
                         AP_STR_NONE, "fill it in: job, date, pick and species are needed", "is blank");
        }
    }
    if (isnan(pick->planned_weight_kg) && isnan(pick->measured_weight_kg) &&
        (reader->blanked[AP_F_planned_weight] || cell_of(reader, row, AP_F_planned_weight).len == 0) &&
        (reader->blanked[AP_F_measured_weight] || cell_of(reader, row, AP_F_measured_weight).len == 0)) {
        const int at = reader->plan->position[AP_F_planned_weight] >= 0 ? reader->plan->position[AP_F_planned_weight]
                                                                        : reader->plan->position[AP_F_measured_weight];
        ap_fault_add(fault, at + 1, AP_STR_LIT("planned_weight"), AP_STR_NONE,
                     "give the planned or the measured weight", "is blank, and the measured weight too");
    }
}

/* Numbers that start anew each day or for each crane: "2026-10-05/17". */
static void name_pick(ap_row_reader *reader, ap_pick *pick, ap_fault *fault) {
    const unsigned restart = reader->plan->restart;
    const struct {
        unsigned bit;
        int field;
        ap_str text;
    } parts[] = {{AP_RESTART_CREW, AP_F_crew, pick->crew},
                 {AP_RESTART_CRANE, AP_F_crane, pick->crane},
                 {AP_RESTART_TREE, AP_F_tree, pick->tree}};
    char day[AP_ISO_SIZE];
    ap_date_to_iso(day, pick->date);
    ap_buf_clear(&reader->space);
    if (restart & AP_RESTART_DAY) {
        ap_buf_appendf(&reader->space, "%s/", day);
    }
    for (size_t i = 0; i < sizeof parts / sizeof *parts; i++) {
        if ((restart & parts[i].bit) && parts[i].text.len == 0) {
            const char *name = ap_field_get(parts[i].field)->name;
            ap_fault_add(fault, reader->plan->position[parts[i].field] + 1, ap_str_from(name), AP_STR_NONE,
                         "fill it in: the numbers of the picks start anew for each", "is blank");
        } else if (restart & parts[i].bit) {
            ap_buf_appendf(&reader->space, "%.*s/", AP_STR_ARG(parts[i].text));
        }
    }
    ap_buf_append_str(&reader->space, pick->pick);
    const ap_str name = ap_buf_str(&reader->space);
    pick->pick = reader->texts ? ap_arena_str(reader->texts, name) : name;
    if (reader->space.status != AP_OK || !pick->pick.ptr) {
        ap_fault_add(fault, reader->plan->position[AP_F_pick] + 1, AP_STR_LIT("pick"), AP_STR_NONE, "write it shorter",
                     "is too long");
    }
}

ap_row_kind ap_row_reader_cells(ap_pick *pick, ap_fault *fault, ap_row_reader *reader, const ap_row *row) {
    const ap_plan *plan = reader->plan;
    const size_t all = plan->count + plan->also_count;
    if (row->heading) {
        return AP_ROW_HEADER;
    }
    if (plan->skip_count) {
        if (is_skipped(fault, plan, row)) {
            return AP_ROW_SKIPPED;
        }
        if (fault->count) {
            return AP_ROW_RAGGED;
        }
    }
    if (row->trouble) {
        const size_t at = row->trouble_cell;
        ap_fault_add(
            fault, (int)at + 1, at < plan->count ? plan->columns[at].header : AP_STR_LIT("row"),
            at < row->count ? row->cells[at] : AP_STR_NONE,
            plan->profile && plan->profile->kind != AP_PROFILE_TABLE
                ? "if it is a pick, fill in its cells in the file that --rejects writes and import that; if it "
                  "is none: afterpick problems drop"
                : "mend the row in a text editor and import it again",
            "can not be read: %s", row->trouble);
        return AP_ROW_RAGGED;
    }
    const ap_str date = cell_of(reader, row, AP_F_date);
    if ((date.len == 0 || is_total_word(date)) && cell_of(reader, row, AP_F_species).len == 0) {
        const ap_row_kind other = kind_without_date(row);
        if (other != AP_ROW_PICK) {
            return other;
        }
    } else if (plan->position[AP_F_date] >= 0 &&
               ap_str_equal(date, ap_str_trim(plan->columns[plan->position[AP_F_date]].header)) &&
               is_header_again(reader, row)) {
        return AP_ROW_HEADER;
    }
    if (is_ragged(fault, plan, row)) {
        return AP_ROW_RAGGED;
    }
    *pick = reader->blank;
    memset(reader->blanked, 0, sizeof reader->blanked);
    for (size_t i = 0; i < all; i++) {
        if (!plan->columns[i].desc) {
            continue;
        }
        const ap_str trimmed = trim(row->cells[plan->columns[i].cell]);
        const ap_str cell = trimmed.len && trimmed.ptr[0] == '\'' ? ap_delimited_unguard(trimmed) : trimmed;
        if (cell.len) {
            const bool number = row->numbers && row->numbers[plan->columns[i].cell];
            read_cell(reader, pick, i, cell, number, fault);
        }
    }
    if (!reader->partial) {
        need_cells(reader, row, pick, fault);
    }
    if (plan->restart && pick->pick.len && pick->date != AP_DATE_NONE) {
        name_pick(reader, pick, fault);
    }
    return fault->count ? AP_ROW_FAULTY : AP_ROW_PICK;
}

ap_status ap_row_reader_read(ap_row_kind *kind, ap_pick *pick, ap_fault *fault, ap_row_reader *reader,
                             const ap_row *row, ap_error *err) {
    const ap_species *species = NULL;
    *kind = ap_row_reader_cells(pick, fault, reader, row);
    if (*kind != AP_ROW_PICK && *kind != AP_ROW_FAULTY) {
        return AP_OK;
    }
    const ap_status status = ap_row_reader_species(&species, pick, fault, reader, err);
    *kind = fault->count ? AP_ROW_FAULTY : AP_ROW_PICK;
    return status;
}
