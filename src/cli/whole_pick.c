#include "cli/whole_pick.h"

#include "cli/pick_parts.h"
#include "derive/person.h"

/* The number the error table shows this estimator under: settled over all picks, so that both say the same. */
static ap_status number_estimator(ap_whole_pick *whole, ap_cli *cli, ap_error *err) {
    ap_str name = ap_str_trim(whole->pick.estimator);
    if (cli->names || name.len == 0 || ap_person_is_code(name)) {
        return AP_OK;
    }
    if (whole->roster) {
        whole->estimator_number = ap_intern_find(whole->roster->people, name);
        return AP_OK;
    }
    ap_roster roster = {0};
    ap_status status = ap_roster_load_errors(&roster, cli->book, AP_DATE_NONE, false, err);
    if (status == AP_OK) {
        whole->estimator_number = ap_intern_find(roster.people, name);
    }
    ap_roster_release(&roster);
    return status;
}

ap_status ap_cli_read_whole(ap_whole_pick *whole, ap_cli *cli, ap_str name, ap_error *err) {
    ap_status status = ap_book_get_pick(&whole->pick, &cli->arena, cli->book, name, err);
    if (status != AP_OK) {
        return status;
    }
    ap_derive(&whole->derived, &whole->pick, &cli->company);
    status = ap_pick_reconstruct(whole, cli, err);
    if (status != AP_OK) {
        return status;
    }
    const ap_conflict_filter conflicts = {
        .all = true, .pick_id = whole->pick.id, .since = AP_DATE_NONE, .until = AP_DATE_NONE};
    status = ap_book_pick_source(&whole->source, &cli->arena, cli->book, whole->pick.id, err);
    if (status == AP_OK) {
        status = ap_book_pick_changes(&whole->changes, &cli->arena, cli->book, whole->pick.name, err);
    }
    if (status == AP_OK) {
        status = ap_book_conflicts(&whole->conflicts, &cli->arena, cli->book, &conflicts, err);
    }
    return status == AP_OK ? number_estimator(whole, cli, err) : status;
}
