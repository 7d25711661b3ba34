/* The one script of a page: tables sort by their headings and are filtered by a word. Nothing depends on it: the controls
 * appear only where it runs. Its SHA-256 is in the page's Content-Security-Policy, as the style's is. */
#ifndef AP_PAGE_HTML_SCRIPT_H
#define AP_PAGE_HTML_SCRIPT_H

/* The script's text in parts, NULL behind the last. */
extern const char *const ap_html_script[];

#endif
