/* Texts that a log may carry, by accident or on purpose. Each has a marker that a writer must never let through raw. */
#ifndef AP_TESTS_PAGE_HOSTILE_H
#define AP_TESTS_PAGE_HOSTILE_H

#define T50 "Quercusxrobur-fastigiata'x'pseudo_turneri-lane-no-"

static const char *const hostile_texts[] = {
    "<script>document.title='owned'</script>",
    "</style><script>alert(1)</script>",
    "<img src=x onerror=alert(1)>",
    "<img src=\"http://example.invalid/beacon.png\">",
    "\" onmouseover=\"alert(1)\" x=\"",
    "' onfocus='alert(1)' autofocus='",
    "`backticks` and ${template}",
    "]]> --> <!-- <![CDATA[",
    "&lt;already&gt; &amp; &#60;",
    "line one\nline two\r\nline three\rline four",
    "tab\tin the middle",
    "\xE2\x80\xAE"
    "evil right-to-left override \xE2\x80\xAC done",
    "isolates \xE2\x81\xA6in\xE2\x81\xA9 and marks \xE2\x80\x8F\xE2\x80\x8E",
    "\xD7\x90\xD7\x9C\xD7\x95\xD7\x9F 17 \xD8\xA8\xD9\x84\xD9\x88\xD8\xB7 42",
    "emoji \xF0\x9F\x8C\xB3\xF0\x9F\x91\xA9\xE2\x80\x8D\xF0\x9F\x94\xA7 tree",
    "e\xCC\x81 combining, \xE6\xA8\xAB\xE6\x9C\xA8 wide",
    T50 T50 T50 T50 T50 T50,
    "bad utf8 \xFF\xFE \xC3( \xE2\x82 \xED\xA0\x80 \xC0\xAF \xF5\x80\x80\x80 end",
    "\x1B[31mred\x1B[0m \x1B]0;title\x07 bell \x08\x7F",
    "c1 \xC2\x9B"
    "31m \xC2\x85 next",
    "# heading",
    "- item",
    "12. numbered",
    "> quote",
    "    indented code",
    "[link](javascript:alert(1)) ![img](http://example.invalid/x.png)",
    "http://example.invalid/bare and www.example.invalid and a@example.invalid",
    "a | pipe | in a cell",
    "*bold* _under_ ~~gone~~ <b>raw</b> \\ back",
    "=HYPERLINK(\"http://example.invalid\",\"x\")",
    "+1+1",
    "-2+3+cmd|' /C calc'!A0",
    "@SUM(1,2)",
    "  =1+1",
    "\xEF\xBC\x9D"
    "1+1",
    "comma, \"quote\", and; semicolon",
    "%n%s%d %.*s",
};
enum { HOSTILE_COUNT = sizeof hostile_texts / sizeof hostile_texts[0] };

#endif
