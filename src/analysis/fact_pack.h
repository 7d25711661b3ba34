/* Facts of up to AP_COLUMN_MOST picks to bytes and back, in the parts that book/kept_facts.h keeps.
 *
 * AP_FACT_METHOD stands for everything a kept fact rests on: what ap_derive(), the closed form of the reconstruction, ap_wood_work_out(),
 * the words of set-ups and the form of the bytes do. A change in what one of them gives makes it one higher; then everything
 * kept before is worked out anew. DEVELOPERS.md says so too.
 *
 * A label is the number of its text in what is kept, from 1 in order of first appearance in row order; a word of a vocabulary is its
 * own number. Bytes from a book are anybody's: what does not hold together gives false, and nothing of it may be used. */
#ifndef AP_ANALYSIS_FACT_PACK_H
#define AP_ANALYSIS_FACT_PACK_H

#include "analysis/fact_columns.h"
#include "analysis/roster.h"

enum { AP_FACT_METHOD = 1 };

/* Groupings whose labels are texts. */
enum { AP_FACT_TEXTS = 7 };
extern const ap_by ap_fact_texts[AP_FACT_TEXTS];

/* The counts of label texts that may be meant. */
typedef struct ap_fact_bounds {
    uint32_t texts[AP_FACT_TEXTS];
} ap_fact_bounds;

/* Facts with a rest of their own, but for the error's part. */
void ap_fact_pack_errors(ap_buf *out, const ap_fact *facts, size_t count);
/* With the butt diameter of a trunk or stub piece in m, which may be its tree's butt; 0: it can not. */
void ap_fact_pack_wood(ap_buf *out, const ap_fact *facts, const float *stem_m, size_t count);
void ap_fact_pack_rest(ap_buf *out, const ap_fact *facts, size_t count);
/* Into facts[to[i]], which were zero but for their rest. */
bool ap_fact_unpack_errors(ap_fact *facts, const uint32_t *to, size_t count, ap_str bytes,
                           const ap_fact_bounds *bounds);
bool ap_fact_unpack_wood(ap_fact *facts, float *stem_m, const uint32_t *to, size_t count, ap_str bytes);
bool ap_fact_unpack_rest(ap_fact *facts, const uint32_t *to, size_t count, ap_str bytes, const ap_fact_bounds *bounds);

/* butt_up_m and way_m, behind what says which brush they rest on. */
void ap_fact_pack_ways(ap_buf *out, const ap_fact *facts, size_t count);
bool ap_fact_unpack_ways(ap_fact *facts, const uint32_t *to, size_t count, ap_str bytes);

/* Texts: a count of four bytes, then each with its length in four bytes before it. */
void ap_fact_pack_text(ap_buf *out, ap_str text);
void ap_fact_pack_count(ap_buf *out, uint32_t count);
bool ap_fact_unpack_text(ap_str *text, ap_column_reader *reader);
bool ap_fact_unpack_count(uint32_t *count, ap_column_reader *reader);

#endif
