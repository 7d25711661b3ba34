#include "page/number.h"

void ap_number_text(char out[AP_NUMBER_SIZE], double value, int digits, bool marks) {
    out[0] = '\0';
    if (isnan(value)) {
        return;
    }
    if (isinf(value)) {
        snprintf(out, AP_NUMBER_SIZE, "%s", value > 0 ? "infinite" : "-infinite");
        return;
    }
    if (fabs(value) >= 1e15) {
        snprintf(out, AP_NUMBER_SIZE, "%.3e", value);
        return;
    }
    char plain[AP_NUMBER_SIZE];
    int places = digits < 0 ? 0 : digits > 12 ? 12 : digits;
    snprintf(plain, sizeof plain, "%.*f", places, value);
    const char *from = plain;
    bool zero = strspn(plain, "-0.") == strlen(plain);
    if (zero && plain[0] == '-') {
        from++;
    }
    size_t sign = *from == '-' ? 1 : 0;
    size_t whole = strcspn(from + sign, ".");
    size_t to = 0;
    for (size_t i = 0; from[i] != '\0' && to + 2 < AP_NUMBER_SIZE; i++) {
        out[to++] = from[i];
        size_t left = sign + whole - 1 - i;
        if (marks && i >= sign && i + 1 < sign + whole && left % 3 == 0) {
            out[to++] = ',';
        }
    }
    out[to] = '\0';
}

/* "12.0" -> "12" */
static void trim_decimals(char *text) {
    if (!strchr(text, '.') || strchr(text, 'e')) {
        return;
    }
    size_t len = strlen(text);
    while (text[len - 1] == '0') {
        text[--len] = '\0';
    }
    if (text[len - 1] == '.') {
        text[--len] = '\0';
    }
}

ap_unit ap_quantity_unit(ap_unit_system units, ap_dim dim, bool small) {
    return ap_unit_for_page(units, dim, small);
}

double ap_quantity_value(ap_unit_system units, ap_dim dim, bool small, double si) {
    if (dim == AP_DIM_SHARE) {
        return si * 100;
    }
    ap_unit unit = ap_quantity_unit(units, dim, small);
    if (dim == AP_DIM_NONE || unit == AP_UNIT_NONE) {
        return si;
    }
    double base = dim == AP_DIM_FORCE ? si / AP_STANDARD_GRAVITY : si;
    return ap_unit_from_si(unit, base);
}

/* Decimals a log of this trade can carry: dimensions to half an inch or a centimetre, weights to a pound or kilogram. */
static int usual_digits(ap_unit unit, double value) {
    switch (unit) {
    case AP_UNIT_LB:
    case AP_UNIT_KG:
        return fabs(value) < 9.95 && value != 0 ? 1 : 0;
    case AP_UNIT_KN:
    case AP_UNIT_FT3:
    case AP_UNIT_LB_FT3:
    case AP_UNIT_IN:
    case AP_UNIT_FT:
        return 1;
    case AP_UNIT_TONNE:
    case AP_UNIT_M:
    case AP_UNIT_M3:
        return 2;
    default:
        return 0;
    }
}

static const char *unit_word(ap_unit_system units, ap_dim dim, bool small) {
    switch (dim) {
    case AP_DIM_NONE:
        return "";
    case AP_DIM_SHARE:
        return "%";
    case AP_DIM_ANGLE:
        return "°";
    case AP_DIM_VOLUME:
        return units == AP_UNITS_US ? "ft³" : "m³";
    case AP_DIM_DENSITY:
        return units == AP_UNITS_US ? "lb/ft³" : "kg/m³";
    default:
        return ap_unit_symbol(ap_quantity_unit(units, dim, small));
    }
}

static void feet_and_inches(char out[AP_NUMBER_SIZE], double feet) {
    if (!isfinite(feet) || fabs(feet) > 1e9) {
        char number[AP_NUMBER_SIZE];
        ap_number_text(number, feet, 0, true);
        snprintf(out, AP_NUMBER_SIZE, "%.40s ft", number);
        return;
    }
    long long inches = llround(fabs(feet) * 12);
    const char *sign = feet < 0 && inches > 0 ? "-" : "";
    if (inches < 12) {
        snprintf(out, AP_NUMBER_SIZE, "%s%lld in", sign, inches);
        return;
    }
    char whole[AP_NUMBER_SIZE];
    long long feet_only = inches / 12;
    ap_number_text(whole, (double)feet_only, 0, true);
    if (inches % 12 == 0) {
        snprintf(out, AP_NUMBER_SIZE, "%s%.40s ft", sign, whole);
    } else {
        snprintf(out, AP_NUMBER_SIZE, "%s%.40s ft %lld in", sign, whole, inches % 12);
    }
}

static bool is_feet(ap_unit_system units, ap_dim dim, bool small) {
    return dim == AP_DIM_LENGTH && ap_quantity_unit(units, dim, small) == AP_UNIT_FT;
}

double ap_number_about(double value) {
    double most = fabs(value) / 20;
    if (!(most > 0) || !isfinite(most)) {
        return value;
    }
    double ten = pow(10, floor(log10(most) + 1e-12));
    double step = most >= 5 * ten * (1 - 1e-12) ? 5 * ten : ten;
    return step * floor(value / step + 0.5);
}

void ap_quantity_about(char out[AP_NUMBER_SIZE], ap_unit_system units, ap_dim dim, double si) {
    double shown = ap_quantity_value(units, dim, false, 1);
    ap_quantity_text(out, units, dim, false, ap_number_about(si * shown) / shown);
}

void ap_quantity_text(char out[AP_NUMBER_SIZE], ap_unit_system units, ap_dim dim, bool small, double si) {
    out[0] = '\0';
    if (isnan(si)) {
        return;
    }
    double value = ap_quantity_value(units, dim, small, si);
    if (is_feet(units, dim, small)) {
        feet_and_inches(out, value);
        return;
    }
    ap_unit unit = ap_quantity_unit(units, dim, small);
    char number[AP_NUMBER_SIZE];
    ap_number_text(number, value, dim == AP_DIM_NONE ? 2 : usual_digits(unit, value), true);
    if (unit == AP_UNIT_IN || dim == AP_DIM_NONE) {
        trim_decimals(number);
    }
    const char *word = unit_word(units, dim, small);
    snprintf(out, AP_NUMBER_SIZE, "%.40s%s%.16s", number, word[0] == '\0' || dim == AP_DIM_ANGLE ? "" : " ", word);
}

const char *ap_column_unit(ap_unit_system units, const ap_column *column) {
    if (column->kind != AP_CELL_QUANTITY || column->dim == AP_DIM_SHARE || is_feet(units, column->dim, column->small)) {
        return "";
    }
    return unit_word(units, column->dim, column->small);
}

/* 1.05 -> "+5 %". */
static void signed_percent(char out[AP_NUMBER_SIZE], double ratio) {
    double percent = (ratio - 1) * 100;
    char number[AP_NUMBER_SIZE];
    if (isnan(ratio)) {
        return;
    }
    ap_number_text(number, percent, 0, true);
    snprintf(out, AP_NUMBER_SIZE, "%s%.40s %%", percent >= 0.5 ? "+" : "", fabs(percent) < 0.5 ? "0" : number);
}

void ap_cell_text(char out[AP_NUMBER_SIZE], ap_unit_system units, const ap_column *column, const ap_cell *cell) {
    out[0] = '\0';
    double value = cell->value;
    if (cell->text.ptr && ap_cell_is_number(column)) {
        snprintf(out, AP_NUMBER_SIZE, "%.*s", AP_STR_ARG(cell->text));
        return;
    }
    switch (column->kind) {
    case AP_CELL_TEXT:
    case AP_CELL_PICK:
        return;
    case AP_CELL_COUNT:
        ap_number_text(out, value, 0, true);
        return;
    case AP_CELL_NUMBER:
        ap_number_text(out, value, column->digits, true);
        return;
    case AP_CELL_RATIO:
        signed_percent(out, value);
        return;
    case AP_CELL_DATE: {
        char iso[AP_ISO_SIZE];
        ap_date_to_iso(iso, cell->date);
        snprintf(out, AP_NUMBER_SIZE, "%s", iso);
        return;
    }
    case AP_CELL_PERCENT:
    case AP_CELL_QUANTITY:
        break;
    }
    if (isnan(value)) {
        return;
    }
    char number[AP_NUMBER_SIZE];
    if (column->kind == AP_CELL_PERCENT || column->dim == AP_DIM_SHARE) {
        ap_number_text(number, value * 100, column->digits, true);
        snprintf(out, AP_NUMBER_SIZE, "%.40s %%", number);
        return;
    }
    if (is_feet(units, column->dim, column->small)) {
        ap_quantity_text(out, units, column->dim, column->small, value);
        return;
    }
    double shown = ap_quantity_value(units, column->dim, column->small, value);
    shown = column->digits == AP_DIGITS_ABOUT ? ap_number_about(shown) : shown;
    ap_unit unit = ap_quantity_unit(units, column->dim, column->small);
    /* One column, one number of decimals, so that the decimal points stand under each other. */
    int digits = column->digits > 0 ? column->digits : usual_digits(unit, 100);
    ap_number_text(out, shown, digits, true);
}

void ap_cell_plain(char out[AP_NUMBER_SIZE], ap_unit_system units, const ap_column *column, const ap_cell *cell) {
    out[0] = '\0';
    if (column->kind == AP_CELL_DATE) {
        ap_cell_text(out, units, column, cell);
        return;
    }
    double value = cell->value;
    if (column->kind == AP_CELL_PERCENT) {
        value *= 100;
    } else if (column->kind == AP_CELL_QUANTITY) {
        value = ap_quantity_value(units, column->dim, column->small, value);
    }
    if (isfinite(value)) {
        snprintf(out, AP_NUMBER_SIZE, "%.10g", value == 0 ? 0.0 : value);
    }
}

const char *ap_column_plain_unit(ap_unit_system units, const ap_column *column) {
    if (column->kind == AP_CELL_PERCENT) {
        return "percent";
    }
    if (column->kind != AP_CELL_QUANTITY) {
        return "";
    }
    switch (ap_quantity_unit(units, column->dim, column->small)) {
    case AP_UNIT_NONE:
    case AP_UNIT_ONE:
        return column->dim == AP_DIM_SHARE ? "percent" : "";
    case AP_UNIT_DEG:
        return "deg";
    case AP_UNIT_PERCENT:
        return "percent";
    case AP_UNIT_KG_M3:
        return "kg_per_m3";
    case AP_UNIT_LB_FT3:
        return "lb_per_ft3";
    case AP_UNIT_M3:
        return "m3";
    case AP_UNIT_FT3:
        return "ft3";
    default:
        return ap_unit_symbol(ap_quantity_unit(units, column->dim, column->small));
    }
}

ap_str ap_doc_quantity(ap_doc *doc, ap_dim dim, double si, bool small) {
    char text[AP_NUMBER_SIZE];
    ap_quantity_text(text, ap_doc_units(doc), dim, small, si);
    return ap_doc_printf(doc, "%s", text[0] ? text : "not recorded");
}

ap_str ap_doc_about(ap_doc *doc, ap_dim dim, double si) {
    char text[AP_NUMBER_SIZE];
    ap_quantity_about(text, ap_doc_units(doc), dim, si);
    return ap_doc_printf(doc, "%s", text[0] ? text : "not recorded");
}

ap_str ap_doc_unit(const ap_doc *doc, ap_dim dim, bool small) {
    return ap_str_from(unit_word(ap_doc_units(doc), dim, small));
}

ap_str ap_doc_number(ap_doc *doc, double value, int digits) {
    char text[AP_NUMBER_SIZE];
    ap_number_text(text, value, digits, true);
    return ap_doc_printf(doc, "%s", text[0] ? text : "not recorded");
}

ap_str ap_doc_count(ap_doc *doc, double count) {
    return ap_doc_number(doc, count, 0);
}

ap_str ap_doc_percent(ap_doc *doc, double share, int digits) {
    char text[AP_NUMBER_SIZE];
    ap_number_text(text, share * 100, digits, true);
    return text[0] ? ap_doc_printf(doc, "%s %%", text) : ap_doc_printf(doc, "not recorded");
}

ap_str ap_doc_date(ap_doc *doc, ap_date date) {
    char iso[AP_ISO_SIZE];
    ap_date_to_iso(iso, date);
    return ap_doc_printf(doc, "%s", iso[0] ? iso : "not recorded");
}

ap_str ap_doc_printf(ap_doc *doc, const char *format, ...) {
    if (!doc) {
        return AP_STR_NONE;
    }
    enum { SENTENCE_MAX = 1 << 16 };
    ap_buf buf;
    ap_buf_init(&buf, SENTENCE_MAX);
    va_list args;
    va_start(args, format);
    ap_buf_appendv(&buf, format, args);
    va_end(args);
    ap_str text = AP_STR_NONE;
    if (buf.status == AP_OK) {
        text = ap_arena_str(doc->arena, buf.len > 0 ? ap_buf_str(&buf) : AP_STR_LIT(""));
    } else {
        doc->arena->failed = true; /* a sentence is never cut in silence */
    }
    ap_buf_release(&buf);
    return text;
}
