#include "derive/harm.h"

/* Whole texts only: "no, but he was taken to hospital" is harm. */
bool ap_harm_is_noted(ap_str damage) {
    static const char *const denials[] = {
        "no",
        "none",
        "nothing",
        "nil",
        "n",
        "n/a",
        "-",
        "--",
        "0",
        "no harm",
        "no one",
        "nobody",
        "no injury",
        "no damage",
        "no injuries",
        "nobody hurt",
        "no one hurt",
        "no injury or damage",
        "no damage or injury",
    };
    damage = ap_str_trim(damage);
    while (damage.len > 1 && strchr(".!,;", damage.ptr[damage.len - 1])) {
        damage = ap_str_trim((ap_str){damage.ptr, damage.len - 1});
    }
    for (size_t i = 0; i < sizeof denials / sizeof *denials; i++) {
        if (ap_str_equal_nocase(damage, ap_str_from(denials[i]))) {
            return false;
        }
    }
    return damage.len > 0;
}
