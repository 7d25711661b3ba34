/* Writes an invented pick log: make_log ROWS [SEED] > log.csv
 *
 * 48 canonical columns, about 325 bytes a row, every row plausible and complete, the same bytes for the same arguments.
 * Weights follow from length, diameters and a density; the estimates are wrong by a spread that differs by species.
 * Nothing in it stands for a real job. */
#include "base/calendar.h"

enum { PICKS_PER_JOB = 23, JOBS_PER_DAY = 4 };

static const char HEADER[] =
    "job,site,date,time,crew,estimator,climber,operator,crane,tree,pick,species,condition,foliage,piece,length_ft,"
    "butt_diameter_in,tip_diameter_in,lean_deg,planned_weight_lb,planned_as,estimate_basis,planned_radius_ft,"
    "planned_capacity_lb,rigging_weight_lb,planned_cut,measured_weight_lb,measured_as,weighed_by,cut_radius_ft,"
    "cut_capacity_lb,cut,kerf,leg_1_kind,leg_1_hitch,leg_1_at_ft,leg_1_length_ft,leg_1_state,leg_2_kind,leg_2_hitch,"
    "leg_2_at_ft,leg_2_length_ft,leg_2_state,movement,toward,re_rigs,near_miss,notes\n";

typedef struct wood {
    const char *name;
    double density_lb_ft3;
    double bias;
    const char *foliage;
} wood;

/* Green densities rounded, for shape only; the book's own table is what a review uses. */
static const wood WOODS[] = {
    {"red maple", 50, 0.02, "leaf_on"},
    {"silver maple", 46, 0.08, "leaf_on"},
    {"white oak", 62, 0.12, "leaf_off"},
    {"northern red oak", 63, 0.05, "leaf_on"},
    {"green ash", 50, -0.03, "leaf_off"},
    {"American beech", 54, 0.00, "leaf_on"},
    {"eastern white pine", 36, 0.10, "evergreen"},
    {"Norway spruce", 38, -0.05, "evergreen"},
};
static const char *const NOTES[] = {
    "west wind and a tight set-down beside the drive", "hook straight over the piece the whole way down",
    "second sling moved a foot toward the tip",        "crew clear; tag line held from the street",
    "tied in once more: a crack at the union",         "slow pick; the operator asked for the radius",
};

static uint64_t state;

static uint64_t next_bits(void) {
    state ^= state << 13;
    state ^= state >> 7;
    state ^= state << 17;
    return state;
}
static double uniform(double low, double high) {
    return low + (high - low) * (double)(next_bits() >> 11) * 0x1p-53;
}
static double near_normal(void) {
    return uniform(-1, 1) + uniform(-1, 1) + uniform(-1, 1);
}
static size_t below(size_t n) {
    return (size_t)(next_bits() % n);
}

static void write_row(long row) {
    static const char *const pieces[] = {"limb", "leader", "top", "trunk"};
    static const char *const cuts[] = {"through", "step", "hinge", "angled"};
    static const char *const moves[] = {"still", "settled", "butt_up", "swing", "butt_up+swing"};
    const long job = row / PICKS_PER_JOB;
    const long pick = row % PICKS_PER_JOB;
    char date[AP_ISO_SIZE];
    ap_date first = 0;
    if (!ap_date_from_civil(&first, 2010, 1, 1)) {
        return;
    }
    ap_date_to_iso(date, (ap_date)(first + job / JOBS_PER_DAY % 5000));
    const wood *tree = &WOODS[below(sizeof WOODS / sizeof *WOODS)];
    const double length = uniform(10, 40);
    const double butt = uniform(15, 34);
    const double tip = butt * uniform(0.45, 0.85);
    const double radius2 = (butt * butt + butt * tip + tip * tip) / (4 * 144.0);
    const double net = 3.14159265358979 / 3 * radius2 * length * tree->density_lb_ft3;
    const double planned = net / (1 + tree->bias + 0.1 * near_normal());
    const int rigging = 350 + 10 * (int)below(20);
    const int radius = 30 + (int)below(70);
    const int capacity = (int)(2000 + net * uniform(1.3, 2.5)) / 100 * 100;
    const char *cut = cuts[below(4)];
    const size_t move = below(5);
    const double at_1 = length * uniform(0.15, 0.3);
    const double at_2 = length * uniform(0.55, 0.8);
    printf("J%ld,%ld Mill Lane,%s,%02ld:%02d,crew-%zu,est-%zu,cl-%zu,op-%zu,crane-%zu,T%ld,%ld,", job + 1,
           job % 900 + 1, date, 7 + pick / 3, (int)(pick % 3) * 20, below(6) + 1, below(8) + 1, below(9) + 1,
           below(5) + 1, below(4) + 1, pick / 8 + 1, pick + 1);
    printf("%s,live,%s,%s,%.1f,%.1f,%.1f,%d,%d,net,chart,%d,%d,%d,%s,", tree->name, tree->foliage, pieces[below(4)],
           length, butt, tip, (int)below(90), (int)(planned / 50 + 0.5) * 50, radius, capacity, rigging, cut);
    printf("%d,gross,load_indicator,%d,%d,%s,%s,", (int)(net / 10 + 0.5) * 10 + rigging, radius + (int)below(4),
           capacity - 100 * (int)below(5), cut, below(5) ? "steady" : "closing");
    printf("adjustable,cow,%.1f,%.1f,tight,eye,choker,%.1f,%.1f,%s,", at_1, at_1 + 12, at_2, at_2 * 0.6 + 9,
           below(4) ? "tight" : "slack");
    printf("%s,%s,%zu,%s,%s\n", moves[move], move > 1 && below(9) == 0 ? "climber" : "clear", below(12) / 10,
           move > 1 && below(20) == 0 ? "yes" : "no", NOTES[below(sizeof NOTES / sizeof *NOTES)]);
}

int main(int argc, char **argv) {
    const long rows = argc > 1 ? strtol(argv[1], NULL, 10) : 0;
    state = 0x9e3779b97f4a7c15u ^ (argc > 2 ? (uint64_t)strtoull(argv[2], NULL, 10) : 1u);
    if (rows <= 0) {
        fputs("use: make_log ROWS [SEED]\n", stderr);
        return 2;
    }
    fputs(HEADER, stdout);
    for (long row = 0; row < rows; row++) {
        write_row(row);
    }
    return fflush(stdout) == 0 && !ferror(stdout) ? 0 : 1;
}
