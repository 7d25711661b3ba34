#include "intake/report.h"

#include "base/grow.h"
#include "intake/fault.h"

enum { ARENA_MAX = 24 << 20, TEXT_KEPT = 160, REASON_KEPT = 1000, FILES_MAX = 100000 };

void ap_intake_result_init(ap_intake_result *result) {
    memset(result, 0, sizeof *result);
    ap_arena_init(&result->arena, ARENA_MAX);
}

void ap_intake_result_release(ap_intake_result *result) {
    ap_arena_release(&result->arena);
    free(result->files);
    free(result->problems);
    memset(result, 0, sizeof *result);
}

ap_intake_file *ap_report_file(ap_intake_result *result, ap_str path) {
    if (result->file_count >= FILES_MAX) {
        result->arena.failed = true;
        return NULL;
    }
    if (result->file_count == result->file_cap) {
        ap_intake_file *files = ap_grown(result->files, &result->file_cap, 16, sizeof *files);
        if (!files) {
            result->arena.failed = true;
            return NULL;
        }
        result->files = files;
    }
    ap_intake_file *file = &result->files[result->file_count++];
    *file = (ap_intake_file){.path = ap_arena_str(&result->arena, path), .outcome = AP_INTAKE_UNUSABLE};
    return file;
}

bool ap_report_wants(const ap_intake_result *result, ap_intake_problem_kind kind) {
    return result->kept[kind] < AP_INTAKE_KEPT;
}

void ap_report_problem(ap_intake_result *result, const ap_intake_problem *problem) {
    if (!ap_report_wants(result, problem->kind)) {
        return;
    }
    if (result->problem_count == result->problem_cap) {
        ap_intake_problem *problems = ap_grown(result->problems, &result->problem_cap, 16, sizeof *problems);
        if (!problems) {
            result->arena.failed = true;
            return;
        }
        result->problems = problems;
    }
    ap_intake_problem *kept = &result->problems[result->problem_count++];
    *kept = *problem;
    kept->file = result->file_count ? result->file_count - 1 : 0;
    kept->field = ap_arena_str(&result->arena, ap_str_shortened(problem->field, TEXT_KEPT));
    kept->text = ap_arena_str(&result->arena, ap_str_shortened(problem->text, TEXT_KEPT));
    kept->reason = ap_arena_str(&result->arena, ap_str_shortened(problem->reason, REASON_KEPT));
    kept->remedy = ap_arena_str(&result->arena, ap_str_shortened(problem->remedy, REASON_KEPT));
    result->kept[problem->kind]++;
}

void ap_report_nothing_kept(ap_intake_result *result) {
    result->import_id = 0;
}
