/* Any bytes as a cell with a quantity, and as a header. What must hold:
 *  - what is read is finite, in a unit of the wanted dimension, and is read the same again and with blanks around it;
 *  - what is refused says why and what would mend it, in valid UTF-8;
 *  - a question mark behind it always refuses;
 *  - what is read, written as a plain number with its unit, reads back to the same within rounding;
 *  - ap_quantity_write() gives it back to the last bit; where it says it does not, the number is beyond any measure;
 *  - a header's name is part of the header. */
#include "require.h"
#include "text/quantity.h"

int LLVMFuzzerTestOneInput(const uint8_t *data, size_t size);

static void check_refusal(const ap_refusal *why) {
    require(memchr(why->reason, '\0', sizeof why->reason) && memchr(why->remedy, '\0', sizeof why->remedy));
    require(why->reason[0] && why->remedy[0]);
    require(ap_utf8_is_valid(ap_str_from(why->reason)) && ap_utf8_is_valid(ap_str_from(why->remedy)));
}

static bool read_padded(ap_quantity *out, ap_str text, const char *front, const char *behind,
                        const ap_quantity_rules *rules) {
    ap_buf buf;
    ap_refusal why;
    ap_buf_init(&buf, 1u << 20);
    ap_buf_append_cstr(&buf, front);
    ap_buf_append_str(&buf, text);
    ap_buf_append_cstr(&buf, behind);
    bool read = ap_quantity_read(out, ap_buf_str(&buf), rules, &why);
    ap_buf_release(&buf);
    return read;
}

static void check_read(const ap_quantity *got, ap_str text, const ap_quantity_rules *rules) {
    ap_quantity again = {0};
    ap_dim dim = ap_unit_dim((ap_unit)got->written.unit);
    require(isfinite(got->value));
    require(got->written.unit != AP_UNIT_TON && got->written.unit != AP_UNIT_NONE);
    require(dim == (rules->dim == AP_DIM_FORCE ? AP_DIM_LOAD : rules->dim));
    require(ap_written_quantum(got->written) > 0.0);
    require(read_padded(&again, text, " \xC2\xA0", "\xE2\x80\xAF ", rules));
    require(again.value == got->value && again.written.unit == got->written.unit &&
            again.written.quantum == got->written.quantum);
    require(!read_padded(&again, text, "", "?", rules));
    if (fabs(got->value) < 1e12 && got->written.unit != AP_UNIT_ONE) {
        char plain[512];
        double force = rules->dim == AP_DIM_FORCE ? AP_STANDARD_GRAVITY : 1.0;
        double number = ap_unit_from_si((ap_unit)got->written.unit, got->value / force);
        snprintf(plain, sizeof plain, "%.15f %s", number, ap_unit_symbol((ap_unit)got->written.unit));
        ap_quantity_rules point = *rules;
        point.decimal = '.';
        require(read_padded(&again, ap_str_from(plain), "", "", &point));
        require(fabs(again.value - got->value) <= 1e-12 * fabs(got->value) + 1e-12);
    }
}

static void check_written(const ap_quantity *got, const ap_quantity_rules *rules) {
    ap_quantity again = {0};
    ap_buf text;
    const double number = fabs(ap_unit_from_si((ap_unit)got->written.unit, got->value));
    const ap_quantity_rules point = {.dim = rules->dim, .default_unit = rules->default_unit, .decimal = '.'};
    if (rules->dim == AP_DIM_FORCE) {
        return;
    }
    ap_buf_init(&text, 1u << 12);
    if (ap_quantity_write(&text, got->value, rules->dim, got->written, rules->default_unit)) {
        require(ap_quantity_read(&again, ap_buf_str(&text), &point, NULL));
        require(again.value == got->value);
        /* A number as people write it keeps its unit and its last digit too. */
        const bool digit =
            again.written.quantum == got->written.quantum || (got->written.quantum > 9 && got->written.quantum < 32);
        require(number >= 1e6 || (again.written.unit == got->written.unit && digit));
    } else {
        require(number < 1e-15 || number > 1e30);
    }
    ap_buf_release(&text);
}

int LLVMFuzzerTestOneInput(const uint8_t *data, size_t size) {
    if (size < 4) {
        return 0;
    }
    static const char decimals[] = {'.', ',', '\0'};
    static const ap_unit tons[] = {AP_UNIT_NONE, AP_UNIT_US_TON, AP_UNIT_LONG_TON, AP_UNIT_TONNE};
    const ap_quantity_rules rules = {
        .dim = (ap_dim)(1 + data[0] % (AP_DIM_COUNT - 1)),
        .default_unit = (ap_unit)(data[1] % AP_UNIT_COUNT),
        .ton = tons[data[2] % 4],
        .decimal = decimals[data[3] % 3],
    };
    ap_str text = {(const char *)data + 4, size - 4};
    ap_quantity got = {0};
    ap_refusal why;
    if (ap_quantity_read(&got, text, &rules, &why)) {
        require(!why.reason[0] && !why.remedy[0]);
        check_read(&got, text, &rules);
        check_written(&got, &rules);
    } else {
        check_refusal(&why);
    }
    ap_str name = AP_STR_NONE;
    ap_unit unit = ap_header_split_unit(&name, text);
    require((unsigned)unit < AP_UNIT_COUNT && name.len <= text.len);
    require(name.len == 0 || (name.ptr >= text.ptr && name.ptr + name.len <= text.ptr + text.len));
    return 0;
}
