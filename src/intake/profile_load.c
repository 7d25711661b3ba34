/* From the book or a file to a profile that may be used: its samples are run. */
#include "base/sink.h"
#include "book/pick_text.h"
#include "book/profiles.h"
#include "intake/dates.h"
#include "intake/profile_plan.h"
#include "intake/read_row.h"
#include "intake/text_rows.h"

enum { SAMPLE_ARENA = 4 << 20, LOAD_ARENA = 8 << 20, KEPT_ARENA = 80 << 20, SHOWN = 100, VALUE_MAX = 1 << 20 };

/* What is given is read like a cell of a log with canonical columns, so that "2,950 lb" and "2950 lb" are one value. */
typedef struct expectation {
    ap_plan plan;
    ap_plan_column column;
} expectation;

static ap_status read_given(ap_pick *out, ap_fault *fault, const ap_profile_pair *pair, const ap_plan_rules *rules,
                            ap_date_order order, ap_book *book, ap_error *err) {
    expectation one = {.plan = {.columns = &one.column, .count = 1}};
    for (int i = 0; i < AP_COLUMN_COUNT; i++) {
        one.plan.position[i] = -1;
    }
    ap_row_reader *reader = NULL;
    ap_row_kind kind = AP_ROW_PICK;
    const ap_row row = {.cells = &pair->text, .count = 1, .raw = pair->text};
    ap_status status = ap_plan_set_column(&one.plan, 0, pair->field, pair->unit, rules, err);
    if (status == AP_OK) {
        status = ap_row_reader_new(&reader, &one.plan, book, order, err);
    }
    if (status == AP_OK) {
        ap_row_reader_set_partial(reader);
        ap_pick_clear(out);
        status = ap_row_reader_read(&kind, out, fault, reader, &row, err);
    }
    ap_row_reader_free(reader);
    return status;
}

static bool same_value(const ap_pick *a, const ap_pick *b, int field) {
    const ap_field *desc = ap_field_get(field);
    const void *x = ap_pick_at_const(a, field);
    const void *y = ap_pick_at_const(b, field);
    const bool blank = ap_pick_field_is_blank(a, field);
    if (blank || ap_pick_field_is_blank(b, field)) {
        return blank == ap_pick_field_is_blank(b, field);
    }
    if (field == AP_F_species) {
        return a->species_id == b->species_id;
    }
    if (desc->kind == AP_KIND_TEXT) {
        return ap_str_equal(*(const ap_str *)x, *(const ap_str *)y);
    }
    if (desc->kind == AP_KIND_QTY) {
        const double p = *(const double *)x;
        const double q = *(const double *)y;
        return fabs(p - q) <= 1e-9 * (fabs(p) + fabs(q)); /* two ways of writing one number */
    }
    return *(const int32_t *)x == *(const int32_t *)y;
}

void ap_profile_value_write(ap_buf *out, const ap_pick *pick, int field) {
    if (ap_field_get(field)->kind == AP_KIND_QTY && !ap_pick_field_is_blank(pick, field)) {
        const double si = *(const double *)ap_pick_at_const(pick, field);
        const ap_unit unit = (ap_unit)pick->written[field].unit;
        ap_buf_appendf(out, "%.10g %s", ap_unit_from_si(unit, si), ap_unit_symbol(unit));
    } else {
        ap_pick_value_write(out, pick, field);
    }
}

/* The value as a sentence shows it. */
static ap_str value_shown(ap_arena *arena, const ap_pick *pick, int field) {
    if (ap_pick_field_is_blank(pick, field)) {
        return AP_STR_LIT("nothing");
    }
    const char *quote = ap_field_get(field)->kind == AP_KIND_TEXT ? "'" : "";
    ap_buf text;
    ap_buf_init(&text, VALUE_MAX);
    ap_profile_value_write(&text, pick, field);
    const ap_str shown = ap_arena_printf(arena, "%s%.*s%s", quote, AP_STR_ARG(ap_buf_str(&text)), quote);
    ap_buf_release(&text);
    return shown;
}

/* What became of a sample: its last row that is no heading. */
typedef struct reading {
    ap_row_kind kind;
    ap_pick pick;
    ap_fault fault;
    bool any;
    int extra; /* rows beyond the first */
} reading;

static ap_status read_one(reading *out, ap_row_reader *reader, const ap_row *row, ap_error *err) {
    if (row->heading || (!row->trouble && ap_str_is_blank(row->raw) && row->line_last > 0)) {
        return AP_OK; /* of a text log: a heading, or a blank line between blocks */
    }
    out->extra += out->any;
    out->any = true;
    ap_fault_clear(&out->fault);
    return ap_row_reader_read(&out->kind, &out->pick, &out->fault, reader, row, err);
}

static ap_status read_text_sample(reading *out, ap_arena *arena, const ap_profile *profile,
                                  const ap_profile_sample *sample, ap_row_reader *reader, ap_book *book,
                                  ap_error *err) {
    ap_str from = sample->text;
    ap_text_rows *rows = NULL;
    ap_status status = ap_text_rows_new(&rows, ap_read_from_str, &from, profile, book, err);
    for (bool more = true; status == AP_OK && more;) {
        ap_row row;
        status = ap_text_rows_next(&row, &more, rows, err);
        if (status == AP_OK && more) {
            /* The pick's texts outlive the row. */
            ap_str *cells = ap_arena_alloc_array(arena, row.count, sizeof *cells);
            for (size_t i = 0; i < row.count && cells; i++) {
                cells[i] = ap_arena_str(arena, row.cells[i]);
            }
            status = ap_arena_check(arena, "a sample", err);
            if (status == AP_OK) {
                row.cells = cells;
                status = read_one(out, reader, &row, err);
            }
        }
    }
    ap_text_rows_free(rows);
    return status;
}

static ap_status plan_sample(ap_plan *plan, ap_row *row, ap_arena *arena, const ap_profile *profile,
                             const ap_profile_sample *sample, const ap_plan_rules *rules, ap_error *err) {
    if (profile->kind != AP_PROFILE_TABLE) {
        return ap_profile_plan(plan, arena, NULL, rules, profile, err);
    }
    ap_str *headers = ap_arena_alloc_array(arena, sample->cell_count, sizeof *headers);
    ap_str *cells = ap_arena_alloc_array(arena, sample->cell_count, sizeof *cells);
    if (!headers || !cells) {
        return ap_error_set(err, AP_E_MEMORY, "out of memory for a sample");
    }
    for (size_t i = 0; i < sample->cell_count; i++) {
        headers[i] = sample->cells[i].name;
        cells[i] = sample->cells[i].text;
    }
    const ap_row header = {.cells = headers, .count = sample->cell_count, .raw = AP_STR_LIT("")};
    *row = (ap_row){.cells = cells, .count = sample->cell_count, .line = 1, .raw = AP_STR_LIT("")};
    return ap_profile_plan_table(plan, arena, &header, rules, profile, NULL, true, err);
}

static ap_date_order sample_order(const ap_profile *profile) {
    return profile->dates == AP_DATES_UNSETTLED ? AP_DATES_ISO : profile->dates;
}

static ap_status read_sample(reading *out, ap_arena *arena, const ap_profile *profile, const ap_profile_sample *sample,
                             ap_book *book, const ap_plan_rules *rules, ap_error *err) {
    ap_plan plan;
    ap_row row = {0};
    ap_row_reader *reader = NULL;
    ap_status status = plan_sample(&plan, &row, arena, profile, sample, rules, err);
    if (status == AP_OK) {
        ap_plan_set_decimal(&plan, profile->decimal ? profile->decimal : '.');
        status = ap_row_reader_new(&reader, &plan, book, sample_order(profile), err);
    }
    if (status == AP_OK) {
        ap_row_reader_set_partial(reader);
        ap_row_reader_set_texts(reader, arena);
        status = profile->kind == AP_PROFILE_TABLE ? read_one(out, reader, &row, err)
                                                   : read_text_sample(out, arena, profile, sample, reader, book, err);
    }
    ap_row_reader_free(reader);
    return status;
}

static ap_str fault_shown(ap_arena *arena, const ap_fault *fault) {
    return ap_arena_printf(arena, "it is set aside: %.*s %s", AP_STR_ARG(fault->field), fault->reason);
}

/* Compares what is given with what was read; the first difference is told. */
static ap_status compare(ap_sample_result *out, ap_arena *arena, const ap_profile *profile, const reading *got,
                         const ap_plan_rules *rules, ap_book *book, ap_error *err) {
    const ap_profile_sample *sample = out->sample;
    ap_pick *want = ap_arena_alloc(arena, sizeof *want);
    if (!want) {
        return ap_error_set(err, AP_E_MEMORY, "out of memory for a sample");
    }
    for (size_t i = 0; i < sample->give_count; i++) {
        const ap_profile_pair *pair = &sample->gives[i];
        const ap_plan_rules own = ap_profile_rules(profile, rules);
        ap_fault fault;
        ap_fault_clear(&fault);
        const ap_status status = read_given(want, &fault, pair, &own, sample_order(profile), book, err);
        if (status != AP_OK) {
            return status;
        }
        const char *name = ap_field_get(pair->field)->name;
        if (fault.count) {
            out->says = ap_arena_printf(arena, "what it gives for %s can not be read: %s", name, fault.reason);
            return AP_OK;
        }
        if (!same_value(&got->pick, want, pair->field)) {
            const ap_str read = value_shown(arena, &got->pick, pair->field);
            const ap_str wanted = value_shown(arena, want, pair->field);
            out->says = ap_arena_printf(arena, "%s should be %.*s, but %.*s was read", name, AP_STR_ARG(wanted),
                                        AP_STR_ARG(read));
            return AP_OK;
        }
    }
    out->passed = true;
    return AP_OK;
}

ap_status ap_profile_run_sample(ap_sample_result *out, ap_arena *arena, const ap_profile *profile, size_t index,
                                ap_book *book, const ap_plan_rules *rules, ap_error *err) {
    const ap_profile_sample *sample = &profile->samples[index];
    reading *got = ap_arena_alloc(arena, sizeof *got);
    *out = (ap_sample_result){.sample = sample};
    if (!got) {
        return ap_error_set(err, AP_E_MEMORY, "out of memory for a sample");
    }
    ap_error why;
    ap_error_clear(&why);
    const ap_status status = read_sample(got, arena, profile, sample, book, rules, &why);
    if (status == AP_E_INPUT) {
        out->says = ap_arena_printf(arena, "%s", why.text);
        return AP_OK;
    }
    if (status != AP_OK) {
        return ap_error_set(err, status, "%s", why.text);
    }
    const bool aside = got->kind == AP_ROW_FAULTY || got->kind == AP_ROW_RAGGED;
    const bool pick = got->any && got->kind == AP_ROW_PICK;
    if (!got->any) {
        out->passed = sample->what == AP_GIVES_NOTHING;
        out->says = AP_STR_LIT("it holds no pick");
    } else if (got->extra) {
        out->says = AP_STR_LIT("it holds more than one pick: one sample, one pick");
    } else if (sample->what == AP_GIVES_NOTHING) {
        out->passed = !aside && !pick;
        out->says = aside ? fault_shown(arena, &got->fault) : AP_STR_LIT("it is read as a pick");
    } else if (sample->what == AP_GIVES_ASIDE) {
        out->passed = aside;
        out->says = AP_STR_LIT("it is not set aside");
    } else if (aside) {
        out->says = fault_shown(arena, &got->fault);
    } else if (!pick) {
        out->says = AP_STR_LIT("it is passed over, not read as a pick");
    } else {
        return compare(out, arena, profile, got, rules, book, err);
    }
    return AP_OK;
}

ap_status ap_profile_try(const ap_profile *profile, ap_book *book, const ap_plan_rules *rules, ap_error *err) {
    ap_arena arena;
    ap_arena_init(&arena, SAMPLE_ARENA);
    ap_status status = AP_OK;
    for (size_t i = 0; i < profile->sample_count && status == AP_OK; i++) {
        ap_sample_result result;
        ap_arena_clear(&arena);
        status = ap_profile_run_sample(&result, &arena, profile, i, book, rules, err);
        if (status == AP_OK && !result.passed) {
            status = ap_error_set(err, AP_E_INPUT, "the sample on line %d of the profile '%.*s' fails: %.*s",
                                  result.sample->line, AP_STR_ARG(profile->name), AP_STR_ARG(result.says));
        }
    }
    ap_arena_release(&arena);
    return status;
}

static ap_status not_there(ap_arena *arena, ap_book *book, const char *name, ap_error *err) {
    ap_kept_profile *kept = NULL;
    size_t count = 0;
    ap_status status = ap_book_profiles(&kept, &count, arena, book, err);
    if (status != AP_OK) {
        return status;
    }
    ap_buf names;
    ap_buf_init(&names, 512);
    for (size_t i = 0; i < count; i++) {
        ap_buf_appendf(&names, "%s'%.*s'", i ? ", " : "", AP_STR_ARG(kept[i].name));
    }
    const ap_str list = ap_buf_str(&names);
    status = ap_error_set(err, AP_E_NOT_FOUND, "there is neither a kept profile nor a file '%s'; %s%.*s", name,
                          count ? "kept are " : "the book keeps none", AP_STR_ARG(list));
    ap_buf_release(&names);
    return status;
}

ap_status ap_profile_open(ap_profile **out, ap_book *book, const char *name_or_file, ap_error *err) {
    ap_arena arena;
    ap_arena_init(&arena, LOAD_ARENA);
    ap_kept_profile kept;
    bool found = false;
    ap_profile *profile = NULL;
    ap_buf file;
    ap_buf_init(&file, AP_PROFILE_BYTES_MAX);
    ap_status status = ap_book_profile_find(&kept, &found, &arena, book, ap_str_from(name_or_file), err);
    if (status == AP_OK && found) {
        status = ap_profile_read(&profile, kept.text, name_or_file, err);
    } else if (status == AP_OK) {
        FILE *there = fopen(name_or_file, "rb");
        if (there) {
            fclose(there);
            status = ap_file_read(&file, name_or_file, AP_PROFILE_BYTES_MAX, err);
            status = status == AP_OK ? ap_profile_read(&profile, ap_buf_str(&file), name_or_file, err) : status;
        } else {
            status = not_there(&arena, book, name_or_file, err);
        }
    }
    ap_buf_release(&file);
    ap_arena_release(&arena);
    if (status != AP_OK) {
        ap_profile_free(profile);
        return status;
    }
    *out = profile;
    return AP_OK;
}

ap_status ap_profile_load(ap_profile **out, ap_book *book, const char *name_or_file, const ap_plan_rules *rules,
                          ap_error *err) {
    ap_profile *profile = NULL;
    ap_status status = ap_profile_open(&profile, book, name_or_file, err);
    if (status == AP_OK && profile) {
        status = ap_profile_try(profile, book, rules, err);
    }
    if (status != AP_OK) {
        ap_profile_free(profile);
        return status;
    }
    *out = profile;
    return AP_OK;
}

ap_status ap_profiles_kept(ap_profile ***out, size_t *count, ap_book *book, ap_error *err) {
    ap_arena arena;
    ap_kept_profile *kept = NULL;
    size_t all = 0;
    *out = NULL;
    *count = 0;
    ap_arena_init(&arena, KEPT_ARENA);
    ap_status status = ap_book_profiles(&kept, &all, &arena, book, err);
    ap_profile **profiles = status == AP_OK && all ? calloc(all, sizeof *profiles) : NULL;
    if (status == AP_OK && all && !profiles) {
        status = ap_error_set(err, AP_E_MEMORY, "out of memory for the profiles");
    }
    for (size_t i = 0; status == AP_OK && i < all; i++) {
        ap_profile *profile = NULL;
        if (ap_profile_read(&profile, kept[i].text, "kept", NULL) != AP_OK) {
            continue;
        }
        if (profile->kind == AP_PROFILE_TABLE) {
            profiles[(*count)++] = profile;
        } else {
            ap_profile_free(profile);
        }
    }
    ap_arena_release(&arena);
    if (status != AP_OK) {
        free(profiles);
        return status;
    }
    *out = profiles;
    return AP_OK;
}

void ap_profiles_free(ap_profile **profiles, size_t count) {
    for (size_t i = 0; i < count; i++) {
        ap_profile_free(profiles[i]);
    }
    free(profiles);
}
