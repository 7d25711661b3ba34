#include "text/text_versions.h"

#define PCRE2_CODE_UNIT_WIDTH 8
#include <expat.h>
#include <pcre2.h>
#include <zip.h>

void ap_text_version_pcre2(char out[AP_VERSION_SIZE]) {
    char text[256] = "";
    /* "10.42 2022-12-11" */
    if (pcre2_config(PCRE2_CONFIG_VERSION, NULL) > (int)sizeof text || pcre2_config(PCRE2_CONFIG_VERSION, text) < 0) {
        text[0] = '\0';
    }
    ap_str rest;
    ap_str version = ap_str_split(ap_str_from(text), ' ', &rest);
    snprintf(out, AP_VERSION_SIZE, "%.*s", (int)(version.len < 40 ? version.len : 40), version.ptr);
}

const char *ap_text_version_libzip(void) {
    return zip_libzip_version();
}

const char *ap_text_version_expat(void) {
    const char *text = XML_ExpatVersion(); /* "expat_2.5.0" */
    return strncmp(text, "expat_", 6) == 0 ? text + 6 : text;
}
