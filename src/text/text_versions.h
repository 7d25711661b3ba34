/* Versions of the libraries this room stands on, as they run now. */
#ifndef AP_TEXT_TEXT_VERSIONS_H
#define AP_TEXT_TEXT_VERSIONS_H

#include "base/str.h"

enum { AP_VERSION_SIZE = 64 };
void ap_text_version_pcre2(char out[AP_VERSION_SIZE]);
const char *ap_text_version_libzip(void);
const char *ap_text_version_expat(void);

#endif
