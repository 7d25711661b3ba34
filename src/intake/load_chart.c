#include "intake/load_chart.h"

#include "text/delimited.h"
#include "text/quantity.h"

enum { COLUMNS_MAX = 200, SHOWN = 60 };
#define LONGEST_M 300.0       /* no mobile crane has a boom of that length */
#define HEAVIEST_KG 3000000.0 /* nor lifts that */
#define RISE_IMPOSSIBLE 1.5   /* common practice, no source */

typedef struct chart_row {
    ap_capacity_row row;
    int64_t line;
    size_t cell;
} chart_row;

typedef struct reader {
    const char *file;
    const ap_load_chart_options *options;
    ap_arena *arena;
    ap_load_chart *out;
    ap_delimited *rows;
    chart_row found[AP_LOAD_CHART_ROWS_MAX];
    size_t count;
    bool long_table;
    /* Long table: where the columns stand; SIZE_MAX = there is none. */
    size_t boom_at, radius_at, capacity_at;
    size_t columns;
    ap_unit units[COLUMNS_MAX]; /* of bare numbers in a column; grid: [0] radius, the others capacity */
    double boom_m[COLUMNS_MAX]; /* grid: the length over a column */
    bool wanted[COLUMNS_MAX];   /* grid: the column has a length over it */
} reader;

static ap_str shown(ap_str cell) {
    cell.len = cell.len < SHOWN ? cell.len : SHOWN;
    while (cell.len > 0 && ((unsigned char)cell.ptr[cell.len - 1] & 0xC0u) == 0x80u) {
        cell.len--;
    }
    return cell;
}

static ap_status refuse(const reader *r, int64_t line, size_t cell, ap_str text, const char *reason, const char *remedy,
                        ap_error *err) {
    return ap_error_set(err, AP_E_INPUT, "'%s' line %lld, cell %zu, '%.*s': %s; %s", r->file, (long long)line, cell + 1,
                        AP_STR_ARG(shown(text)), reason, remedy);
}

/* A capacity or length above zero. */
static ap_status read_value(double *out, const reader *r, const ap_row *row, size_t cell, ap_dim dim, ap_unit unit,
                            ap_error *err) {
    ap_str text = ap_str_trim(row->cells[cell]);
    ap_unit bare = dim == AP_DIM_LENGTH ? r->options->bare_length : r->options->bare_load;
    ap_quantity_rules rules = {.dim = dim, .default_unit = unit ? unit : bare, .ton = r->options->ton, .decimal = '.'};
    ap_quantity quantity;
    ap_refusal why;
    if (!ap_quantity_read(&quantity, text, &rules, &why)) {
        return refuse(r, row->line, cell, text, why.reason, why.remedy, err);
    }
    double most = dim == AP_DIM_LENGTH ? LONGEST_M : HEAVIEST_KG;
    if (!(quantity.value > 0) || !(quantity.value <= most)) {
        return refuse(r, row->line, cell, text,
                      dim == AP_DIM_LENGTH ? "no length of a crane (above 0, at most 300 m)"
                                           : "no capacity (above 0, at most 3,000 tonnes)",
                      dim == AP_DIM_LENGTH ? "write the radius or boom length as the chart has it"
                                           : "leave the cell empty where the chart has no capacity",
                      err);
    }
    *out = quantity.value;
    return AP_OK;
}

static bool has_word(ap_str text, const char *word) {
    size_t len = strlen(word);
    for (size_t i = 0; i + len <= text.len; i++) {
        if (ap_str_equal_nocase((ap_str){text.ptr + i, len}, (ap_str){word, len})) {
            return true;
        }
    }
    return false;
}

/* The unit of a header must fit what stands under it. */
static ap_unit unit_of(ap_str *name, ap_str header, ap_dim dim) {
    ap_unit unit = ap_header_split_unit(name, header);
    return unit && ap_unit_dim(unit) == dim ? unit : AP_UNIT_NONE;
}

static bool take_long_header(reader *r, const ap_row *row) {
    r->boom_at = r->radius_at = r->capacity_at = SIZE_MAX;
    for (size_t i = 0; i < row->count; i++) {
        ap_str name;
        ap_str header = ap_str_trim(row->cells[i]);
        (void)ap_header_split_unit(&name, header);
        bool capacity = has_word(name, "capacity") || has_word(name, "load") || has_word(name, "rated");
        if (capacity && r->capacity_at == SIZE_MAX) {
            r->capacity_at = i;
            r->units[i] = unit_of(&name, header, AP_DIM_LOAD);
        } else if (has_word(name, "radius") && r->radius_at == SIZE_MAX) {
            r->radius_at = i;
            r->units[i] = unit_of(&name, header, AP_DIM_LENGTH);
        } else if (has_word(name, "boom") && r->boom_at == SIZE_MAX) {
            r->boom_at = i;
            r->units[i] = unit_of(&name, header, AP_DIM_LENGTH);
        }
    }
    r->long_table = r->radius_at != SIZE_MAX && r->capacity_at != SIZE_MAX;
    return r->long_table;
}

static ap_status take_grid_header(reader *r, const ap_row *row, ap_error *err) {
    ap_str name;
    ap_str first = ap_str_trim(row->cells[0]);
    if (!has_word(first, "radius")) {
        return refuse(r, row->line, 0, first, "this is no load chart",
                      "head the columns 'boom_ft,radius_ft,capacity_lb', or 'radius_ft' and then one boom length a "
                      "column",
                      err);
    }
    memset(r->units, 0, sizeof r->units);
    /* "radius (ft), capacity (lb)" or "radius_ft / lb": the corner may say both units. */
    ap_unit load = AP_UNIT_NONE;
    for (size_t at = 0, end = 0; at < first.len; at = end + 1) {
        for (end = at; end < first.len && !strchr(",;/\\", first.ptr[end]); end++) {
        }
        ap_str part = {first.ptr + at, end - at};
        ap_unit length = unit_of(&name, part, AP_DIM_LENGTH);
        r->units[0] = r->units[0] ? r->units[0] : length;
        load = load ? load : unit_of(&name, part, AP_DIM_LOAD);
    }
    for (size_t i = 1; i < row->count; i++) {
        r->units[i] = load;
    }
    ap_status status = AP_OK;
    size_t lengths = 0;
    for (size_t i = 1; status == AP_OK && i < row->count; i++) {
        r->wanted[i] = !ap_str_is_blank(row->cells[i]);
        if (r->wanted[i]) {
            status = read_value(&r->boom_m[i], r, row, i, AP_DIM_LENGTH, r->units[0], err);
            lengths++;
        }
        for (size_t k = 1; status == AP_OK && r->wanted[i] && k < i; k++) {
            if (r->wanted[k] && fabs(r->boom_m[k] - r->boom_m[i]) <= 1e-9 * r->boom_m[i]) {
                return refuse(r, row->line, i, row->cells[i], "this boom length stands over two columns",
                              "keep one column a boom length", err);
            }
        }
    }
    if (status == AP_OK && lengths == 0) {
        return refuse(r, row->line, 0, first, "no boom length stands beside it",
                      "write one boom length over each column of capacities", err);
    }
    return status;
}

static ap_status add(reader *r, double boom_m, double radius_m, double capacity_kg, int64_t line, size_t cell,
                     ap_error *err) {
    if (r->count == AP_LOAD_CHART_ROWS_MAX) {
        return ap_error_set(err, AP_E_LIMIT, "'%s' has more than %d capacities: that is no crane's load chart", r->file,
                            (int)AP_LOAD_CHART_ROWS_MAX);
    }
    r->found[r->count++] = (chart_row){{boom_m, radius_m, capacity_kg}, line, cell};
    return AP_OK;
}

/* What charts print where nothing may be lifted. */
static bool is_nothing(ap_str cell) {
    cell = ap_str_trim(cell);
    return cell.len == 0 || ap_str_equal_word(cell, "-") || ap_str_equal_word(cell, "--") ||
           ap_str_equal_word(cell, "\xE2\x80\x93") || ap_str_equal_word(cell, "\xE2\x80\x94") ||
           ap_str_equal_nocase(cell, AP_STR_LIT("n/a"));
}

static ap_status take_long_row(reader *r, const ap_row *row, ap_error *err) {
    double boom = NAN;
    double radius = NAN;
    double capacity = NAN;
    size_t last = r->radius_at > r->capacity_at ? r->radius_at : r->capacity_at;
    if (row->count <= last) {
        return refuse(r, row->line, row->count - 1, row->cells[row->count - 1], "the row ends before its capacity",
                      "write radius and capacity on every row", err);
    }
    ap_status status = read_value(&radius, r, row, r->radius_at, AP_DIM_LENGTH, r->units[r->radius_at], err);
    if (status == AP_OK && r->boom_at < row->count && !ap_str_is_blank(row->cells[r->boom_at])) {
        status = read_value(&boom, r, row, r->boom_at, AP_DIM_LENGTH, r->units[r->boom_at], err);
    }
    if (status == AP_OK) {
        status = read_value(&capacity, r, row, r->capacity_at, AP_DIM_LOAD, r->units[r->capacity_at], err);
    }
    return status == AP_OK ? add(r, boom, radius, capacity, row->line, r->capacity_at, err) : status;
}

static ap_status take_grid_row(reader *r, const ap_row *row, ap_error *err) {
    double radius = NAN;
    ap_status status = read_value(&radius, r, row, 0, AP_DIM_LENGTH, r->units[0], err);
    for (size_t i = 1; status == AP_OK && i < row->count; i++) {
        if (is_nothing(row->cells[i])) {
            continue;
        }
        double capacity = NAN;
        if (i >= r->columns || !r->wanted[i]) {
            return refuse(r, row->line, i, row->cells[i], "no boom length stands over it",
                          "write the boom length in the first row", err);
        }
        status = read_value(&capacity, r, row, i, AP_DIM_LOAD, r->units[i], err);
        if (status == AP_OK) {
            status = add(r, r->boom_m[i], radius, capacity, row->line, i, err);
        }
    }
    return status;
}

static bool is_remark(const ap_row *row) {
    bool blank = true;
    for (size_t i = 0; i < row->count; i++) {
        blank = blank && ap_str_is_blank(row->cells[i]);
    }
    return blank || (row->cells[0].len && row->cells[0].ptr[0] == '#');
}

static ap_status take_row(reader *r, const ap_row *row, bool *headed, ap_error *err) {
    if (is_remark(row)) {
        return AP_OK;
    }
    if (row->trouble) {
        return ap_error_set(err, AP_E_INPUT, "'%s' line %lld: %s", r->file, (long long)row->line, row->trouble);
    }
    if (*headed) {
        return r->long_table ? take_long_row(r, row, err) : take_grid_row(r, row, err);
    }
    *headed = true;
    if (row->count > COLUMNS_MAX) {
        return ap_error_set(err, AP_E_LIMIT, "'%s' has more than %d columns: that is no crane's load chart", r->file,
                            (int)COLUMNS_MAX);
    }
    r->columns = row->count;
    return take_long_header(r, row) ? AP_OK : take_grid_header(r, row, err);
}

static double boom_order(double boom_m) {
    return isnan(boom_m) ? 0 : boom_m;
}

static int by_boom_and_radius(const void *a, const void *b) {
    const chart_row *x = a;
    const chart_row *y = b;
    double boom_x = boom_order(x->row.boom_m);
    double boom_y = boom_order(y->row.boom_m);
    if (boom_x != boom_y) {
        return boom_x < boom_y ? -1 : 1;
    }
    if (x->row.radius_m != y->row.radius_m) {
        return x->row.radius_m < y->row.radius_m ? -1 : 1;
    }
    return (x->line > y->line) - (x->line < y->line);
}

static bool same(double a, double b) {
    return fabs(a - b) <= 1e-9 * fmax(fabs(a), fabs(b));
}

static void warn(reader *r, ap_str says) {
    if (r->out->warning_count < AP_LOAD_CHART_WARNINGS_MAX) {
        r->out->warnings[r->out->warning_count] = says;
    }
    r->out->warning_count++;
}

/* A row against the one before it of the same boom. */
static ap_status check_pair(reader *r, const chart_row *before, const chart_row *here, ap_error *err) {
    if (same(before->row.radius_m, here->row.radius_m)) {
        return ap_error_set(err, AP_E_INPUT,
                            "'%s' lines %lld and %lld give a capacity for the same boom and radius; keep one of them",
                            r->file, (long long)before->line, (long long)here->line);
    }
    double rise = here->row.capacity_kg / before->row.capacity_kg;
    if (rise > RISE_IMPOSSIBLE) {
        return ap_error_set(err, AP_E_INPUT,
                            "'%s' line %lld, cell %zu: the capacity is %.2f times that of the shorter radius on line "
                            "%lld; no chart rises so: look for a missing digit in either",
                            r->file, (long long)here->line, here->cell + 1, rise, (long long)before->line);
    }
    if (rise > 1 + 1e-9) {
        warn(r, ap_arena_printf(r->arena,
                                "line %lld, cell %zu: the capacity rises by %.1f %% over the shorter radius on line "
                                "%lld; look at the chart in the cab",
                                (long long)here->line, here->cell + 1, 100 * (rise - 1), (long long)before->line));
    }
    return AP_OK;
}

static ap_status judge(reader *r, ap_error *err) {
    if (r->count == 0) {
        return ap_error_set(err, AP_E_INPUT, "'%s' holds no capacity: a load chart needs rows under its header",
                            r->file);
    }
    qsort(r->found, r->count, sizeof r->found[0], by_boom_and_radius);
    ap_status status = AP_OK;
    r->out->booms = 1;
    for (size_t i = 1; status == AP_OK && i < r->count; i++) {
        const chart_row *before = &r->found[i - 1];
        const chart_row *here = &r->found[i];
        if (isnan(before->row.boom_m) != isnan(here->row.boom_m)) {
            status = ap_error_set(
                err, AP_E_INPUT, "'%s' line %lld has no boom length and others have; write one on every row or on none",
                r->file, (long long)before->line);
        } else if (isnan(here->row.boom_m) || same(before->row.boom_m, here->row.boom_m)) {
            status = check_pair(r, before, here, err);
        } else {
            r->out->booms++;
        }
    }
    for (size_t i = 0; status == AP_OK && i < r->count; i++) {
        const chart_row *here = &r->found[i];
        if (here->row.radius_m > here->row.boom_m * (1 + 1e-9)) {
            warn(r, ap_arena_printf(r->arena, "line %lld, cell %zu: the radius is longer than the boom",
                                    (long long)here->line, here->cell + 1));
        }
    }
    return status;
}

static ap_status read_rows(reader *r, ap_error *err) {
    ap_row row;
    bool more = true;
    bool headed = false;
    ap_status status = AP_OK;
    while (status == AP_OK && more) {
        status = ap_delimited_next(&row, &more, r->rows, err);
        if (status == AP_OK && more) {
            status = take_row(r, &row, &headed, err);
        }
    }
    return status;
}

ap_status ap_load_chart_read(ap_load_chart *out, ap_arena *arena, ap_str text, const char *file,
                             const ap_load_chart_options *options, ap_error *err) {
    *out = (ap_load_chart){0};
    ap_str rest = text;
    const char *kind = ap_text_kind_of_file(text);
    if (kind) {
        return ap_error_set(err, AP_E_INPUT, "'%s' is %s: save the load chart as CSV", file, kind);
    }
    reader *r = calloc(1, sizeof *r);
    if (!r) {
        return ap_error_set(err, AP_E_MEMORY, "out of memory for the load chart");
    }
    r->file = file;
    r->options = options;
    r->arena = arena;
    r->out = out;
    ap_status status = ap_delimited_new(&r->rows, ap_read_from_str, &rest, NULL, err);
    if (status == AP_OK) {
        status = read_rows(r, err);
    }
    if (status == AP_OK) {
        status = judge(r, err);
    }
    if (status == AP_OK) {
        out->rows = ap_arena_alloc_array(arena, r->count, sizeof *out->rows);
        status = out->rows ? AP_OK : ap_error_set(err, AP_E_MEMORY, "out of memory for the load chart");
    }
    for (size_t i = 0; status == AP_OK && i < r->count; i++) {
        out->rows[out->count++] = r->found[i].row;
    }
    ap_delimited_free(r->rows);
    free(r);
    return status == AP_OK ? ap_arena_check(arena, "the load chart", err) : status;
}
