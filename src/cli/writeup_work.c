#include <inttypes.h>

#include "book/species.h"
#include "cli/period.h"
#include "cli/pick_parts.h"
#include "cli/whole_pick.h"
#include "cli/writeup.h"
#include "followup/attachments.h"
#include "intake/told_pick.h"
#include "nearmiss/detect.h"

static ap_status read_findings(ap_writeup_work *work, ap_cli *cli, ap_error *err) {
    ap_date since = work->picks[0].pick.date;
    ap_date until = since;
    for (size_t i = 1; i < work->it.count; i++) {
        ap_date date = work->picks[i].pick.date;
        since = date < since ? date : since;
        until = date > until ? date : until;
    }
    /* A pattern is found in the month its last pick falls in. */
    since = ap_month_first(ap_month_index(since));
    until = ap_month_first(ap_month_index(until) + 1) - 1;
    ap_rule_limits limits;
    ap_hung_list hung = {0};
    ap_said_list said = {0};
    const ap_detect_given given = {&work->roster, &limits, &hung, &said};
    ap_finding_list_init(&work->findings, &cli->arena);
    ap_status status = ap_limits_read(&limits, cli->book, err);
    if (status == AP_OK) {
        status = ap_hung_load(&hung, cli->book, &work->roster, work->roster.facts, &limits, since, until, err);
    }
    if (status == AP_OK) {
        status = ap_said_read(&said, &cli->arena, cli->book, &work->roster, since, until, err);
    }
    if (status == AP_OK) {
        status = ap_detect_all(&work->findings, NULL, &given, since, until, err);
    }
    ap_hung_release(&hung);
    return status;
}

static ap_status read_attached(ap_writeup_work *work, ap_cli *cli, ap_error *err) {
    ap_attachment *files = NULL;
    size_t count = 0;
    ap_status status = ap_book_writeup_attachments(&files, &count, &cli->arena, cli->book, work->writeup.id, err);
    if (status != AP_OK) {
        return status;
    }
    work->attached = ap_arena_alloc_array(&cli->arena, count + 1, sizeof *work->attached);
    if (!work->attached) {
        return ap_error_set(err, AP_E_MEMORY, "out of memory for the attachments");
    }
    for (size_t i = 0; i < count; i++) {
        ap_attachment_state state = ap_attachment_check(&cli->arena, cli->book, &files[i]);
        work->attached[i] = (ap_writeup_attached){
            .file = files[i], .gone = state == AP_ATTACHMENT_GONE, .changed = state == AP_ATTACHMENT_CHANGED};
    }
    work->it.attached = work->attached;
    work->it.attached_count = count;
    return AP_OK;
}

/* What does not depend on where the picks come from. */
static ap_status read_rest(ap_writeup_work *work, ap_cli *cli, ap_error *err) {
    ap_duty *duties = NULL;
    ap_status status = ap_roster_load(&work->roster, cli->book, AP_DATE_NONE, cli->names, err);
    work->it.roster = &work->roster;
    if (status == AP_OK && work->writeup.id) {
        status = ap_actions_read(&work->actions, &cli->arena, cli->book, &work->roster, AP_DATE_NONE, cli->today,
                                 work->writeup.id, err);
        work->it.actions = &work->actions;
    }
    if (status == AP_OK && work->writeup.id) {
        status = read_attached(work, cli, err);
    }
    if (status == AP_OK) {
        work->it.jurisdiction = ap_str_from(cli->settings.jurisdiction);
        status = ap_book_duties(&duties, &work->it.duty_count, &cli->arena, cli->book, work->it.jurisdiction, err);
        work->it.duties = duties;
    }
    return status;
}

static void begin(ap_writeup_work *work, ap_cli *cli) {
    work->it.arena = &cli->arena;
    work->it.units = ap_cli_units(cli);
    work->it.picks = work->picks;
}

ap_status ap_writeup_work_read(ap_writeup_work *work, ap_cli *cli, const ap_str *names, size_t count, ap_error *err) {
    ap_status status = AP_OK;
    begin(work, cli);
    for (size_t i = 0; status == AP_OK && i < count; i++) {
        work->picks[i] = (ap_whole_pick){.settings = &cli->settings, .names = cli->names};
        status = ap_cli_read_whole(&work->picks[i], cli, names[i], err);
        work->it.count = i + 1;
    }
    if (status == AP_OK) {
        status = read_rest(work, cli, err);
    }
    if (status == AP_OK) {
        status = read_findings(work, cli, err);
        work->it.findings = &work->findings;
    }
    return status;
}

static void tell_doubt(void *context, int column, ap_str field, ap_str text, const char *says) {
    (void)column;
    (void)text;
    ap_cli *cli = context;
    ap_cli_say(cli, cli->notes, "to look at: %.*s %s\n", AP_STR_ARG(field), says);
}

_Static_assert((int)AP_TOLD_RANGES <= (int)AP_INTERVAL_RANGES, "every range that is read can be worked with");

ap_status ap_writeup_work_tell(ap_writeup_work *work, ap_cli *cli, ap_str answers, ap_error *err) {
    ap_told_pick told;
    ap_interval_range *ranges = work->ranges;
    const ap_species *species = NULL;
    ap_whole_pick *whole = &work->picks[0];
    begin(work, cli);
    ap_status status =
        ap_told_pick_read(&told, &cli->arena, cli->book, &cli->settings, answers, cli->today, tell_doubt, cli, err);
    if (status == AP_OK && told.pick.species_id) {
        status = ap_book_species_get(&species, cli->book, told.pick.species_id, err);
    }
    if (status == AP_OK) {
        *whole = (ap_whole_pick){.settings = &cli->settings, .names = cli->names, .pick = told.pick};
        work->it.count = 1;
        ap_derive(&whole->derived, &whole->pick, &cli->company);
        status = ap_pick_reconstruct(whole, cli, err);
    }
    for (size_t i = 0; status == AP_OK && i < told.range_count; i++) {
        ranges[i] = (ap_interval_range){told.ranges[i].column, told.ranges[i].low, told.ranges[i].high};
    }
    work->it.told = true;
    work->it.ranges = ranges;
    work->it.range_count = status == AP_OK ? told.range_count : 0;
    if (status == AP_OK && told.range_count) {
        status = ap_recon_interval_read(&work->interval, &whole->pick, species, &cli->company, ranges, told.range_count,
                                        err);
        work->it.interval = &work->interval;
    }
    return status == AP_OK ? read_rest(work, cli, err) : status;
}

static ap_status split_picks(ap_str names[AP_WRITEUP_PICKS_MAX], size_t *count, ap_str picks, ap_error *err) {
    *count = 0;
    for (ap_str rest = picks; rest.ptr && *count < AP_WRITEUP_PICKS_MAX;) {
        ap_str name = ap_str_split(rest, AP_WRITEUP_BETWEEN, &rest);
        if (name.len) {
            names[(*count)++] = name;
        }
    }
    return *count ? AP_OK : ap_error_set(err, AP_E_INPUT, "the write-up names no pick");
}

ap_status ap_writeup_work_open(ap_writeup_work *work, ap_cli *cli, const ap_writeup *writeup, ap_error *err) {
    ap_str names[AP_WRITEUP_PICKS_MAX];
    size_t count = 0;
    work->writeup = *writeup;
    if (writeup->told.ptr) {
        return ap_writeup_work_tell(work, cli, writeup->told, err);
    }
    ap_status status = split_picks(names, &count, writeup->pick_names, err);
    return status == AP_OK ? ap_writeup_work_read(work, cli, names, count, err) : status;
}

void ap_writeup_work_release(ap_writeup_work *work) {
    ap_roster_release(&work->roster);
}

ap_status ap_writeup_file_read(ap_writeup_file *file, ap_cli *cli, const char *path, ap_error *err) {
    file->path = path;
    ap_status status = ap_file_read(&file->bytes, path, AP_WRITEUP_TEXT_MAX, err);
    if (status == AP_OK) {
        status = ap_writeup_parse(&file->text, ap_buf_str(&file->bytes), err);
        if (status != AP_OK) {
            return ap_error_wrap(err, status, "unable to read '%s': ", path);
        }
    }
    if (status == AP_OK) {
        status = ap_book_writeup_get(&file->writeup, &cli->arena, cli->book, file->text.header.id, err);
    }
    if (status == AP_OK && !ap_str_equal(file->writeup.token, file->text.header.token)) {
        status = ap_error_set(err, AP_E_INPUT,
                              "'%s' is write-up %" PRId64 " of another book: open it with the book it was made with",
                              path, file->text.header.id);
    }
    if (status == AP_OK && file->text.header.revision > file->writeup.revision) {
        status = ap_error_set(err, AP_E_INPUT,
                              "'%s' is at revision %" PRId64 ", the book at %" PRId64
                              ": this book is an older copy; nothing is changed. To keep the text here all the "
                              "same, write 'revision: %" PRId64 "' in its header",
                              path, file->text.header.revision, file->writeup.revision, file->writeup.revision);
    }
    return status;
}
