/* A finding: what a detector saw, as facts and chance. The sentence is made by report/. Its identity is (detector, scope,
 * first pick): a longer run is the same finding. */
#ifndef AP_FOLLOWUP_FINDING_H
#define AP_FOLLOWUP_FINDING_H

#include "base/arena.h"
#include "base/calendar.h"

typedef enum ap_finding_class {
    AP_FINDING_CERTAIN, /* it happened as recorded: no chance about it */
    AP_FINDING_LIKELY   /* a pattern that chance can make too: the rate of false alarms goes with it */
} ap_finding_class;

typedef enum ap_detector_id {
    AP_DETECT_DAMAGE,
    AP_DETECT_OVER_CHART,
    AP_DETECT_TOWARD_PERSON,
    AP_DETECT_NEAR_MISS,
    AP_DETECT_THIN_MARGIN,
    AP_DETECT_HEAVIER_RUN,
    AP_DETECT_SURPRISE,
    AP_DETECT_LEG,
    AP_DETECT_MOVED,
    AP_DETECT_SHOCK,
    AP_DETECT_MARGIN_LOST,
    AP_DETECT_DRIFT,
    AP_DETECT_OWN_CHANGE,
    AP_DETECT_KERF,
    AP_DETECT_RE_RIG,
    AP_DETECT_CLUSTER,
    AP_DETECT_SAID_SO,
    AP_DETECT_PENCIL,
    AP_DETECT_SILENCE,
    AP_DETECT_OTHERWISE,
    AP_DETECT_COUNT
} ap_detector_id;

typedef enum ap_finding_state {
    AP_FINDING_NEW,
    AP_FINDING_ACKNOWLEDGED,
    AP_FINDING_DISMISSED,
    AP_FINDING_WRITTEN_UP,
    AP_FINDING_STATES
} ap_finding_state;

enum { AP_FINDING_PICKS_MAX = 400 };

/* Reasons of a finding, by its detector. */
enum {
    AP_LEG_SLACK = 1, /* a leg was slack at the cut and the piece moved */
    AP_LEG_FLAT = 2,
    AP_LEG_OVER = 4,      /* past its limit */
    AP_LEG_CG = 8,        /* centre of gravity outside the legs */
    AP_LEG_UNLOADED = 16, /* by the reconstruction a leg hangs slack: it carries nothing */
    AP_LEG_ALONE = 32,    /* one leg, below the centre of gravity: the other is missing */
    AP_MOVED_FAR = 1,
    AP_MOVED_SWEEP = 2,     /* the climber stood inside the butt's way */
    AP_MOVED_OTHERWISE = 4, /* not as worked out: the other way, farther, or though it was to stay */
    AP_SHOCK_SEEN = 1,
    AP_SHOCK_WORKED_OUT = 2,
    AP_MARGIN_LESS = 1,   /* more of the capacity used than planned */
    AP_MARGIN_LONGER = 2, /* the radius grew */
    AP_CLUSTER_WINDOW = 1,
    AP_CLUSTER_RISE = 2,
    AP_PENCIL_REPEATS = 1, /* measured equal to planned */
    AP_PENCIL_ENDING = 2,  /* last digits heaped */
    AP_PENCIL_COPIED = 4,  /* one value in a row */
    AP_SILENCE_UNWEIGHED = 1,
    AP_SILENCE_STOPPED = 2,
    AP_SILENCE_UNREPORTED = 4
};

/* MIL-STD-882E, tables I to III (nearmiss/rank.h). */
typedef enum ap_severity {
    AP_SEVERITY_NONE,
    AP_SEVERITY_CATASTROPHIC,
    AP_SEVERITY_CRITICAL,
    AP_SEVERITY_MARGINAL,
    AP_SEVERITY_NEGLIGIBLE,
    AP_SEVERITIES = 4
} ap_severity;

typedef enum ap_probability {
    AP_PROBABILITY_NONE,
    AP_PROBABILITY_FREQUENT, /* A */
    AP_PROBABILITY_PROBABLE,
    AP_PROBABILITY_OCCASIONAL,
    AP_PROBABILITY_REMOTE,
    AP_PROBABILITY_IMPROBABLE,
    AP_PROBABILITY_ELIMINATED, /* F */
    AP_PROBABILITIES = 6
} ap_probability;

typedef enum ap_risk {
    AP_RISK_NONE,
    AP_RISK_ELIMINATED,
    AP_RISK_LOW,
    AP_RISK_MEDIUM,
    AP_RISK_SERIOUS,
    AP_RISK_HIGH,
    AP_RISKS
} ap_risk;

/* What its severity rests on. */
typedef enum ap_harm {
    AP_HARM_NONE,
    AP_HARM_HAPPENED, /* damage or injury is noted */
    AP_HARM_PERSON,
    AP_HARM_STRUCTURE,
    AP_HARM_CLEAR,             /* moved where nothing was */
    AP_HARM_DIRECTION_UNKNOWN, /* moved, where to is not logged */
    AP_HARM_CAPACITY,
    AP_HARM_KIND, /* the kind of finding */
    AP_HARM_BLIND /* harms nobody by itself; it hides what does */
} ap_harm;

typedef struct ap_finding {
    ap_detector_id detector;
    ap_finding_class class;
    const char *kind;    /* of group: "pick", "crane", "estimator": with the first pick it is the scope's identity */
    ap_str scope;        /* "estimator E2; species silver maple"; none when one pick is the scope */
    const size_t *picks; /* roster indices in pick order; of a very long one the first and the last */
    size_t pick_count;
    size_t rests_on;  /* picks it rests on: pick_count or more */
    uint8_t groups;   /* rows and sums: bit per group of ap_run_groups it shows in */
    size_t unweighed; /* rows and sums: picks of the group in between that were not weighed, */
    size_t suspects;  /* or were suspect: skipped */
    uint32_t reasons; /* LEG, MOVED, SHOCK, MARGIN_LOST, CLUSTER: bits of the detector's own list */
    size_t among;     /* KERF, RE_RIG, CLUSTER, OTHERWISE: of so many picks looked at; LEG: the slack leg's number, */
    size_t trees;     /* KERF, RE_RIG, OTHERWISE, rise of CLUSTER: trees that its picks are of */
    double rate_else; /* and the share among the others; LEG: its slack, or how far the only leg sits too low, m */
    double p;         /* KERF, RE_RIG, CLUSTER, OTHERWISE: by chance; else NaN */
    size_t near_events,
        near_picks;        /* CLUSTER, a rise that is a window too: near misses in it, of any crew, and its picks; */
    const char *also_kind; /* what the window would be kept under, told alone; NULL: none */
    size_t also_first;
    ap_date first;
    ap_date last;
    double
        value; /* OVER_CHART, THIN_MARGIN, MARGIN_LOST: largest share of capacity; HEAVIER_RUN, DRIFT, OWN_CHANGE: median
                     ratio; SURPRISE: ratio; TOWARD_PERSON, MOVED: distance in m or NaN; SHOCK: peak over hanging load; LEG:
                     share of the leg's limit or NaN; KERF, RE_RIG: share of picks */
    double z;  /* SURPRISE: on the scale of its kind; DRIFT, OWN_CHANGE: the sum; LEG: flattest angle in
                     degrees; MOVED: way of the butt worked out, m; SHOCK: worked-out peak over capacity; MARGIN_LOST:
                     growth of the radius, m; else NaN */
    ap_str note; /* SAID_SO: what the note says, the hit at note_at, note_len; reasons: bit per ap_reason */
    size_t note_at, note_len;
    uint8_t topic;        /* SAID_SO: the gravest ap_reason */
    ap_severity severity; /* what could have happened (nearmiss/rank.h) */
    ap_probability probability;
    ap_risk risk;
    ap_harm harm;
    size_t kind_picks, kind_of; /* picks in findings of its detector, of the period's */
    double rank;                /* larger comes first within its class */
    double gravity;             /* by the list's judge */

    /* What became of it (followup/life.h); all zero until it is looked up in the book. */
    int64_t number; /* 0 = not kept yet */
    ap_finding_state state;
    bool seen_before; /* an earlier review or listing found it already */
    bool went_on;     /* rests on more picks than when its state was set */
    ap_str why;       /* the reason given with its state */
    ap_date state_on;
} ap_finding;

/* How grave a certain finding is among those of its detector: the larger, the graver. */
typedef double (*ap_finding_gravity)(const void *context, const ap_finding *finding);

/* Nobody reads more; the rest is counted. */
enum { AP_FINDING_CERTAIN_MOST = 1000 };

typedef struct ap_finding_list {
    ap_arena *arena;
    ap_finding *items;
    size_t count;
    size_t cap;
    ap_finding_gravity gravity; /* NULL: every finding is kept */
    const void *context;
    size_t certain[AP_DETECT_COUNT];        /* kept, with `gravity` */
    size_t left_out[AP_DETECT_COUNT];       /* certain ones that are counted only, */
    size_t left_out_picks[AP_DETECT_COUNT]; /* and the picks they rest on */
    double floor[AP_DETECT_COUNT];          /* no graver than this: left out */
} ap_finding_list;

void ap_finding_list_init(ap_finding_list *list, ap_arena *arena);
/* From here on at most twice AP_FINDING_CERTAIN_MOST certain findings of a detector are kept, the gravest and of equals the
 * first; after ap_finding_bound() at most that many. */
void ap_finding_list_judge(ap_finding_list *list, ap_finding_gravity gravity, const void *context);
void ap_finding_bound(ap_finding_list *list);
size_t ap_finding_left_out(const ap_finding_list *list);
/* Adds a copy; picks and scope are copied too. */
AP_MUST_USE ap_status ap_finding_add(ap_finding_list *list, const ap_finding *finding, ap_error *err);
/* A certain finding about one pick. */
AP_MUST_USE ap_status ap_finding_add_pick(ap_finding_list *list, ap_detector_id detector, size_t pick, ap_date date,
                                          double value, double rank, ap_error *err);
/* Certain before likely, then by rank, then by date: the order people read. What is settled comes last. */
void ap_finding_sort(ap_finding_list *list);

const char *ap_finding_class_name(ap_finding_class class); /* "certain", "likely" */
/* Dismissed, and no more picks since: it need not come first again. */
bool ap_finding_is_settled(const ap_finding *finding);
const char *ap_detector_name(ap_detector_id detector);     /* "over-chart": the JSON word */
const char *ap_detector_title(ap_detector_id detector);    /* "Over chart" */
const char *ap_finding_state_name(ap_finding_state state); /* "new", "acknowledged", "dismissed", "written up" */
bool ap_detector_comes_first(ap_detector_id detector);     /* a certain one that belongs on the first page */
/* It belongs there itself: not settled, and measured or seen, not only the most that could have been. */
bool ap_finding_comes_first(const ap_finding *finding);

#endif
