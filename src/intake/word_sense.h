/* What people write for the words of a vocabulary: proposals for a profile, never a silent reading.
 *
 * Source  common practice, no source: spoken words of the trade. Only what can mean one thing is listed. */
#ifndef AP_INTAKE_WORD_SENSE_H
#define AP_INTAKE_WORD_SENSE_H

#include "base/pick.h"

/* The words of `field` that `cell` seems to say, joined by '+' for a MOVES field ("settled, small swing" -> "settled+swing"). False
 * when a part of it says nothing that is listed. */
bool ap_word_sense(ap_buf *out, const ap_field *field, ap_str cell);

/* The same, looser, to be asked about alone: the listed phrases, and the words themselves, that stand whole in a longer text ("swung
 * toward the road" -> "swing"). False too where the text denies ("no swing") or a field other than MOVES would get two words. */
bool ap_word_sense_within(ap_buf *out, const ap_field *field, ap_str cell);

/* The phrases that are listed, for a search in free lines: number `index` of the field's. Words that say too much by themselves
 * in the middle of a line ("log", "ok", "no") are left out. False behind the last. */
bool ap_word_sense_phrase(ap_str *phrase, const char **word, const ap_field *field, size_t index);

/* Words that are listed and yet say nothing by themselves of what a column or a line is about: "ok", "no", "log". */
bool ap_word_is_loose(ap_str phrase);

#endif
