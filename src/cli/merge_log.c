#include "cli/merge_log.h"

#include "book/cranes.h"
#include "book/picks.h"
#include "book/settings_store.h"
#include "intake/pick_log.h"

typedef struct merging {
    ap_sink sink;
    ap_pick_log *log;
    ap_merged *merged;
    const ap_company *here;
    ap_settings settings; /* of the other book */
    ap_company there;
    ap_intern *cranes; /* described otherwise */
} merging;

static int measured_as(const ap_company *company, const ap_crane *crane) {
    return crane && crane->weighed_as ? crane->weighed_as : company->settings->weighed_as;
}

static double block_weight(const ap_company *company, const ap_crane *crane) {
    return crane && !isnan(crane->block_weight_kg) ? crane->block_weight_kg : company->settings->block_weight_kg;
}

static double factor(const ap_crane *crane, ap_date on) {
    const ap_calibration *in_force = ap_crane_calibration(crane, on);
    return in_force ? in_force->factor : 1.0;
}

/* A cell that is blank: what it means there is written where it means something else here. */
static void fill(int32_t *cell, double weight_kg, int there, int here, ap_merged_basis *basis) {
    if (*cell != 0 || isnan(weight_kg) || there == here) {
        return;
    }
    if (there != 0) {
        *cell = there;
        basis->filled++;
    } else {
        basis->unknown++;
    }
}

/* Whether the two entries give this pick other figures. */
static bool is_otherwise(const merging *it, const ap_pick *pick, const ap_crane *there, const ap_crane *here) {
    if (!there) {
        return false;
    }
    const bool chart = there->chart_count > 0 && (!here || here->chart_count == 0);
    return chart || factor(there, pick->date) != factor(here, pick->date) ||
           (!isnan(there->block_weight_kg) && block_weight(&it->there, there) != block_weight(it->here, here));
}

static ap_status put_pick(void *context, const ap_pick *pick, ap_error *err) {
    merging *it = context;
    ap_pick filled = *pick;
    it->merged->picks++;
    const ap_crane *there = ap_company_crane(&it->there, pick->crane);
    const ap_crane *here = ap_company_crane(it->here, pick->crane);
    fill(&filled.planned_as, pick->planned_weight_kg, it->settings.planned_as, it->here->settings->planned_as,
         &it->merged->planned);
    fill(&filled.measured_as, pick->measured_weight_kg, measured_as(&it->there, there), measured_as(it->here, here),
         &it->merged->measured);
    it->merged->rigging +=
        isnan(pick->rigging_weight_kg) && block_weight(&it->there, there) != block_weight(it->here, here);
    if (is_otherwise(it, pick, there, here)) {
        ap_intern_add(it->cranes, there->name);
    }
    const ap_status status = ap_pick_log_row(&it->sink, it->log, &filled, err);
    return status == AP_OK && it->sink.status != AP_OK ? ap_sink_check(&it->sink, "the log of the other book", err)
                                                       : status;
}

static ap_status read_company(merging *it, ap_cli *cli, ap_book *other, ap_error *err) {
    ap_status status = ap_book_settings_read(&it->settings, other, err);
    it->there.settings = &it->settings;
    if (status == AP_OK) {
        status = ap_book_cranes(&it->there.cranes, &it->there.crane_count, &cli->arena, other, err);
    }
    it->cranes = ap_intern_new(&cli->arena);
    if (status == AP_OK && !it->cranes) {
        status = ap_error_set(err, AP_E_MEMORY, "out of memory for the cranes");
    }
    return status == AP_OK ? ap_pick_log_new(&it->log, ap_cli_units(cli), err) : status;
}

static ap_status name_cranes(const merging *it, ap_cli *cli, ap_error *err) {
    const size_t count = ap_intern_count(it->cranes);
    ap_str *names = ap_arena_alloc_array(&cli->arena, count, sizeof *names);
    for (size_t i = 0; names && i < count; i++) {
        names[i] = ap_intern_get(it->cranes, (uint32_t)i + 1);
    }
    it->merged->cranes = names;
    it->merged->crane_count = names ? count : 0;
    return ap_arena_check(&cli->arena, "the cranes", err);
}

ap_status ap_merge_log_write(FILE *stream, ap_merged *merged, ap_cli *cli, ap_book *other, ap_error *err) {
    const ap_pick_filter all = {.since = AP_DATE_NONE, .until = AP_DATE_NONE};
    merging it = {.sink = ap_sink_to_stream(stream), .merged = merged, .here = &cli->company};
    ap_status status = read_company(&it, cli, other, err);
    if (status == AP_OK) {
        ap_pick_log_header(&it.sink, it.log);
        status = ap_book_each_pick(other, &all, put_pick, &it, err);
    }
    if (status == AP_OK) {
        status = ap_sink_check(&it.sink, "the log of the other book", err);
    }
    if (status == AP_OK) {
        status = name_cranes(&it, cli, err);
    }
    ap_pick_log_free(it.log);
    return status;
}
