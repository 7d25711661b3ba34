#include "book/reconstructions.h"

static const char *const parameters[AP_KEPT_VALUES] = {
    ":inclination_deg", ":roll_deg",        ":hook_x_m",        ":hook_y_m",        ":hook_side_m",
    ":other_deg",       ":residual_n",      ":leg_1_tension_n", ":leg_1_angle_deg", ":leg_1_slack_m",
    ":leg_2_tension_n", ":leg_2_angle_deg", ":leg_2_slack_m",   ":leg_3_tension_n", ":leg_3_angle_deg",
    ":leg_3_slack_m",   ":leg_4_tension_n", ":leg_4_angle_deg", ":leg_4_slack_m"};

ap_status ap_book_reconstruction_get(bool *found, uint64_t *fingerprint, double values[AP_KEPT_VALUES], ap_book *book,
                                     int64_t pick_id, ap_error *err) {
    ap_query *query = NULL;
    *found = false;
    ap_status status = ap_query_open(&query, book, "reconstruction_get", err);
    if (status != AP_OK) {
        return status;
    }
    ap_query_bind_int(query, ":pick", pick_id);
    status = ap_query_step(found, query, err);
    if (status == AP_OK && *found) {
        *fingerprint = (uint64_t)ap_query_int(query, 0);
        for (int i = 0; i < AP_KEPT_VALUES; i++) {
            values[i] = ap_query_real(query, 1 + i);
        }
    }
    ap_query_close(query);
    return status;
}

ap_status ap_book_reconstruction_put(ap_book *book, int64_t pick_id, uint64_t fingerprint,
                                     const double values[AP_KEPT_VALUES], ap_error *err) {
    ap_query *query = NULL;
    int64_t stored = 0;
    memcpy(&stored, &fingerprint, sizeof stored);
    ap_status status = ap_query_open(&query, book, "reconstruction_put", err);
    if (status != AP_OK) {
        return status;
    }
    ap_query_bind_int(query, ":pick", pick_id);
    ap_query_bind_int(query, ":fingerprint", stored);
    for (int i = 0; i < AP_KEPT_VALUES; i++) {
        ap_query_bind_real(query, parameters[i], values[i]);
    }
    status = ap_query_run(query, err);
    ap_query_close(query);
    return status;
}
