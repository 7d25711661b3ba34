/* One value of a pick as text, for every room: history, messages, pages. */
#ifndef AP_BOOK_PICK_TEXT_H
#define AP_BOOK_PICK_TEXT_H

#include "base/pick.h"

/* As a person reads it, in the unit it was written in: "2400 lb", "step", "yes"; nothing for a blank. */
void ap_pick_value_write(ap_buf *out, const ap_pick *pick, int column);

#endif
