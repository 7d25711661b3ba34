#include "cli/pairs.h"

#include "text/quantity.h"

static ap_status unknown(const ap_cli *cli, const char *word, const char *const *keys, size_t count, ap_error *err) {
    ap_buf list;
    ap_buf_init(&list, AP_ERROR_TEXT_MAX / 2);
    for (size_t i = 0; i < count; i++) {
        ap_buf_appendf(&list, "%s%s=", i ? ", " : "", keys[i]);
    }
    ap_status status = ap_error_set(err, AP_E_USAGE, "'afterpick %s' does not know '%.120s'; it takes %.*s",
                                    cli->command->name, word, AP_STR_ARG(ap_buf_str(&list)));
    ap_buf_release(&list);
    return status;
}

ap_status ap_cli_get_pairs(ap_str *values, const char *const *keys, size_t count, const ap_cli *cli, size_t first,
                           ap_error *err) {
    for (size_t i = 0; i < count; i++) {
        values[i] = AP_STR_NONE;
    }
    for (size_t w = first; w < cli->word_count; w++) {
        ap_str value = AP_STR_NONE;
        ap_str key = ap_str_trim(ap_str_split(ap_str_from(cli->words[w]), '=', &value));
        size_t at = 0;
        while (at < count && !ap_str_equal_nocase(key, ap_str_from(keys[at]))) {
            at++;
        }
        if (at == count || !value.ptr) {
            return unknown(cli, cli->words[w], keys, count, err);
        }
        if (values[at].ptr) {
            return ap_error_set(err, AP_E_USAGE, "%s is given twice", keys[at]);
        }
        values[at] = ap_str_trim(value);
    }
    return cli->word_count > first ? AP_OK : unknown(cli, "", keys, count, err);
}

ap_status ap_cli_pair_quantity(double *out, ap_str value, const char *key, ap_dim dim, ap_error *err) {
    *out = NAN;
    if (value.len == 0) {
        return AP_OK;
    }
    ap_quantity_rules rules = {.dim = dim, .decimal = '.'};
    ap_quantity quantity;
    ap_refusal why;
    if (!ap_quantity_read(&quantity, value, &rules, &why)) {
        return ap_error_set(err, AP_E_INPUT, "%s '%.*s': %s; %s", key, (int)(value.len < 80 ? value.len : 80),
                            value.ptr, why.reason, why.remedy);
    }
    *out = quantity.value;
    return AP_OK;
}
