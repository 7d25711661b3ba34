#include "analysis/predicted.h"

#include "analysis/movement.h"
#include "stats/rates.h"
#include "stats/summary.h"

static const double LEVEL = 0.95;

const char *ap_goes_name(ap_goes goes) {
    static const char *const names[AP_GOES_COUNT] = {"stays", "butt up", "butt down"};
    return (unsigned)goes < AP_GOES_COUNT ? names[goes] : "";
}

static ap_goes predicted_of(const ap_fact *fact) {
    if (fact->rest->way_m < (float)AP_PREDICTED_STAYS_M) {
        return AP_GOES_STAYS;
    }
    return fact->rest->butt_up_m > 0 ? AP_GOES_UP : AP_GOES_DOWN;
}

/* False when what is logged names no direction. A drop or a swing beside a direction leaves that direction standing. */
static bool logged_of(ap_goes *goes, uint16_t movement) {
    bool up = movement & (AP_MOVE_BIT(AP_MOVEMENT_BUTT_UP) | AP_MOVE_BIT(AP_MOVEMENT_TIP_DIVE));
    bool down = movement & (AP_MOVE_BIT(AP_MOVEMENT_BUTT_DOWN) | AP_MOVE_BIT(AP_MOVEMENT_TIP_UP));
    bool stays = ap_movement_kind(movement) == AP_MOVED_STILL;
    *goes = up ? AP_GOES_UP : down ? AP_GOES_DOWN : AP_GOES_STAYS;
    return up != down || stays;
}

bool ap_predicted_get(ap_predicted_one *out, const ap_fact *fact) {
    ap_goes logged = AP_GOES_STAYS;
    if (isnan(fact->rest->butt_up_m) || !fact->rest->movement || !logged_of(&logged, fact->rest->movement)) {
        return false;
    }
    *out = (ap_predicted_one){predicted_of(fact), logged, (double)fact->rest->way_m,
                              (double)fact->rest->movement_distance_m};
    return true;
}

static float signed_as(float size, ap_goes goes) {
    return goes == AP_GOES_UP ? size : goes == AP_GOES_DOWN ? -size : 0;
}

static ap_status set_share(ap_predicted_share *out, size_t agree, size_t of, double by_chance, ap_error *err) {
    *out = (ap_predicted_share){.of = of, .agree = agree, .by_chance = of ? by_chance : NAN};
    return of ? ap_share_interval(&out->interval, agree, of, LEVEL, err) : AP_OK;
}

/* Agreement on the diagonal of a part of the table, and what its margins alone would give. */
static ap_status agreement(ap_predicted_share *out, const ap_predicted *p, int from, ap_error *err) {
    double rows[AP_GOES_COUNT] = {0};
    double columns[AP_GOES_COUNT] = {0};
    size_t agree = 0;
    size_t of = 0;
    double chance = 0;
    for (int i = from; i < AP_GOES_COUNT; i++) {
        for (int k = from; k < AP_GOES_COUNT; k++) {
            rows[i] += (double)p->table[i][k];
            columns[k] += (double)p->table[i][k];
            of += p->table[i][k];
        }
        agree += p->table[i][i];
    }
    for (int i = from; i < AP_GOES_COUNT && of; i++) {
        chance += rows[i] * columns[i] / ((double)of * (double)of);
    }
    return set_share(out, agree, of, chance, err);
}

typedef struct sizes {
    double *ratio;
    size_t count;
    size_t within;
} sizes;

static void take_size(sizes *all, const ap_fact *fact) {
    double ratio = fact->rest->movement_distance_m / (double)fact->rest->way_m;
    if (fact->rest->movement_distance_m > 0 && fact->rest->way_m >= (float)AP_PREDICTED_STAYS_M) {
        all->ratio[all->count++] = ratio;
        all->within += !ap_over(ratio, AP_PREDICTED_FACTOR) && !ap_over(1 / ratio, AP_PREDICTED_FACTOR);
    }
}

static void take(ap_predicted *p, sizes *all, const ap_fact *fact) {
    ap_predicted_one one;
    bool worked_out = !isnan(fact->rest->butt_up_m);
    p->picks++;
    p->logged += fact->rest->movement != 0;
    p->predicted += worked_out;
    if (!worked_out || !fact->rest->movement) {
        return;
    }
    p->both++;
    if (!ap_predicted_get(&one, fact)) {
        p->other++;
        return;
    }
    p->table[one.predicted][one.logged]++;
    float distance = isnan(fact->rest->movement_distance_m) ? NAN : (float)fact->rest->movement_distance_m;
    p->pairs[p->pair_count++] = (ap_predicted_pair){fact->rest->butt_up_m > 0 ? fact->rest->way_m : -fact->rest->way_m,
                                                    one.logged == AP_GOES_STAYS ? 0 : signed_as(distance, one.logged)};
    if (one.logged != AP_GOES_STAYS && one.predicted == one.logged) {
        take_size(all, fact);
    }
}

ap_status ap_predicted_count(ap_predicted *out, ap_arena *arena, const ap_roster *roster, size_t first, size_t end,
                             ap_error *err) {
    ap_predicted p = {.median_ratio = NAN, .median_interval = {.low = 1}};
    sizes all = {.ratio = ap_arena_alloc_array(arena, end - first + 1, sizeof *all.ratio)};
    p.pairs = ap_arena_alloc_array(arena, end - first + 1, sizeof *p.pairs);
    ap_status status = ap_arena_check(arena, "predicted and logged movement", err);
    if (status != AP_OK) {
        return status;
    }
    for (size_t i = first; i < end; i++) {
        take(&p, &all, &roster->facts[i]);
    }
    status = agreement(&p.direction, &p, AP_GOES_UP, err);
    if (status == AP_OK) {
        status = agreement(&p.all, &p, AP_GOES_STAYS, err);
    }
    p.sized = all.count;
    if (status == AP_OK) {
        status = set_share(&p.size, all.within, all.count, NAN, err);
    }
    if (status == AP_OK && all.count) {
        status = ap_stats_median(&p.median_ratio, all.ratio, all.count, err);
    }
    /* Too few for an interval is no failure: the ends stay crossed. */
    if (status == AP_OK && all.count &&
        ap_stats_median_interval(&p.median_interval, all.ratio, all.count, LEVEL, NULL) != AP_OK) {
        p.median_interval = (ap_interval){.low = 1};
    }
    if (status == AP_OK) {
        *out = p;
    }
    return status;
}
