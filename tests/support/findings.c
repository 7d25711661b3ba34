#include "support/findings.h"

void check_findings_open(check_findings *f) {
    memset(f, 0, sizeof *f);
    check_roster_init(&f->roster);
    ap_arena_init(&f->arena, 16u << 20);
    ap_finding_list_init(&f->findings, &f->arena);
}

void check_findings_close(check_findings *f) {
    ap_arena_release(&f->arena);
    ap_roster_release(&f->roster);
}
