/* What concerns a log as a whole: what every pick needs, the order of dates, marks, tons, and what the rows above say. */
#include "intake/cells.h"
#include "intake/dates.h"
#include "intake/profile_guess_parts.h"

static bool is_whole_answer(ap_guess *g, const char *key, const char *statement) {
    ap_str value = AP_STR_NONE;
    if (!ap_guess_answered(&value, g, "%s", key)) {
        return false;
    }
    if (ap_str_equal_nocase(value, AP_STR_LIT("no"))) {
        return true;
    }
    const size_t begin = ap_guess_begin(g, false);
    ap_buf_appendf(g->out, "%s %.*s", statement, AP_STR_ARG(value));
    ap_guess_why(g, begin, "as answered");
    return true;
}

static void put_order(ap_guess *g) {
    const int column = g->column_of[AP_F_date];
    enum { MDY = 2, DMY = 4 };
    char space[AP_DATE_YEAR_SIZE];
    ap_str both = AP_STR_NONE;
    ap_str undated = AP_STR_NONE;
    int64_t line = 0;
    unsigned only = 0;
    for (size_t i = g->data; i < g->row_count; i++) {
        const ap_str cell = ap_guess_cell(g, i, (size_t)column);
        const ap_str dated = ap_date_orders(cell) ? cell : ap_date_with_year(space, cell, 2000);
        const unsigned orders = ap_date_orders(dated);
        undated = !undated.len && orders && dated.ptr == space ? cell : undated;
        if (orders == MDY || orders == DMY) {
            only |= orders;
            line = g->rows[i].line;
        } else if (orders == (MDY | DMY) && !both.len) {
            both = cell;
        }
    }
    if (undated.len && !is_whole_answer(g, "year", "year")) {
        char shown[AP_QUOTED_SIZE];
        ap_fault_quote(shown, undated);
        const size_t begin = ap_guess_begin(g, true);
        ap_buf_append_cstr(g->out, "year YEAR");
        ap_guess_with(g, false, "year=YEAR");
        ap_guess_why(g, begin, "%s has no year: which year was it?", shown);
    }
    const bool settled = only == MDY || only == DMY;
    if ((!settled && !both.len && !only) || is_whole_answer(g, "dates", "dates")) {
        return;
    }
    const size_t begin = ap_guess_begin(g, !settled);
    ap_buf_appendf(g->out, "dates %s", only == DMY ? "dmy" : "mdy");
    if (settled) {
        ap_guess_why(g, begin, "line %lld can be read in no other way", (long long)line);
        return;
    }
    char shown[AP_QUOTED_SIZE];
    ap_fault_quote(shown, both);
    ap_guess_with(g, false, "dates=mdy");
    ap_guess_with(g, false, "dates=dmy");
    ap_guess_why(g, begin, "%s: month first (mdy) or day first (dmy)?",
                 both.len ? shown : "the dates contradict each other");
}

/* "1.200" alone may be twelve hundred or one and a fifth; so may "1,200" where cells are parted by semicolons, or beside "6,5". */
static void put_decimal(ap_guess *g) {
    ap_str doubtful = AP_STR_NONE;
    ap_decimal_seen seen = {0};
    for (size_t k = 0; k < g->columns; k++) {
        const int field = g->fields[k];
        for (size_t i = g->data; field >= 0 && ap_field_get(field)->kind == AP_KIND_QTY && i < g->row_count; i++) {
            const ap_str cell = ap_guess_cell(g, i, k);
            const int64_t before = seen.comma_groups + seen.point_groups;
            ap_decimal_note(&seen, cell);
            doubtful = seen.comma_groups + seen.point_groups > before && !doubtful.len ? cell : doubtful;
        }
    }
    const bool told =
        seen.points + seen.commas + seen.comma_groups > 0; /* what parts the digits of some number tells of "1.200" */
    const bool asks = ap_decimal_settle(&seen, g->delimiter) == 0 || (seen.point_groups > 0 && !told);
    if (is_whole_answer(g, "decimal", "decimal") || g->workbook || !asks || !doubtful.len) {
        return;
    }
    char shown[AP_QUOTED_SIZE];
    ap_fault_quote(shown, doubtful);
    const bool comma = memchr(doubtful.ptr, ',', doubtful.len) != NULL;
    const size_t begin = ap_guess_begin(g, true);
    ap_buf_append_cstr(g->out, "decimal point");
    ap_guess_with(g, false, "decimal=comma");
    ap_guess_with(g, false, "decimal=point");
    ap_guess_why(g, begin, "%s: does the %s part thousands (decimal %s) or a fraction (decimal %s)?", shown,
                 comma ? "comma" : "point", comma ? "point" : "comma", comma ? "comma" : "point");
}

/* "Job: J310 maple row" or "Job" and its text in the next cell, above the header: the text. */
static ap_str said_above(const ap_guess *g, int field, int64_t *line) {
    for (size_t i = 0; !g->no_header && i < g->header && i < g->row_count; i++) {
        for (size_t k = 0; k < g->rows[i].count; k++) {
            ap_str rest = AP_STR_NONE;
            ap_str cell = ap_guess_cell(g, i, k);
            const bool parted = cell.len && memchr(cell.ptr, ':', cell.len);
            const ap_str label = ap_str_trim(ap_str_split(cell, ':', &rest));
            int meant = -1;
            ap_header_sense sense = AP_SENSE_NONE;
            ap_arena scratch;
            ap_arena_init(&scratch, 1u << 16);
            const bool known = label.len && ap_header_sense_of(&meant, &sense, &scratch, g->book, label, NULL) == AP_OK;
            ap_arena_release(&scratch);
            if (!known || meant != field || sense == AP_SENSE_NEAR) {
                continue;
            }
            rest = parted ? ap_str_trim(rest) : AP_STR_NONE;
            for (size_t n = k + 1; !rest.len && n < g->rows[i].count; n++) {
                rest = ap_guess_cell(g, i, n);
            }
            *line = g->rows[i].line;
            if (rest.len) {
                return rest;
            }
        }
    }
    return AP_STR_NONE;
}

/* "J310 maple row": a job's number stands first. */
static ap_str code_of(ap_str text) {
    ap_str rest;
    const ap_str first = ap_str_split(text, ' ', &rest);
    for (size_t i = 0; i < first.len; i++) {
        if (first.ptr[i] >= '0' && first.ptr[i] <= '9') {
            return first;
        }
    }
    return text;
}

/* No column numbers the picks. */
static void put_count(ap_guess *g) {
    const size_t begin = ap_guess_begin(g, true);
    ap_buf_append_cstr(g->out, "count picks each day");
    ap_guess_subject(g, "pick");
    ap_guess_with(g, true, "pick=count");
    if (g->columns) {
        ap_guess_with(g, false, "COLUMN=pick");
    }
    ap_guess_why(g, begin,
                 "nothing numbers the picks: are they counted for each job and day, in the order of the log? Add "
                 "later rows at the end then, or the numbers shift");
}

static void put_constant(ap_guess *g, int field, bool needed) {
    const char *name = ap_field_get(field)->name;
    ap_str value = AP_STR_NONE;
    int64_t line = 0;
    if (g->column_of[field] >= 0) {
        return;
    }
    if (ap_guess_answered(&value, g, "%s", name)) {
        const size_t begin = ap_guess_begin(g, false);
        if (field == AP_F_pick && ap_str_equal_nocase(value, AP_STR_LIT("count"))) {
            ap_buf_append_cstr(g->out, "count picks each day");
            ap_guess_why(g, begin, "as answered");
        } else if (!ap_str_equal_nocase(value, AP_STR_LIT("no"))) {
            ap_buf_appendf(g->out, "constant %s = ", name);
            ap_guess_quote(g->out, value);
            ap_guess_why(g, begin, "as answered");
        }
        return;
    }
    const ap_str above = said_above(g, field, &line);
    if (!needed && !above.len) {
        return;
    }
    if (field == AP_F_pick) {
        put_count(g);
        return;
    }
    const ap_str proposal = field == AP_F_job ? code_of(above) : above;
    const size_t begin = ap_guess_begin(g, true);
    ap_buf_appendf(g->out, "constant %s = ", name);
    ap_guess_subject(g, "%s", name);
    if (above.len) {
        char shown[AP_QUOTED_SIZE];
        ap_guess_quote(g->out, proposal);
        ap_fault_quote(shown, above);
        ap_guess_with(g, true, "%s=%.*s", name, AP_STR_ARG(proposal));
        if (!needed) {
            ap_guess_with(g, false, "%s=no", name);
        }
        ap_guess_why(g, begin, "line %lld, above the header, says %s: does it hold for every row?", (long long)line,
                     shown);
        return;
    }
    for (size_t i = 0; i < g->columns; i++) {
        const bool may = g->shapes[i].field == field ||
                         (field == AP_F_job && g->shapes[i].shape == AP_SHAPE_TEXT && g->shapes[i].repeats);
        if (g->fields[i] < 0 && !g->passed[i] && may) {
            ap_guess_with(g, false, "%zu=%s", i + 1, name);
        }
    }
    if (g->columns) {
        ap_guess_with(g, false, "COLUMN=%s", name);
    }
    if (field == AP_F_job && g->told->kind == AP_GUESS_WORDS) {
        ap_guess_with(g, false, "job=J310");
        ap_guess_why(g, begin,
                     "no word such as 'job H7' or 'J88' names it: one value for the whole log; or write 'job H7' in "
                     "the log, on a line above its picks, and guess again");
        return;
    }
    ap_guess_with(g, false, "%s=%s", name, field == AP_F_job ? "J310" : field == AP_F_date ? "2026-10-05" : "TEXT");
    ap_guess_why(g, begin, "every pick needs it: a column -> %s, or one value for the whole log", name);
}

static void need_weight(ap_guess *g) {
    if (g->column_of[AP_F_planned_weight] >= 0 || g->column_of[AP_F_measured_weight] >= 0) {
        return;
    }
    for (size_t i = 0; i < g->columns; i++) {
        if (g->shapes[i].shape == AP_SHAPE_WEIGHT && g->fields[i] < 0 && !g->passed[i]) {
            return; /* it is asked for by its column */
        }
    }
    const size_t begin = ap_guess_begin(g, true);
    ap_buf_append_cstr(g->out, "column \"\" -> planned_weight");
    ap_guess_with(g, false, "COLUMN=planned_weight");
    ap_guess_with(g, false, "COLUMN=measured_weight");
    ap_guess_why(g, begin, "which column is the planned weight, which the measured one?");
}

static void put_carry(ap_guess *g) {
    static const int fields[] = {AP_F_job, AP_F_date, AP_F_site, AP_F_crew, AP_F_crane, AP_F_tree};
    ap_buf list;
    int64_t line = 0;
    ap_buf_init(&list, 512);
    const int pick = g->column_of[AP_F_pick];
    const int species = g->column_of[AP_F_species];
    for (size_t f = 0; f < sizeof fields / sizeof *fields; f++) {
        const int column = g->column_of[fields[f]];
        bool above = false;
        bool below = false;
        for (size_t i = g->data; column >= 0 && i < g->row_count && !below; i++) {
            const bool row = (pick >= 0 && ap_guess_cell(g, i, (size_t)pick).len) ||
                             (species >= 0 && ap_guess_cell(g, i, (size_t)species).len);
            const bool filled = ap_guess_cell(g, i, (size_t)column).len > 0;
            below = above && row && !filled;
            above = above || filled;
            line = below && !line ? g->rows[i].line : line;
        }
        /* A tree or a crew that is left out is not recorded; a job or a day that is left out stands above. */
        if (below && (fields[f] == AP_F_job || fields[f] == AP_F_date || list.len)) {
            ap_buf_appendf(&list, "%s%s", list.len ? "," : "", ap_field_get(fields[f])->name);
        }
    }
    if (list.len && !is_whole_answer(g, "carry", "carry")) {
        const size_t begin = ap_guess_begin(g, true);
        ap_buf_appendf(g->out, "carry %.*s", AP_STR_ARG(ap_buf_str(&list)));
        ap_guess_with(g, true, "carry=%.*s", AP_STR_ARG(ap_buf_str(&list)));
        ap_guess_with(g, false, "carry=no");
        ap_guess_why(g, begin, "blank on line %lld: does what stands above hold there too (a merged cell)?",
                     (long long)line);
    }
    ap_buf_release(&list);
}

/* The cell, or the one above it that it stands under (a merged cell). */
static ap_str cell_or_above(const ap_guess *g, size_t row, int column) {
    for (size_t i = row + 1; column >= 0 && column < AP_GUESS_CELLS && i > g->data; i--) {
        const ap_str cell = ap_guess_cell(g, i - 1, (size_t)column);
        if (cell.len) {
            return cell;
        }
    }
    return AP_STR_NONE;
}

/* Where the numbers of picks may start anew, in the order in which they are thought of. */
static const struct restart {
    int field;
    const char *word;
    const char *says;
} restarts[] = {
    {AP_F_date, "day", "on two days"},
    {AP_F_tree, "tree", "in two trees"},
    {AP_F_crew, "crew", "of two crews"},
    {AP_F_crane, "crane", "under two cranes"},
};
enum { RESTARTS = sizeof restarts / sizeof *restarts };

/* Have both rows the field, and not the same? */
static bool differs(const ap_guess *g, int field, size_t one, size_t other) {
    const int column = g->column_of[field];
    const ap_str a = cell_or_above(g, one, column);
    const ap_str b = cell_or_above(g, other, column);
    return column >= 0 && a.len && b.len && !ap_str_equal_nocase(a, b);
}

/* Rows of one job and number; the first two, and how many of such pairs each field tells apart. */
static size_t count_same(const ap_guess *g, size_t told[RESTARTS], size_t first[RESTARTS][2]) {
    const int pick = g->column_of[AP_F_pick];
    const int job = g->column_of[AP_F_job];
    size_t pairs = 0;
    for (size_t i = g->data; pick >= 0 && i < g->row_count; i++) {
        const ap_str number = ap_guess_cell(g, i, (size_t)pick);
        for (size_t k = g->data; number.len && k < i; k++) {
            if (!ap_str_equal(number, ap_guess_cell(g, k, (size_t)pick)) ||
                !ap_str_equal(cell_or_above(g, i, job), cell_or_above(g, k, job))) {
                continue;
            }
            pairs++;
            for (size_t r = 0; r < RESTARTS; r++) {
                if (differs(g, restarts[r].field, k, i) && told[r]++ == 0) {
                    first[r][0] = k;
                    first[r][1] = i;
                }
            }
        }
    }
    return pairs;
}

/* One number twice in a job: the field that tells most such rows apart, the day where others do no better. */
static void put_restart(ap_guess *g) {
    size_t told[RESTARTS] = {0};
    size_t first[RESTARTS][2];
    size_t best = 0;
    const size_t pairs = g->same_sheets ? 0 : count_same(g, told, first);
    for (size_t r = 1; r < RESTARTS; r++) {
        best = told[r] > told[best] ? r : best;
    }
    if (pairs == 0 || told[best] == 0 || is_whole_answer(g, "numbers", "numbers restart each")) {
        return;
    }
    const size_t begin = ap_guess_begin(g, true);
    ap_buf_appendf(g->out, "numbers restart each %s", restarts[best].word);
    ap_guess_with(g, true, "numbers=%s", restarts[best].word);
    ap_guess_with(g, false, "numbers=no");
    ap_guess_why(g, begin, "lines %lld and %lld have one number %s: take it out if they are one pick",
                 (long long)g->rows[first[best][0]].line, (long long)g->rows[first[best][1]].line, restarts[best].says);
}

static void put_weighed_as(ap_guess *g) {
    if (g->column_of[AP_F_measured_weight] < 0 || g->column_of[AP_F_measured_as] >= 0 ||
        is_whole_answer(g, "measured_as", "measured_as") || g->options->settings->weighed_as != 0) {
        return;
    }
    const size_t begin = ap_guess_begin(g, true);
    ap_buf_append_cstr(g->out, "measured_as gross");
    ap_guess_with(g, false, "measured_as=gross");
    ap_guess_with(g, false, "measured_as=net");
    ap_guess_why(g, begin,
                 "was the block and the slings on it (gross), or only the piece, as where the indicator was set to "
                 "zero with the block hanging (net)?");
}

void ap_guess_needed(ap_guess *g) {
    static const int needed[] = {AP_F_job, AP_F_date, AP_F_pick, AP_F_species};
    static const int others[] = {AP_F_site, AP_F_crew, AP_F_crane, AP_F_operator, AP_F_climber, AP_F_estimator};
    if (g->column_of[AP_F_date] >= 0) {
        put_order(g);
    }
    for (size_t i = 0; i < sizeof needed / sizeof *needed; i++) {
        put_constant(g, needed[i], true);
    }
    for (size_t i = 0; i < sizeof others / sizeof *others; i++) {
        put_constant(g, others[i], false);
    }
    if (g->told->kind != AP_GUESS_WORDS) {
        need_weight(g);
    }
    put_weighed_as(g);
    if (g->ton_text.len && !is_whole_answer(g, "ton", "ton") && g->options->settings->ton == 0) {
        char shown[AP_QUOTED_SIZE];
        ap_fault_quote(shown, g->ton_text);
        const size_t begin = ap_guess_begin(g, true);
        ap_buf_append_cstr(g->out, "ton short");
        ap_guess_with(g, false, "ton=short");
        ap_guess_with(g, false, "ton=long");
        ap_guess_with(g, false, "ton=tonne");
        ap_guess_why(g, begin, "%s: short (2,000 lb), long (2,240 lb) or tonne (1,000 kg)?", shown);
    }
    if (g->told->kind != AP_GUESS_WORDS) {
        put_decimal(g);
        put_carry(g);
        put_restart(g);
    }
}
