/* Which profile a file without one may be read with: never silently, and only where the profile itself claims its header. */
#include "intake/file_job.h"
#include "intake/profile_plan.h"
#include "intake/report.h"

enum { HEADER_WITHIN = 50 };

typedef bool (*fits_fn)(const ap_profile *profile, const ap_row *row);

/* Kept profiles that fit a row near the top of the file; *found is the first of them. */
static ap_status count_fitting(size_t *count, const ap_profile *found[2], const ap_file_job *file, fits_fn fits,
                               ap_error *err) {
    const ap_session *session = file->session;
    ap_rows *rows = NULL;
    *count = 0;
    for (size_t i = 0; i < session->kept_count; i++) {
        const ap_profile *profile = session->kept[i];
        const ap_rows_options form = {
            .delimiter = session->options->delimiter, .sheet = session->options->sheet, .profile = profile};
        ap_status status =
            profile->kind == AP_PROFILE_TABLE ? ap_rows_new(&rows, file->source, &form, NULL) : AP_E_INPUT;
        bool more = status == AP_OK;
        for (int n = 0; n < HEADER_WITHIN && more; n++) {
            ap_row row;
            status = ap_rows_next(&row, &more, rows, err);
            if (status != AP_OK) {
                ap_rows_free(rows);
                return status;
            }
            if (more && !row.trouble && fits(profile, &row)) {
                found[*count ? 1 : 0] = profile;
                *count += 1;
                break;
            }
        }
        ap_rows_free(rows);
        rows = NULL;
    }
    return AP_OK;
}

ap_status ap_file_choose_profile(ap_file_job *file, ap_error *err) {
    const ap_profile *found[2] = {NULL, NULL};
    size_t count = 0;
    file->profile = file->session->options->profile;
    if (file->profile || file->session->kept_count == 0) {
        return AP_OK;
    }
    const ap_status status = count_fitting(&count, found, file, ap_profile_claims_header, err);
    if (status != AP_OK) {
        return status;
    }
    if (count > 1) {
        return ap_error_set(err, AP_E_INPUT,
                            "its header is claimed by %zu kept profiles, '%.*s' and '%.*s' among them: say which with "
                            "--profile",
                            count, AP_STR_ARG(found[0]->name), AP_STR_ARG(found[1]->name));
    }
    file->profile = found[0];
    return AP_OK;
}

void ap_file_name_profile(ap_file_job *file, ap_error *err) {
    const ap_profile *found[2] = {NULL, NULL};
    size_t count = 0;
    if (count_fitting(&count, found, file, ap_profile_fits_header, NULL) == AP_OK && count == 1) {
        const size_t used = strlen(err->text);
        snprintf(err->text + used, sizeof err->text - used,
                 "; the kept profile '%.*s' fits its header: --profile '%.*s'", AP_STR_ARG(found[0]->name),
                 AP_STR_ARG(found[0]->name));
    }
}
