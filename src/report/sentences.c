#include "report/sentences.h"

#include "base/pick.h"
#include "page/number.h"

const char ap_say_caution[] =
    "A review aid, after the fact. It does not plan a lift and does not replace the crane's load chart, its operator's "
    "judgement, the sling maker's tag, an engineer or a qualified arborist; local law and codes come first. A figure "
    "computed from a log is only as good as the log.";

ap_str ap_say_movement(ap_arena *arena, int32_t moves) {
    ap_buf text;
    ap_buf_init(&text, 512);
    ap_buf one;
    ap_buf_init(&one, 64);
    for (int32_t bit = 1; bit && bit <= moves; bit <<= 1) {
        if (moves & bit) {
            ap_buf_clear(&one);
            ap_moves_to_text(&one, bit);
            ap_buf_append_cstr(&text, text.len ? " and " : "");
            ap_buf_append_str(&text, ap_buf_str(&one));
        }
    }
    ap_str plain = ap_word_plain(arena, ap_buf_str(&text));
    ap_buf_release(&one);
    ap_buf_release(&text);
    return plain;
}

static bool whole_month(ap_period period) {
    return period.since != AP_DATE_NONE && period.until != AP_DATE_NONE &&
           period.since == ap_month_first(ap_month_index(period.since)) &&
           period.until + 1 == ap_month_first(ap_month_index(period.since) + 1);
}

ap_str ap_say_period(ap_arena *arena, ap_period period) {
    char since[AP_ISO_SIZE];
    char until[AP_ISO_SIZE];
    ap_date_to_iso(since, period.since);
    ap_date_to_iso(until, period.until);
    if (whole_month(period)) {
        int year;
        int month;
        int day;
        ap_date_to_civil(period.since, &year, &month, &day);
        return ap_arena_printf(arena, "%s %d", ap_month_name(month), year);
    }
    if (period.since != AP_DATE_NONE && period.until != AP_DATE_NONE) {
        return ap_arena_printf(arena, "%s to %s", since, until);
    }
    if (period.since != AP_DATE_NONE) {
        return ap_arena_printf(arena, "since %s", since);
    }
    return period.until != AP_DATE_NONE ? ap_arena_printf(arena, "up to %s", until) : AP_STR_LIT("all picks");
}

static ap_str period_options(ap_arena *arena, ap_period period) {
    char since[AP_ISO_SIZE];
    char until[AP_ISO_SIZE];
    ap_date_to_iso(since, period.since);
    ap_date_to_iso(until, period.until);
    if (whole_month(period)) {
        return ap_arena_printf(arena, " --month %.7s", since);
    }
    ap_str from = period.since == AP_DATE_NONE ? AP_STR_NONE : ap_arena_printf(arena, " --since %s", since);
    ap_str to = period.until == AP_DATE_NONE ? AP_STR_NONE : ap_arena_printf(arena, " --until %s", until);
    return ap_arena_printf(arena, "%.*s%.*s", AP_STR_ARG(from), AP_STR_ARG(to));
}

ap_str ap_say_rest(ap_doc *doc, ap_arena *arena, const char *what, size_t shown, size_t all, const char *command,
                   ap_period period) {
    if (all <= shown) {
        return AP_STR_NONE;
    }
    ap_str options = period_options(arena, period);
    return ap_doc_printf(doc, "Of %zu %s the gravest %zu are listed; a spreadsheet gets all: 'afterpick %s%.*s --csv'.",
                         all, what, shown, command, AP_STR_ARG(options));
}

ap_str ap_say_ratio(ap_arena *arena, double ratio) {
    double percent = (ratio - 1) * 100;
    if (fabs(percent) < 0.5) {
        return AP_STR_LIT("as planned");
    }
    return ap_arena_printf(arena, "%.0f %% %s than planned", fabs(percent), percent > 0 ? "heavier" : "lighter");
}

ap_str ap_say_ratio_short(ap_arena *arena, double ratio) {
    double percent = (ratio - 1) * 100;
    if (fabs(percent) < 0.5) {
        return AP_STR_LIT("as planned");
    }
    return ap_arena_printf(arena, "%.0f %% %s", fabs(percent), percent > 0 ? "heavier" : "lighter");
}

ap_str ap_say_signed(ap_arena *arena, double ratio) {
    if (isnan(ratio)) {
        return AP_STR_NONE;
    }
    double percent = (ratio - 1) * 100;
    return fabs(percent) < 0.5 ? AP_STR_LIT("0 %") : ap_arena_printf(arena, "%+.0f %%", percent);
}

ap_str ap_say_count(ap_doc *doc, size_t count, const char *one) {
    return ap_doc_printf(doc, "%.*s %s%s", AP_STR_ARG(ap_doc_count(doc, (double)count)), one, count == 1 ? "" : "s");
}

ap_str ap_say_or_none(ap_doc *doc, size_t count) {
    return count ? ap_doc_count(doc, (double)count) : AP_STR_LIT("none");
}

ap_str ap_say_count_or_none(ap_doc *doc, size_t count, const char *one) {
    return count ? ap_say_count(doc, count, one) : AP_STR_LIT("none");
}

ap_str ap_say_parts(ap_doc *doc, const ap_say_part *parts, size_t count) {
    size_t left = 0;
    for (size_t i = 0; i < count; i++) {
        left += parts[i].count > 0;
    }
    ap_str says = AP_STR_LIT("");
    for (size_t i = 0; i < count; i++) {
        if (parts[i].count) {
            const char *words = parts[i].count == 1 || !parts[i].many ? parts[i].one : parts[i].many;
            words = words ? words : ""; /* out of memory: the page says so at its end */
            left--;
            const char *between = says.len == 0 ? "" : left ? ", " : " and ";
            says = ap_doc_printf(doc, "%.*s%s%.*s %s", AP_STR_ARG(says), between,
                                 AP_STR_ARG(ap_doc_count(doc, (double)parts[i].count)), words);
        }
    }
    return says;
}

ap_str ap_say_odds(ap_doc *doc, double p) {
    if (p < 0.0001) {
        return AP_STR_LIT("less than 1 in 10,000");
    }
    double one_in = fmax(1, 1 / p);
    double step = pow(10, fmax(0, floor(log10(one_in)) - 1));
    return ap_doc_printf(doc, "about 1 in %.*s", AP_STR_ARG(ap_doc_count(doc, floor(one_in / step + 0.5) * step)));
}

ap_str ap_say_share(ap_arena *arena, double share, size_t count) {
    if (share == 0) {
        return ap_arena_printf(arena, "none of %zu", count);
    }
    return count < 20 ? ap_arena_printf(arena, "%.0f of %zu", share * (double)count, count)
                      : ap_arena_printf(arena, "%.0f %% of %zu", share * 100, count);
}

ap_str ap_say_percent(ap_doc *doc, double share) {
    return ap_doc_percent(doc, share, share > 0 && share < 0.01 ? 1 : 0);
}

ap_str ap_say_worked_out_share(ap_doc *doc, double share) {
    return ap_doc_percent(doc, share < 2 ? share : ap_number_about(share), 0);
}

ap_str ap_say_error(ap_doc *doc, const ap_roster *roster, const ap_weight_table *table) {
    const ap_weight_group *all = &table->all;
    if (all->picks == 0) {
        return AP_STR_LIT("Nothing to compare: the book has no pick of this period.");
    }
    if (all->count == 0) {
        return ap_doc_printf(doc, "Nothing to compare: of %zu picks none has both a planned and a measured weight.",
                             all->picks);
    }
    ap_arena arena;
    ap_arena_init(&arena, 1u << 16);
    ap_str typical = ap_say_ratio(&arena, all->median_ratio);
    if (all->count == 1) {
        ap_str one = ap_doc_printf(doc, "The one weighed pick was %.*s.", AP_STR_ARG(typical));
        ap_arena_release(&arena);
        return one;
    }
    ap_str interval = AP_STR_NONE;
    if (!isnan(all->ratio_low)) {
        interval = ap_arena_printf(&arena, " (average %.*s, 90 %% interval %.*s to %.*s over %zu trees)",
                                   AP_STR_ARG(ap_say_signed(&arena, exp(all->mean_log_ratio))),
                                   AP_STR_ARG(ap_say_signed(&arena, all->ratio_low)),
                                   AP_STR_ARG(ap_say_signed(&arena, all->ratio_high)), all->trees);
    }
    ap_str share = ap_say_share(&arena, all->share_heavier, all->count);
    ap_str says = ap_doc_printf(
        doc, "The typical piece was %.*s%.*s; %.*s weighed picks %s heavier than planned by more than %.0f %%.",
        AP_STR_ARG(typical), AP_STR_ARG(interval), AP_STR_ARG(share),
        ap_str_starts(share, AP_STR_LIT("1 of ")) ? "was" : "were", roster->settings.heavier * 100);
    ap_arena_release(&arena);
    return says;
}

ap_str ap_say_not_compared(ap_arena *arena, const ap_weight_table *table) {
    static const char *const why[AP_COMPARED_COUNT] = {
        [AP_NOT_PLANNED] = "without a planned weight",
        [AP_NOT_WEIGHED] = "not weighed",
        [AP_PLAN_BASIS_UNKNOWN] = "planned as net or gross unknown",
        [AP_WEIGH_BASIS_UNKNOWN] = "measured as net or gross unknown",
        [AP_NET_NOT_POSITIVE] = "not heavier than the rigging itself",
    };
    size_t total = table->all.picks - table->all.count;
    if (total == 0) {
        return AP_STR_NONE;
    }
    ap_str list = AP_STR_LIT("");
    for (int i = AP_COMPARED + 1; i < AP_COMPARED_COUNT; i++) {
        if (table->why_not[i]) {
            list = ap_arena_printf(arena, "%.*s%s%zu %s", AP_STR_ARG(list), list.len ? ", " : "", table->why_not[i],
                                   why[i]);
        }
    }
    return ap_arena_printf(arena, "%zu of %zu picks were counted and not compared: %.*s.", total, table->all.picks,
                           AP_STR_ARG(list));
}
