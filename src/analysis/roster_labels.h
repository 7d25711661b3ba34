/* Numbers for the labels of a roster, remembered: picks that follow each other mostly share them. Private to the roster and what is
 * kept of it. */
#ifndef AP_ANALYSIS_ROSTER_LABELS_H
#define AP_ANALYSIS_ROSTER_LABELS_H

#include "analysis/roster.h"

typedef struct ap_label_memo {
    int64_t key;
    uint32_t number;
} ap_label_memo;

enum { AP_LABEL_MEMOS = 64 };

typedef struct ap_labeller {
    ap_roster *roster; /* whose labels it numbers; NULL: only ap_label_setup() */
    ap_label_memo month;
    ap_label_memo day;                    /* its month's number */
    ap_label_memo words[AP_BY_COUNT][16]; /* by value of the word */
    ap_label_memo setup[AP_LABEL_MEMOS];
    ap_label_memo person[AP_LABEL_MEMOS]; /* of estimators, by number */
    ap_buf text;
} ap_labeller;

void ap_labeller_init(ap_labeller *labeller, ap_roster *roster);
void ap_labeller_release(ap_labeller *labeller);

uint8_t ap_label_new_word(ap_labeller *labeller, ap_by by, ap_vocabulary vocabulary, int value);
/* 0 for 0. */
static inline uint8_t ap_label_word(ap_labeller *labeller, ap_by by, ap_vocabulary vocabulary, int value) {
    const ap_label_memo *kept = &labeller->words[by][value & 15];
    return !value ? 0 : kept->key == value ? (uint8_t)kept->number : ap_label_new_word(labeller, by, vocabulary, value);
}
uint32_t ap_label_person(ap_labeller *labeller, ap_by by, ap_str text);
uint16_t ap_label_new_day(ap_labeller *labeller, ap_date date);
/* Of the month. */
static inline uint16_t ap_label_month(ap_labeller *labeller, ap_date date) {
    const ap_label_memo *day = &labeller->day;
    return day->number && day->key == date ? (uint16_t)day->number : ap_label_new_day(labeller, date);
}
uint32_t ap_label_setup(ap_labeller *labeller, ap_intern *labels, const ap_pick *pick);
/* The words of a tree's label: job and tree; false when job and species stand for it. */
bool ap_tree_label(ap_buf *out, const ap_pick *pick);

#endif
