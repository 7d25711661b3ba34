/* What the program says in a write-up: each part as Markdown, from the picks it is about. */
#ifndef AP_REPORT_WRITEUP_PARTS_H
#define AP_REPORT_WRITEUP_PARTS_H

#include "analysis/recon_interval.h"
#include "book/duties.h"
#include "book/writeups.h"
#include "followup/writeup_text.h"
#include "report/actions_page.h"
#include "report/pick_page.h"

typedef struct ap_writeup_attached {
    ap_attachment file;
    bool gone;    /* the copy beside the book is not there */
    bool changed; /* it is, and its bytes are others */
} ap_writeup_attached;

typedef struct ap_writeup_case {
    ap_arena *arena;
    const ap_whole_pick *picks;
    size_t count;
    const ap_roster *roster; /* all picks; NULL for a pick in no log */
    const ap_finding_list *findings;
    const ap_action_list *actions; /* of this write-up */
    const ap_writeup_attached *attached;
    size_t attached_count;
    const ap_duty *duties; /* of the jurisdiction set */
    size_t duty_count;
    ap_str jurisdiction; /* none = not set */
    ap_unit_system units;
    const ap_recon_interval *interval; /* of a pick told in ranges; else NULL */
    const ap_interval_range *ranges;   /* answers that were ranges */
    size_t range_count;
    bool told;     /* in no log, from answers */
    bool redacted; /* no site, people, crane, company */
} ap_writeup_case;

/* Injury or damage was noted on one of the picks: then it is not a near miss. */
bool ap_writeup_is_harm(const ap_writeup_case *it);
/* parts[i] = none where there is nothing to say; they live in the arena. Errors: AP_E_MEMORY, AP_E_LIMIT. */
AP_MUST_USE ap_status ap_writeup_parts(ap_str parts[AP_WRITEUP_PART_COUNT], const ap_writeup_case *it, ap_error *err);
/* "Near miss on J231/17: silver maple top", or "Injury or damage on ...". */
ap_str ap_writeup_title(const ap_writeup_case *it);

/* The drawing of pick `index`: its id in a figure set, and how the text names it ("figures/side-1.svg"). */
enum { AP_WRITEUP_FIGURE_ID_SIZE = 32 };
void ap_writeup_figure_id(char out[AP_WRITEUP_FIGURE_ID_SIZE], size_t index);

/* The parts, one function each. */
void ap_writeup_put_duties(ap_doc *doc, const ap_writeup_case *it);
void ap_writeup_put_facts(ap_doc *doc, const ap_writeup_case *it);
void ap_writeup_put_reconstruction(ap_doc *doc, const ap_writeup_case *it);
void ap_writeup_put_capacity(ap_doc *doc, const ap_writeup_case *it);
void ap_writeup_put_similar(ap_doc *doc, const ap_writeup_case *it);
void ap_writeup_put_findings(ap_doc *doc, const ap_writeup_case *it);
void ap_writeup_put_severity(ap_doc *doc, const ap_writeup_case *it);
void ap_writeup_put_questions(ap_doc *doc, const ap_writeup_case *it);
void ap_writeup_put_actions(ap_doc *doc, const ap_writeup_case *it);
void ap_writeup_put_attachments(ap_doc *doc, const ap_writeup_case *it);

#endif
