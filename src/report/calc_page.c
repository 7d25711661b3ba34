#include "report/calc_page.h"

#include <assert.h>
#include <math.h>

#include "page/number.h"
#include "stats/rates.h"
#include "stats/runs.h"
#include "stats/tolerance.h"

#define ALMOST_NEVER 1e9 /* picks: no company lifts as many */

static void add(ap_calc *calc, ap_calc_item item) {
    assert(calc->item_count < AP_CALC_ITEMS_MAX);
    calc->items[calc->item_count++] = item;
}

void ap_calc_quantity(ap_calc *calc, const char *key, const char *label, double si, ap_dim dim, bool small) {
    add(calc, (ap_calc_item){.key = key, .label = label, .value = si, .dim = dim, .small = small});
}

void ap_calc_number(ap_calc *calc, const char *key, const char *label, double value) {
    add(calc, (ap_calc_item){.key = key, .label = label, .value = value});
}

void ap_calc_word(ap_calc *calc, const char *key, const char *label, ap_str text) {
    add(calc, (ap_calc_item){.key = key, .label = label, .text = text});
}

static void item(ap_calc *calc, const char *key, double value, bool whole) {
    add(calc, (ap_calc_item){.key = key, .value = value, .whole = whole});
}

/* Three digits are told, more nobody can count on: "284", "44,200", "0.0231". */
static ap_str say_rounded(ap_arena *arena, double value) {
    char text[AP_NUMBER_SIZE];
    int place = value > 0 ? (int)floor(log10(value)) - 2 : 0; /* of the third digit */
    double unit = pow(10, place);
    if (place <= 0) {
        return value < 1e-4 ? ap_arena_printf(arena, "%.*f", place < -12 ? 12 : -place, value)
                            : ap_arena_printf(arena, "%.3g", value);
    }
    ap_number_text(text, round(value / unit) * unit, 0, true);
    return ap_arena_str(arena, ap_str_from(text));
}

ap_status ap_calc_tolerance(ap_calc *out, ap_arena *arena, uint64_t n, double content, double confidence,
                            ap_error *err) {
    double k = 0;
    ap_status status = ap_tolerance_factor_sample(&k, content, confidence, (size_t)n, err);
    if (status != AP_OK) {
        return status;
    }
    ap_str shown = k < 1000 ? ap_arena_printf(arena, "%.4f", k) : say_rounded(arena, k);
    *out = (ap_calc){
        .answer = ap_arena_printf(
            arena,
            "k = %.*s: average + %.*s standard deviations of %llu independent values covers %.12g %% of what is "
            "to come, with %.12g %% confidence.",
            AP_STR_ARG(shown), AP_STR_ARG(shown), (unsigned long long)n, content * 100, confidence * 100),
        .working = ap_arena_printf(
            arena,
            "k = t'(%g; nu = %llu, delta = z(%g) root %llu) / root %llu, t' the quantile of the noncentral t "
            "distribution, by quadrature. Picks of one tree are not independent: give the number of trees, with "
            "one value a tree.",
            confidence, (unsigned long long)n - 1, content, (unsigned long long)n, (unsigned long long)n),
        .source = AP_STR_LIT("Owen 1968, Technometrics 10:445-478; Krishnamoorthy & Mathew 2009, Statistical Tolerance "
                             "Regions, section 2.2; ISO 16269-6."),
    };
    item(out, "k", k, false);
    item(out, "n", (double)n, true);
    item(out, "content", content, false);
    item(out, "confidence", confidence, false);
    return AP_OK;
}

ap_status ap_calc_runs(ap_calc *out, ap_arena *arena, double sd, double bias, double over, uint64_t run, uint64_t picks,
                       ap_error *err) {
    double share = 0;
    double length = 0;
    double chance = NAN;
    ap_status status = ap_runs_share(&share, 1 + over, bias, sd, err);
    if (status == AP_OK) {
        status = ap_runs_arl(&length, share, (unsigned)run, err);
    }
    if (status == AP_OK && picks) {
        status = ap_runs_chance(&chance, share, (unsigned)run, (size_t)picks, err);
    }
    if (status != AP_OK) {
        return status;
    }
    ap_str within = AP_STR_LIT("");
    if (picks) {
        within = ap_arena_printf(
            arena, " Within %llu picks the chance of at least one such run is %.*s %%.", (unsigned long long)picks,
            AP_STR_ARG(chance > 0 && chance < 1e-4 ? AP_STR_LIT("less than 0.01") : say_rounded(arena, 100 * chance)));
    }
    *out = (ap_calc){
        .answer = ap_arena_printf(
            arena,
            "%llu in a row heavier than planned by more than %g %% come by chance once in %.*s picks on "
            "the average.%.*s",
            (unsigned long long)run, over * 100,
            AP_STR_ARG(length < ALMOST_NEVER ? say_rounded(arena, length) : AP_STR_LIT("more than 1,000,000,000")),
            AP_STR_ARG(within)),
        .working = ap_arena_printf(
            arena,
            "p = P(ln ratio > ln %g) = %.4f at a spread (sd of ln ratio) of %g and a bias of %g; "
            "(1 - p^%llu) / ((1 - p) p^%llu). Picks are taken as independent: with several picks a tree "
            "runs come more often.",
            1 + over, share, sd, bias, (unsigned long long)run, (unsigned long long)run),
        .source =
            AP_STR_LIT("Feller 1968, An Introduction to Probability Theory and Its Applications I, section XIII.7."),
    };
    item(out, "share", share, false);
    item(out, "picks_per_alarm", length, false);
    item(out, "sd_log", sd, false);
    item(out, "bias_log", bias, false);
    item(out, "over", over, false);
    item(out, "run", (double)run, true);
    if (picks) {
        item(out, "picks", (double)picks, true);
        item(out, "chance", chance, false);
    }
    return AP_OK;
}

ap_status ap_calc_rate(ap_calc *out, ap_arena *arena, uint64_t events, uint64_t picks, double level, ap_error *err) {
    ap_interval interval;
    if (picks == 0) {
        return ap_error_set(err, AP_E_DOMAIN, "a rate needs at least one pick");
    }
    ap_status status = ap_rate_interval(&interval, events, level, err);
    if (status != AP_OK) {
        return status;
    }
    double n = (double)picks;
    double rate = (double)events / n;
    *out = (ap_calc){
        .answer = ap_arena_printf(arena, "%.*s in 1,000 picks (%.12g %% interval %.*s to %.*s): %llu in %llu pick%s.",
                                  AP_STR_ARG(say_rounded(arena, 1000 * rate)), level * 100,
                                  AP_STR_ARG(say_rounded(arena, 1000 * interval.low / n)),
                                  AP_STR_ARG(say_rounded(arena, 1000 * interval.high / n)), (unsigned long long)events,
                                  (unsigned long long)picks, picks == 1 ? "" : "s"),
        .working =
            ap_arena_printf(arena,
                            "The count is taken as Poisson: its mean lies between %.4f and %.4f (gamma quantiles at "
                            "(1 - %g) / 2 on either side), divided by %llu picks.",
                            interval.low, interval.high, level, (unsigned long long)picks),
        .source = AP_STR_LIT("Garwood 1936, Biometrika 28:437-442."),
    };
    item(out, "rate", rate, false);
    item(out, "low", interval.low / n, false);
    item(out, "high", interval.high / n, false);
    item(out, "level", level, false);
    item(out, "events", (double)events, true);
    item(out, "picks", n, true);
    return AP_OK;
}

static ap_str value_text(ap_doc *doc, const ap_calc_item *one, bool plain) {
    if (one->text.ptr) {
        return one->text;
    }
    if (plain || one->dim == AP_DIM_NONE) {
        return ap_doc_printf(doc, plain ? "%.10g" : one->whole ? "%.0f" : "%.5g", one->value);
    }
    ap_str text = ap_doc_quantity(doc, one->dim, one->value, one->small);
    if (one->dim == AP_DIM_VOLUME) { /* one decimal is too few to compare formulas by */
        bool us = ap_doc_units(doc) == AP_UNITS_US;
        text =
            ap_doc_printf(doc, us ? "%.3f ft³" : "%.4f m³", us ? ap_unit_from_si(AP_UNIT_FT3, one->value) : one->value);
    }
    return text;
}

void ap_calc_page(ap_doc *doc, const ap_calc *calc, bool plain) {
    const ap_column columns[] = {
        {.key = AP_STR_LIT("figure"), .label = AP_STR_LIT("figure"), .kind = AP_CELL_TEXT},
        {.key = AP_STR_LIT("value"), .label = AP_STR_LIT("value"), .kind = AP_CELL_TEXT},
    };
    ap_doc_answer(doc, calc->answer);
    ap_table *table = ap_doc_table(doc, AP_STR_LIT("figures"), AP_STR_LIT("Figures"), columns, 2);
    for (size_t i = 0; i < calc->item_count; i++) {
        const ap_calc_item *one = &calc->items[i];
        if (!one->text.ptr && isnan(one->value)) {
            continue;
        }
        ap_table_row(table);
        ap_table_text(table, ap_str_from(one->label && !plain ? one->label : one->key));
        ap_table_text(table, value_text(doc, one, plain));
    }
    ap_doc_working_begin(doc, AP_STR_LIT("How this was worked out"));
    ap_doc_paragraph(doc, calc->working);
    ap_doc_paragraph(doc, ap_doc_printf(doc, "Source: %.*s", AP_STR_ARG(calc->source)));
    ap_doc_working_end(doc);
    if (calc->caution.ptr) {
        ap_doc_caution(doc, calc->caution);
    }
}

void ap_calc_json(ap_json *json, const ap_calc *calc) {
    ap_json_object_begin(json);
    for (size_t i = 0; i < calc->item_count; i++) {
        const ap_calc_item *one = &calc->items[i];
        if (one->text.ptr) {
            ap_json_put_text(json, one->key, one->text);
        } else if (one->whole) {
            ap_json_put_int(json, one->key, (int64_t)one->value);
        } else {
            ap_json_put_number(json, one->key, one->value);
        }
    }
    ap_json_put_text(json, "working", calc->working);
    ap_json_put_text(json, "source", calc->source);
    ap_json_object_end(json);
}
