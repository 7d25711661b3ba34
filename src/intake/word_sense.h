/* What people write for the words of a vocabulary: proposals for a profile, never a silent reading.
 *
 * Source  common practice, no source: spoken words of the trade. Only what can mean one thing is listed. */
#ifndef AP_INTAKE_WORD_SENSE_H
#define AP_INTAKE_WORD_SENSE_H

#include "base/pick.h"

/* The words of `field` that `cell` seems to say, joined by '+' for a MOVES field ("settled, small swing" -> "settled+swing"). False
 * when a part of it says nothing that is listed. */
bool ap_word_sense(ap_buf *out, const ap_field *field, ap_str cell);

#endif
