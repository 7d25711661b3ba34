#include "base/crane.h"

static int folded(char c) {
    unsigned char byte = (unsigned char)c;
    return byte >= 'A' && byte <= 'Z' ? byte + ('a' - 'A') : byte;
}

int ap_crane_name_compare(ap_str a, ap_str b) {
    size_t shared = a.len < b.len ? a.len : b.len;
    for (size_t i = 0; i < shared; i++) {
        int difference = folded(a.ptr[i]) - folded(b.ptr[i]);
        if (difference != 0) {
            return difference;
        }
    }
    return (a.len > b.len) - (a.len < b.len);
}
