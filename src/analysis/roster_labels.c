#include "analysis/roster_labels.h"

#include "derive/person.h"

enum { TEXT_MAX = 4096 };

void ap_labeller_init(ap_labeller *labeller, ap_roster *roster) {
    *labeller = (ap_labeller){.roster = roster};
    ap_buf_init(&labeller->text, TEXT_MAX);
}

void ap_labeller_release(ap_labeller *labeller) {
    ap_buf_release(&labeller->text);
}

uint8_t ap_label_new_word(ap_labeller *labeller, ap_by by, ap_vocabulary vocabulary, int value) {
    const char *word = ap_word_get(vocabulary, value);
    uint32_t number = word ? ap_intern_add(labeller->roster->labels[by], ap_str_from(word)) : 0;
    labeller->words[by][value & 15] = (ap_label_memo){value, number};
    return (uint8_t)number; /* a vocabulary has some ten words */
}

uint32_t ap_label_person(ap_labeller *labeller, ap_by by, ap_str text) {
    ap_roster *roster = labeller->roster;
    text = ap_str_trim(text);
    if (roster->names || text.len == 0 || ap_person_is_code(text)) {
        return ap_intern_add(roster->labels[by], text);
    }
    uint32_t person = ap_intern_add(roster->people, text);
    ap_label_memo *kept = &labeller->person[person % AP_LABEL_MEMOS];
    if (kept->key != person || !person) {
        ap_buf_clear(&labeller->text);
        ap_person_label(&labeller->text, ap_by_name(by), text, false, person);
        *kept = (ap_label_memo){person, ap_intern_add(roster->labels[by], ap_buf_str(&labeller->text))};
    }
    return kept->number;
}

/* Most picks hang in one of a few ways: the words are made once for each kind and hitch of the legs. */
uint32_t ap_label_setup(ap_labeller *labeller, ap_intern *labels, const ap_pick *pick) {
    uint64_t key = 1;
    for (int i = 0; i < pick->leg_count; i++) {
        const ap_leg *leg = &pick->legs[i];
        bool more = leg->state || !isnan(leg->at_m) || !isnan(leg->length_m) || !isnan(leg->wll_kg) || leg->tag.ptr;
        key = key << 10 | (uint64_t)(leg->kind & 15) << 5 | (uint64_t)(leg->hitch & 15) << 1 | more;
    }
    ap_label_memo *kept = &labeller->setup[key * UINT64_C(0x9e3779b97f4a7c15) >> 58];
    if (kept->key != (int64_t)key) {
        ap_derive_setup(&labeller->text, pick);
        *kept = (ap_label_memo){(int64_t)key, ap_intern_add(labels, ap_buf_str(&labeller->text))};
    }
    return kept->number;
}

/* Three hundred years have 3600 months. */
uint16_t ap_label_new_day(ap_labeller *labeller, ap_date date) {
    int64_t month = ap_month_index(date);
    if (!labeller->month.number || labeller->month.key != month) {
        char text[AP_ISO_SIZE];
        ap_month_to_iso(text, (int)month);
        labeller->month =
            (ap_label_memo){month, ap_intern_add(labeller->roster->labels[AP_BY_MONTH], ap_str_from(text))};
    }
    labeller->day = (ap_label_memo){date, labeller->month.number};
    return (uint16_t)labeller->month.number;
}

bool ap_tree_label(ap_buf *out, const ap_pick *pick) {
    bool known = !ap_str_is_blank(pick->tree);
    ap_buf_clear(out);
    ap_buf_append_str(out, pick->job);
    ap_buf_append_cstr(out, known ? "/" : "/any ");
    ap_buf_append_str(out, known ? pick->tree : pick->species_common);
    return known;
}
