/* Names, order and comparison of a pick's values. */
#include "book/pick_columns.h"
#include "book/picks.h"

void ap_pick_name_write(ap_buf *out, ap_str job, ap_str part, ap_str pick) {
    ap_buf_append_str(out, job);
    ap_buf_append_char(out, '/');
    if (part.len > 0) {
        ap_buf_append_str(out, part);
        ap_buf_append_char(out, '/');
    }
    ap_buf_append_str(out, pick);
}

/* A run of digits is written behind its length: "9" -> "19", "10" -> "210". Lengths above 9 go on as ':' ';' ..., all below
 * the letters up to 16 digits. */
void ap_natural_key(ap_buf *out, ap_str text) {
    size_t i = 0;
    while (i < text.len) {
        size_t start = i;
        while (i < text.len && text.ptr[i] >= '0' && text.ptr[i] <= '9') {
            i++;
        }
        if (i == start) {
            char byte = text.ptr[i++];
            ap_buf_append_char(out, byte >= 'A' && byte <= 'Z' ? (char)(byte + ('a' - 'A')) : byte);
            continue;
        }
        while (start + 1 < i && text.ptr[start] == '0') {
            start++;
        }
        size_t digits = i - start;
        ap_buf_append_char(out, (char)('0' + (digits < 16 ? digits : 16)));
        ap_buf_append(out, text.ptr + start, digits);
    }
}

static int decimals_of(ap_written written) {
    return written.quantum < 16 ? written.quantum : 4;
}

static void write_quantity(ap_buf *out, double si, ap_dim dim, ap_written written) {
    if (written.unit == AP_UNIT_NONE || written.unit >= AP_UNIT_COUNT) {
        static const ap_unit inside[AP_DIM_COUNT] = {[AP_DIM_LENGTH] = AP_UNIT_M,
                                                     [AP_DIM_LOAD] = AP_UNIT_KG,
                                                     [AP_DIM_ANGLE] = AP_UNIT_DEG,
                                                     [AP_DIM_SHARE] = AP_UNIT_ONE};
        ap_buf_appendf(out, "%.10g", si);
        if (inside[dim] != AP_UNIT_NONE && inside[dim] != AP_UNIT_ONE) {
            ap_buf_appendf(out, " %s", ap_unit_symbol(inside[dim]));
        }
        return;
    }
    ap_unit unit = (ap_unit)written.unit;
    ap_buf_appendf(out, "%.*f", decimals_of(written), ap_unit_from_si(unit, si));
    if (unit != AP_UNIT_ONE) {
        ap_buf_appendf(out, " %s", ap_unit_symbol(unit));
    }
}

void ap_pick_value_write(ap_buf *out, const ap_pick *pick, int column) {
    const ap_field *field = ap_field_get(column);
    const void *value = ap_pick_at_const(pick, column);
    char iso[AP_ISO_SIZE];
    if (ap_pick_field_is_blank(pick, column)) {
        return;
    }
    switch (field->kind) {
    case AP_KIND_TEXT:
        ap_buf_append_str(out, *(const ap_str *)value);
        break;
    case AP_KIND_QTY:
        write_quantity(out, *(const double *)value, field->dim, pick->written[column]);
        break;
    case AP_KIND_WORD: {
        const char *word = ap_word_get(field->vocabulary, *(const int32_t *)value);
        ap_buf_append_cstr(out, word ? word : "");
        break;
    }
    case AP_KIND_MOVES:
        ap_moves_to_text(out, *(const int32_t *)value);
        break;
    case AP_KIND_COUNT:
        ap_buf_appendf(out, "%d", (int)*(const int32_t *)value);
        break;
    case AP_KIND_YESNO:
        ap_buf_append_cstr(out, *(const int32_t *)value == AP_YESNO_YES ? "yes" : "no");
        break;
    case AP_KIND_DATE:
        ap_date_to_iso(iso, *(const ap_date *)value);
        ap_buf_append_cstr(out, iso);
        break;
    case AP_KIND_TIME:
        ap_time_to_iso(iso, *(const ap_time *)value);
        ap_buf_append_cstr(out, iso);
        break;
    }
}

/* Equal to the coarser of the two written precisions: no further apart than half its last digit. The relative slack is for the
 * conversion to SI only. */
static bool same_quantity(double a, double b, ap_written written_a, ap_written written_b) {
    double quantum = fmax(ap_written_quantum_si(written_a), ap_written_quantum_si(written_b));
    double slack = 1e-12 * fmax(fabs(a), fabs(b));
    return fabs(a - b) <= quantum / 2 * (1 + 1e-9) + slack;
}

bool ap_pick_value_same(const ap_pick *a, const ap_pick *b, int column) {
    bool blank_a = ap_pick_field_is_blank(a, column);
    bool blank_b = ap_pick_field_is_blank(b, column);
    if (blank_a || blank_b) {
        return blank_a && blank_b;
    }
    const ap_field *field = ap_field_get(column);
    const void *x = ap_pick_at_const(a, column);
    const void *y = ap_pick_at_const(b, column);
    switch (field->kind) {
    case AP_KIND_TEXT:
        if (column == AP_F_species) {
            return a->species_id == b->species_id;
        }
        if (column == AP_F_job || column == AP_F_pick || column == AP_F_tree) {
            return ap_str_equal_nocase(*(const ap_str *)x, *(const ap_str *)y);
        }
        return ap_str_equal(*(const ap_str *)x, *(const ap_str *)y);
    case AP_KIND_QTY:
        return same_quantity(*(const double *)x, *(const double *)y, a->written[column], b->written[column]);
    default:
        return *(const int32_t *)x == *(const int32_t *)y;
    }
}
