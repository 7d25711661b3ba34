/* What is typed behind `calc hang`: line 1 lengths, line 2 attach points, line 3 stiffness, line 4 weight; the first bytes set
 * states, sides and the lean. What must hold:
 *  - a list that is read has finite values, as many as it has parts; one that is refused says why in valid UTF-8, and which part;
 *  - a set-up is refused with a sentence, or it hangs: every figure told is finite, no tension is below zero, force and moment
 *    balance to 1e-9 of the weight, and a slack leg carries nothing;
 *  - the page and the JSON of it can be written. */
#include "report/hang_page.h"
#include "require.h"
#include "text/quantity_list.h"

int LLVMFuzzerTestOneInput(const uint8_t *data, size_t size);

static ap_space_solver *warm; /* only so that memory is asked for once */

static bool finite_or_blank(double value) {
    return isfinite(value) || isnan(value);
}

static void check_refusal(const ap_refusal *why) {
    require(memchr(why->reason, '\0', sizeof why->reason) && memchr(why->remedy, '\0', sizeof why->remedy));
    require(why->reason[0] && ap_utf8_is_valid(ap_str_from(why->reason)) && ap_utf8_is_valid(ap_str_from(why->remedy)));
}

static size_t read_list(double *out, ap_str text, ap_dim dim) {
    const ap_quantity_rules rules = {.dim = dim, .decimal = '.'};
    ap_refusal why;
    size_t count = 0;
    size_t at = 0;
    bool read = dim == AP_DIM_NONE
                    ? ap_stiffness_list_read(out, &count, AP_SPACE_LEGS_MAX, text, &why, &at)
                    : ap_quantity_list_read(out, &count, AP_SPACE_LEGS_MAX, NULL, text, &rules, &why, &at);
    if (!read) {
        check_refusal(&why);
        require(at <= AP_SPACE_LEGS_MAX);
        return 0;
    }
    require(count >= 1 && count <= AP_SPACE_LEGS_MAX && !why.reason[0]);
    for (size_t i = 0; i < count; i++) {
        require(isfinite(out[i]));
        require(ap_quantity_list_part(text, i).ptr != NULL);
    }
    require(ap_quantity_list_part(text, count).ptr == NULL);
    return count;
}

static void check_worked(const ap_hang_ask *ask, const ap_hang_worked *w) {
    const ap_hang_said *said = &w->said;
    require(isfinite(said->inclination_deg) && fabs(said->inclination_deg) <= 180.0);
    require(isfinite(said->hook_x_m) && isfinite(said->hook_y_m));
    require(finite_or_blank(said->turn_deg) && finite_or_blank(said->butt_rise_m) && finite_or_blank(said->tip_rise_m));
    require(finite_or_blank(said->peak_low_n) && finite_or_blank(said->peak_high_n));
    double most = ask->weight_n;
    for (int i = 0; i < said->leg_count; i++) {
        const ap_hang_said_leg *leg = &said->legs[i];
        require(isfinite(leg->tension_n) && leg->tension_n >= 0.0 && isfinite(leg->slack_m) && leg->slack_m >= 0.0);
        require(!leg->slack || leg->tension_n == 0.0);
        require(isfinite(leg->angle_deg));
        most = fmax(most, leg->tension_n);
    }
    /* Legs near a straight line pull far more than the weight: balance is judged against the largest force. */
    require(said->residual_n <= 1e-9 * most);
}

static void write_all(const ap_hang_ask *ask, const ap_hang_worked *w) {
    ap_arena arena;
    ap_arena_init(&arena, 1u << 20);
    const ap_doc_head head = {.units = AP_UNITS_US};
    ap_doc *doc = ap_doc_new(&arena, &head);
    require(doc);
    ap_hang_page(doc, ask, w);
    ap_buf out;
    ap_buf_init(&out, 1u << 20);
    ap_sink sink = ap_sink_to_buf(&out);
    ap_json json;
    ap_json_init(&json, &sink, true);
    ap_hang_page_json(&json, &arena, ask, w);
    require(!arena.failed && out.status == AP_OK && out.len > 0);
    require(!strstr(out.ptr, "nan") && !strstr(out.ptr, ": inf"));
    ap_buf_release(&out);
    ap_arena_release(&arena);
}

int LLVMFuzzerTestOneInput(const uint8_t *data, size_t size) {
    enum { HEAD = 6 };
    if (size < HEAD || (!warm && ap_space_solver_new(&warm, NULL) != AP_OK)) {
        return 0;
    }
    double length[AP_SPACE_LEGS_MAX];
    double at[AP_SPACE_LEGS_MAX];
    double stiffness[AP_SPACE_LEGS_MAX];
    double weight[AP_SPACE_LEGS_MAX];
    ap_str rest = {(const char *)data + HEAD, size - HEAD};
    ap_str lines[4];
    for (int i = 0; i < 4; i++) {
        lines[i] = ap_str_split(rest, '\n', &rest);
        lines[i] = lines[i].ptr ? lines[i] : AP_STR_LIT("");
    }
    size_t count = read_list(length, lines[0], AP_DIM_LENGTH);
    size_t places = read_list(at, lines[1], AP_DIM_LENGTH);
    size_t springs = read_list(stiffness, lines[2], AP_DIM_NONE);
    size_t weights = read_list(weight, lines[3], AP_DIM_FORCE);
    if (!count || places != count || !weights) {
        return 0;
    }
    ap_hang_ask ask = {.leg_count = (int)count,
                       .cg_m = at[0] + (at[count - 1] - at[0]) * data[0] / 255.0 + (count == 1),
                       .cg_side_m = data[1] % 4 == 3 ? data[1] / 512.0 : 0.0,
                       .weight_n = weight[0],
                       .lean_deg = data[2] == 255 ? NAN : data[2] - 120.0,
                       .piece_m = data[3] == 255 ? NAN : data[3] / 8.0,
                       .preload_n = data[4] % 2 ? NAN : weight[0] * data[4] / 128.0,
                       .rigging_kg = NAN,
                       .capacity_kg = NAN};
    for (int i = 0; i < ask.leg_count; i++) {
        ask.legs[i] = (ap_hang_ask_leg){.at_m = at[i],
                                        .length_m = length[i],
                                        .off_m = data[5] % 3 / 4.0,
                                        .side_m = data[5] & 64 ? (i - 1) * 0.2 : 0.0,
                                        .stiffness_n_m = (size_t)i < springs ? stiffness[i] : NAN,
                                        .wll_kg = NAN,
                                        .choke_deg = NAN,
                                        .state = data[5] >> (2 * i) & 3};
    }
    ap_hang_worked worked;
    ap_error err = {0};
    if (ap_hang_work(&worked, &ask, &err) != AP_OK) {
        require(err.text[0] && ap_utf8_is_valid(ap_str_from(err.text)));
        return 0;
    }
    check_worked(&ask, &worked);
    write_all(&ask, &worked);
    return 0;
}
