#include "cli/amount.h"

#include "text/decimal.h"
#include "text/quantity.h"

bool ap_cli_read_amount(double *out, ap_str text) {
    char padded[64] = "0";
    bool bare = text.len > 1 && text.ptr[0] == '.';
    if (bare && text.len < sizeof padded - 1) {
        memcpy(padded + 1, text.ptr, text.len);
        text = (ap_str){padded, text.len + 1};
    }
    ap_decimal number;
    if (!text.len || ap_decimal_scan(&number, text, '.') != AP_DECIMAL_READ || number.len != text.len) {
        return false;
    }
    *out = number.value;
    return true;
}

ap_status ap_cli_get_amount(double *out, const ap_cli *cli, const char *option, double fallback, ap_error *err) {
    ap_str text = ap_cli_get(cli, option);
    *out = fallback;
    if (!text.ptr) {
        return isnan(fallback) ? ap_error_set(err, AP_E_USAGE, "--%s is missing; see 'afterpick %s --help'", option,
                                              cli->command->name)
                               : AP_OK;
    }
    return ap_cli_read_amount(out, ap_str_trim(text))
               ? AP_OK
               : ap_error_set(err, AP_E_USAGE, "--%s '%.*s' is not a number", option, AP_STR_ARG(text));
}

ap_status ap_cli_get_whole(uint64_t *out, const ap_cli *cli, const char *option, double fallback, double most,
                           ap_error *err) {
    double value = 0;
    ap_status status = ap_cli_get_amount(&value, cli, option, fallback, err);
    if (status == AP_OK && (value != floor(value) || value > most)) {
        status = ap_error_set(err, AP_E_USAGE, "--%s is a whole number up to %.0f", option, most);
    }
    *out = status == AP_OK ? (uint64_t)value : 0;
    return status;
}

ap_status ap_cli_get_part(double *out, const ap_cli *cli, const char *option, double fallback, ap_error *err) {
    ap_str text = ap_str_trim(ap_cli_get(cli, option));
    if (!text.len) {
        return ap_cli_get_amount(out, cli, option, fallback, err);
    }
    bool percent = text.ptr[text.len - 1] == '%';
    bool minus = text.ptr[0] == '-';
    ap_str number = ap_str_trim((ap_str){text.ptr + minus, text.len - minus - (percent && text.len > 1)});
    if (!ap_cli_read_amount(out, number)) {
        return ap_error_set(err, AP_E_USAGE, "--%s '%.*s' is not a number; write it as 0.15 or 15%%", option,
                            AP_STR_ARG(text));
    }
    *out = (minus ? -*out : *out) / (percent ? 100 : 1);
    return AP_OK;
}

ap_status ap_cli_get_share(double *out, const ap_cli *cli, const char *option, ap_error *err) {
    ap_str text = ap_str_trim(ap_cli_get(cli, option));
    *out = NAN;
    if (!ap_cli_has(cli, option)) {
        return AP_OK;
    }
    bool percent = text.len > 0 && text.ptr[text.len - 1] == '%';
    double value = 0;
    bool read = ap_cli_read_amount(&value, percent ? ap_str_trim((ap_str){text.ptr, text.len - 1}) : text);
    value = percent ? value / 100 : value;
    if (!read || !(value > 0) || value > 2) {
        return ap_error_set(err, AP_E_USAGE, "--%s '%.*s' is not a share; write it as 85%%", option, AP_STR_ARG(text));
    }
    *out = value;
    return AP_OK;
}

static ap_status get_written(double *out, ap_written *written, const ap_cli *cli, const char *option, ap_dim dim,
                             bool needed, ap_error *err) {
    ap_str text = ap_cli_get(cli, option);
    *out = NAN;
    if (!text.ptr) {
        return needed ? ap_error_set(err, AP_E_USAGE, "--%s is missing; see 'afterpick %s --help'", option,
                                     cli->command->name)
                      : AP_OK;
    }
    const ap_quantity_rules rules = {.dim = dim, .decimal = '.'};
    ap_quantity quantity;
    ap_refusal why;
    if (!ap_quantity_read(&quantity, text, &rules, &why)) {
        const ap_quantity_rules any_unit = {
            .dim = dim, .default_unit = ap_unit_for_page(AP_UNITS_US, dim, true), .decimal = '.'};
        if (ap_quantity_read(&quantity, text, &any_unit, &(ap_refusal){{0}, {0}})) {
            return ap_error_set(err, AP_E_USAGE, "--%s '%.*s' has no unit; %s", option, AP_STR_ARG(text), why.remedy);
        }
        return ap_error_set(err, AP_E_USAGE, "--%s '%.*s': %s%s%s", option, AP_STR_ARG(text), why.reason,
                            why.remedy[0] ? "; " : "", why.remedy);
    }
    *out = quantity.value;
    *written = quantity.written;
    return AP_OK;
}

ap_status ap_cli_get_quantity(double *out, ap_unit *unit, const ap_cli *cli, const char *option, ap_dim dim,
                              bool needed, ap_error *err) {
    ap_written written = {0};
    ap_status status = get_written(out, &written, cli, option, dim, needed, err);
    if (unit && written.unit) {
        *unit = (ap_unit)written.unit;
    }
    return status;
}

ap_status ap_cli_get_length(double *out_m, double *step_m, const ap_cli *cli, const char *option, bool needed,
                            ap_error *err) {
    ap_written written = {0};
    ap_status status = get_written(out_m, &written, cli, option, AP_DIM_LENGTH, needed, err);
    *step_m = ap_written_quantum_si(written);
    return status;
}
