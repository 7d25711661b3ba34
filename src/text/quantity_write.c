/* A quantity as text, the reader's other half. What was logged is the text, what is stored is a double in SI with the unit and the
 * last digit of the text: several texts give the same double, many give one beside it. So a text is proposed and the reader asked
 * what it makes of it, until one comes back as it went out.
 *
 *   W1 As it was written: the number in its unit to its last digit.
 *   W2 What the reader makes of two numbers is another double than what it makes of one: 18 ft 6 in is not always 222 in.
 *   W3 More digits than were written say more than was known, but the value is the same: only where W1 and W2 fail.
 */
#include "text/quantity_parts.h"

enum { DECIMALS_MOST = 36, DIGITS_MOST = 40, NUMBER_SIZE = 400 };

typedef struct proposal {
    ap_buf *out;
    size_t start; /* of the text in `out` */
    double value;
    ap_quantity_rules rules;
    ap_written written;
} proposal;

static ap_buf *propose(proposal *it) {
    it->out->len = it->start;
    if (it->value < 0) {
        ap_buf_append_char(it->out, '-');
    }
    return it->out;
}

static bool comes_back(const proposal *it, bool same_digit) {
    const ap_str text = {it->out->ptr + it->start, it->out->len - it->start};
    ap_quantity got;
    return it->out->status == AP_OK && ap_quantity_read(&got, text, &it->rules, NULL) && got.value == it->value &&
           (!same_digit || (got.written.unit == it->written.unit && got.written.quantum == it->written.quantum));
}

static void put_unit(ap_buf *out, ap_unit unit) {
    const char *symbol = ap_unit_symbol(unit);
    ap_buf_appendf(out, "%s%s", *symbol ? " " : "", symbol);
}

/* Up to nine decimals and digits that fit go by whole numbers, printf being slower. */
static void put_number(ap_buf *out, double number, int decimals) {
    static const double powers[] = {1, 1e1, 1e2, 1e3, 1e4, 1e5, 1e6, 1e7, 1e8, 1e9};
    if (decimals > 9 || !(number * powers[decimals] < 1e15)) {
        ap_buf_appendf(out, "%.*f", decimals, number);
        return;
    }
    char text[32];
    size_t at = sizeof text;
    long long digits = llround(number * powers[decimals]);
    for (int i = 0; i <= decimals || digits > 0; i++) {
        if (i == decimals && i > 0) {
            text[--at] = '.';
        }
        text[--at] = (char)('0' + digits % 10);
        digits /= 10;
    }
    ap_buf_append(out, text + at, sizeof text - at);
}

static bool plain(proposal *it, ap_unit unit, int decimals, bool same_digit) {
    ap_buf *out = propose(it);
    put_number(out, fabs(ap_unit_from_si(unit, it->value)), decimals);
    if (unit != it->rules.default_unit) {
        put_unit(out, unit);
    }
    return comes_back(it, same_digit);
}

/* "6 1/2", "1/2", "6"; false where `parts` make no fraction of it. */
static bool put_fraction(ap_buf *out, double number, double parts) {
    double whole = floor(number);
    const double over = round((number - whole) * parts);
    if (over < 1 || over >= parts) {
        return false;
    }
    if (whole > 0) {
        ap_buf_appendf(out, "%.0f ", whole);
    }
    ap_buf_appendf(out, "%.0f/%.0f", over, parts);
    return true;
}

/* The last part of a text: to the digit or the fraction it was written in. */
static bool put_last(ap_buf *out, double number, uint8_t quantum, bool thirds) {
    if (quantum < 16) {
        ap_buf_appendf(out, "%.*f", (int)quantum, number);
        return true;
    }
    return quantum > 32 && quantum < 64 && put_fraction(out, number, thirds ? 3 : ldexp(1.0, quantum - 32));
}

static bool fraction(proposal *it, bool thirds) {
    const ap_unit unit = (ap_unit)it->written.unit;
    ap_buf *out = propose(it);
    if (it->written.quantum < 16 ||
        !put_last(out, fabs(ap_unit_from_si(unit, it->value)), it->written.quantum, thirds)) {
        return false;
    }
    put_unit(out, unit); /* also where a bare number means it: a spreadsheet makes a day of a bare 1/2 */
    return comes_back(it, true);
}

static bool compound(proposal *it, ap_unit major, double ratio, bool thirds) {
    const ap_unit minor = (ap_unit)it->written.unit;
    const double number = fabs(ap_unit_from_si(minor, it->value));
    const double whole = floor(number / ratio + 1e-9);
    ap_buf *out = propose(it);
    ap_buf_appendf(out, "%.0f", whole);
    put_unit(out, major);
    ap_buf_append_char(out, ' ');
    if (whole < 1 || !put_last(out, fmax(number - whole * ratio, 0), it->written.quantum, thirds)) {
        return false;
    }
    put_unit(out, minor);
    return comes_back(it, true);
}

static bool as_written(proposal *it) {
    const ap_unit unit = (ap_unit)it->written.unit;
    if (unit == AP_UNIT_NONE || unit >= AP_UNIT_COUNT) {
        return false;
    }
    if (it->written.quantum < 16 && plain(it, unit, it->written.quantum, true)) {
        return true;
    }
    const bool halves = it->written.quantum == 33; /* thirds are read to the half they lie within */
    if (fraction(it, false) || (halves && fraction(it, true))) {
        return true;
    }
    for (int major = AP_UNIT_NONE + 1; major < AP_UNIT_COUNT; major++) {
        const double ratio = ap_compound_ratio((ap_unit)major, unit);
        if (ratio > 0 &&
            (compound(it, (ap_unit)major, ratio, false) || (halves && compound(it, (ap_unit)major, ratio, true)))) {
            return true;
        }
    }
    return false;
}

/* Decimals from few to as many as a number may have. */
static bool in_digits(proposal *it, ap_unit unit) {
    if (unit == AP_UNIT_NONE || unit >= AP_UNIT_COUNT) {
        return false;
    }
    for (int decimals = 0; decimals <= DECIMALS_MOST; decimals++) {
        if (plain(it, unit, decimals, false)) {
            return true;
        }
    }
    return false;
}

bool ap_quantity_write(ap_buf *out, double value, ap_dim dim, ap_written written, ap_unit bare) {
    static const ap_unit inside[AP_DIM_COUNT] = {
        [AP_DIM_LENGTH] = AP_UNIT_M,  [AP_DIM_LOAD] = AP_UNIT_KG,   [AP_DIM_ANGLE] = AP_UNIT_DEG,
        [AP_DIM_SHARE] = AP_UNIT_ONE, [AP_DIM_VOLUME] = AP_UNIT_M3, [AP_DIM_DENSITY] = AP_UNIT_KG_M3,
    };
    proposal it = {.out = out,
                   .start = out->len,
                   .value = value,
                   .rules = {.dim = dim, .default_unit = bare, .decimal = '.'},
                   .written = written};
    /* A bare share in a column of percents would be a percent. */
    const ap_unit si = bare == AP_UNIT_PERCENT && dim == AP_DIM_SHARE ? AP_UNIT_PERCENT : inside[dim];
    if (as_written(&it) || in_digits(&it, (ap_unit)written.unit) || in_digits(&it, si)) {
        return true;
    }
    (void)plain(&it, si, 15, false);
    return false;
}
