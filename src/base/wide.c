#include "base/wide.h"

#include <stdint.h>
#include <stdlib.h>

#ifdef __linux__
#include <sys/mman.h>
#endif

enum { WIDE_PAGE = 2 << 20 };

void *ap_wide_array(size_t count, size_t size) {
    void *all = calloc(count, size);
#if defined(__linux__) && defined(MADV_HUGEPAGE)
    uintptr_t first = ((uintptr_t)all + WIDE_PAGE - 1) / WIDE_PAGE * WIDE_PAGE;
    uintptr_t end = (uintptr_t)all + count * size;
    if (all && end > first + WIDE_PAGE) {
        (void)madvise((void *)first, end - first, MADV_HUGEPAGE); /* advice: a refusal costs time alone */
    }
#endif
    return all;
}
