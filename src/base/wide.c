#include "base/wide.h"

#include <stdint.h>
#include <stdlib.h>

#ifdef __linux__
#include <sys/mman.h>
#endif

enum { WIDE_PAGE = 2 << 20 };

void *ap_wide_array(size_t count, size_t size) {
    void *all = size == 0 || count <= SIZE_MAX / size ? calloc(count, size) : NULL;
#if defined(__linux__) && defined(MADV_HUGEPAGE)
    size_t before = (WIDE_PAGE - (uintptr_t)all % WIDE_PAGE) % WIDE_PAGE; /* to where a wide page can begin */
    if (all && count * size > before + WIDE_PAGE) {
        (void)madvise((char *)all + before, count * size - before,
                      MADV_HUGEPAGE); /* advice: a refusal costs time alone */
    }
#endif
    return all;
}
