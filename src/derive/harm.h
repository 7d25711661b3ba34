/* Whether injury or damage is noted on a pick. */
#ifndef AP_DERIVE_HARM_H
#define AP_DERIVE_HARM_H

#include "base/str.h"

/* True for every text but a blank and the plain denials ("no", "none", "nobody hurt", ...): in doubt it is harm. */
bool ap_harm_is_noted(ap_str damage);

#endif
