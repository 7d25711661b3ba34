/* Options that take one of a fixed set of words, for the completion: the words come from where the commands read them. */
#include "analysis/action_effect.h"
#include "analysis/roster.h"
#include "base/pick.h"
#include "cli/cli.h"

static const char *by_any(size_t i) {
    return i < AP_BY_COUNT ? ap_by_name((ap_by)i) : NULL;
}

static const char *by_trend(size_t i) {
    return i < AP_BY_MONTH ? ap_by_name((ap_by)i) : NULL; /* it runs over months and jobs by itself */
}

static const char *by_factors(size_t i) {
    static const ap_by known[] = {AP_BY_SPECIES, AP_BY_CUT, AP_BY_ESTIMATOR};
    return i < sizeof known / sizeof *known ? ap_by_name(known[i]) : NULL;
}

static const char *kind(size_t i) {
    return ap_word_get(AP_VOC_LEG_KIND, (int)i + 1);
}

static const char *kind_that_stretches(size_t i) {
    return (int)i + 1 < AP_LEG_KIND_BALANCER ? kind(i) : NULL;
}

static const char *hitch(size_t i) {
    return ap_word_get(AP_VOC_HITCH, (int)i + 1);
}

static const char *state(size_t i) {
    return ap_word_get(AP_VOC_LEG_STATE, (int)i + 1);
}

static const char *cut(size_t i) {
    return ap_word_get(AP_VOC_CUT, (int)i + 1);
}

static const char *figure(size_t i) {
    return i < AP_EFFECT_COUNT ? ap_effect_figure_name((ap_effect_figure)i) : NULL;
}

static const char *of(const char *const *words, size_t count, size_t i) {
    return i < count ? words[i] : NULL;
}

/* "protective equipment" has a blank in it: it is typed. */
static const char *control(size_t i) {
    static const char *const words[] = {"elimination", "substitution", "engineering", "administrative"};
    return of(words, sizeof words / sizeof *words, i);
}

static const char *wood(size_t i) {
    static const char *const words[] = {"hardwood", "softwood"};
    return of(words, sizeof words / sizeof *words, i);
}

static const char *rule(size_t i) {
    static const char *const words[] = {"conic", "smalian", "neiloid", "huber", "newton"};
    return of(words, sizeof words / sizeof *words, i);
}

static const char *fail_on(size_t i) {
    static const char *const words[] = {"certain", "likely"};
    return of(words, sizeof words / sizeof *words, i);
}

static const struct {
    const char *command; /* NULL: any */
    const char *option;
    const char *(*word)(size_t i);
    const char *several; /* with commas between, each "once" or "again"; NULL: one word */
} choices[] = {
    {"weights", "by", by_any, "once"},
    {"trend", "by", by_trend, "once"},
    {"factors", "by", by_factors, "once"},
    {NULL, "fail-on", fail_on, NULL},
    {"action", "control", control, NULL},
    {"action", "figure", figure, NULL},
    {"action", "cut", cut, NULL},
    {"species", "group", wood, NULL},
    {"calc volume", "method", rule, NULL},
    {"calc drop", "kind", kind_that_stretches, NULL},
    {"calc sling", "kind", kind, NULL},
    {"calc sling", "hitch", hitch, NULL},
    {"calc hang", "kind", kind, "again"},
    {"calc hang", "hitch", hitch, "again"},
    {"calc hang", "states", state, "again"},
};

const char *ap_cli_choice(const char **several, const ap_command *command, const ap_cli_option *option, size_t index) {
    for (size_t c = 0; c < sizeof choices / sizeof *choices; c++) {
        bool here = !choices[c].command || strcmp(choices[c].command, command->name) == 0;
        if (here && strcmp(choices[c].option, option->name) == 0) {
            *several = choices[c].several;
            return choices[c].word(index);
        }
    }
    return NULL;
}
