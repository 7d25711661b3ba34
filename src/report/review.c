#include "report/review.h"

static const struct {
    const char *id;
    const char *heading;
    void (*build)(ap_doc *doc, const ap_review *review);
    bool page_break; /* on paper the next section begins a new page */
} sections[] = {
    {"first", "Look at these first", ap_section_first, true},
    {"done", "What was done", ap_section_done, false},
    {"error", "Estimate error", ap_section_error, false},
    {"trend", "Trend", ap_section_trend, false},
    {"margin", "Margin on the load chart", ap_section_margin, false},
    {"separations", "How pieces parted", ap_section_separations, false},
    {"findings", "Near-miss findings", ap_section_findings, false},
    {"density", "What your wood weighs", ap_section_density, false},
    {"quality", "How far the logs can be trusted", ap_section_quality, false},
    {"actions", "Actions", ap_section_actions, false},
    {"method", "Method and cautions", ap_section_method, false},
};

void ap_review_build(ap_doc *doc, const ap_review *review) {
    for (size_t i = 0; i < sizeof sections / sizeof sections[0]; i++) {
        ap_doc_section(doc, 2, ap_str_from(sections[i].id), ap_str_from(sections[i].heading));
        sections[i].build(doc, review);
        if (sections[i].page_break) {
            ap_doc_page_break(doc);
        }
    }
}

void ap_review_put_figure(ap_doc *doc, const ap_review *review, ap_review_figure which) {
    const ap_figure *figure = review->figure[which];
    if (figure) {
        ap_doc_figure(doc, ap_figure_id(figure), ap_figure_title(figure), ap_figure_description(figure),
                      ap_figure_page(figure), ap_figure_missing(figure));
    }
}
