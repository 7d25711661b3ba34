/* Large arrays on wide pages, where the system has them: the first touch of a page costs as much as some thousand sums. */
#ifndef AP_BASE_WIDE_H
#define AP_BASE_WIDE_H

#include <stddef.h>

/* As calloc(): zero bytes, to be freed by free(); NULL when memory is out. */
void *ap_wide_array(size_t count, size_t size);

#endif
