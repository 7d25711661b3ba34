#include "analysis/upkeep.h"

/* The weights of one job as they go by. */
typedef struct job_run {
    ap_str first;
    ap_str last;
    size_t length;
    double weight_kg;
} job_run;

typedef struct reader {
    ap_upkeep *out;
    ap_arena *arena;
    ap_intern *crew_names;
    ap_intern *job_names;
    ap_buf crews; /* ap_upkeep_crew by number of the name */
    ap_buf jobs;  /* job_run by number of the name */
} reader;

enum { TABLE_MAX = 64 << 20 };

const char *ap_upkeep_cell_name(ap_upkeep_cell cell) {
    static const char *const names[AP_UPKEEP_COUNT] = {
        [AP_UPKEEP_WEIGHT] = "measured_weight", [AP_UPKEEP_CAPACITY] = "capacity", [AP_UPKEEP_MOVEMENT] = "movement",
        [AP_UPKEEP_SLINGS] = "slings",          [AP_UPKEEP_TREE] = "tree",
    };
    return names[cell];
}

/* Entry `number` of a table that grows with zeros; NULL when memory is out. */
static void *entry_of(ap_buf *table, size_t size, uint32_t number) {
    static const char zeros[sizeof(job_run) > sizeof(ap_upkeep_crew) ? sizeof(job_run) : sizeof(ap_upkeep_crew)];
    while (table->status == AP_OK && table->len < ((size_t)number + 1) * size) {
        ap_buf_append(table, zeros, size);
    }
    return table->status == AP_OK ? (void *)(table->ptr + (size_t)number * size) : NULL;
}

static void count_crew(ap_upkeep_crew *crew, const ap_pick *pick) {
    crew->picks++;
    crew->blank[AP_UPKEEP_WEIGHT] += isnan(pick->measured_weight_kg) ? 1 : 0;
    crew->blank[AP_UPKEEP_CAPACITY] += isnan(pick->cut_capacity_kg) && isnan(pick->set_down_capacity_kg);
    crew->blank[AP_UPKEEP_MOVEMENT] += pick->movement == 0;
    crew->blank[AP_UPKEEP_SLINGS] += pick->leg_count == 0;
    crew->blank[AP_UPKEEP_TREE] += ap_str_is_blank(pick->tree);
}

static void end_run(ap_upkeep *out, const job_run *run) {
    if (run->length < AP_COPIED_LEAST) {
        return;
    }
    if (out->run_count < AP_COPIED_SHOWN) {
        out->runs[out->run_count] = (ap_copied_run){run->first, run->last, run->length, run->weight_kg};
    }
    out->run_count++;
}

/* Equal numbers written equally are equal doubles; a pick that was not weighed ends no run and makes none. */
static void follow_run(reader *read, job_run *run, const ap_pick *pick) {
    if (isnan(pick->measured_weight_kg)) {
        return;
    }
    ap_str name = ap_arena_str(read->arena, pick->name);
    if (run->length && fabs(run->weight_kg - pick->measured_weight_kg) < 1e-9) {
        run->length++;
    } else {
        end_run(read->out, run);
        *run = (job_run){.first = name, .length = 1, .weight_kg = pick->measured_weight_kg};
    }
    run->last = name;
}

static ap_status add_pick(void *context, const ap_pick *pick, ap_error *err) {
    reader *read = context;
    ap_upkeep *out = read->out;
    out->picks++;
    out->unweighed += isnan(pick->measured_weight_kg) ? 1 : 0;
    out->repeats_plan +=
        fabs(pick->measured_weight_kg - pick->planned_weight_kg) < 1e-9 && pick->planned_as == pick->measured_as;
    ap_upkeep_crew *crew =
        entry_of(&read->crews, sizeof *crew, ap_intern_add(read->crew_names, ap_str_trim(pick->crew)));
    job_run *run = entry_of(&read->jobs, sizeof *run, ap_intern_add(read->job_names, pick->job));
    if (!crew || !run) {
        return ap_error_set(err, AP_E_MEMORY, "out of memory for the crews and jobs");
    }
    count_crew(crew, pick);
    follow_run(read, run, pick);
    return ap_arena_check(read->arena, "how the logs are kept", err);
}

static ap_status keep_crews(ap_upkeep *out, reader *read, ap_error *err) {
    const ap_upkeep_crew *crews = (const ap_upkeep_crew *)(const void *)read->crews.ptr;
    size_t count = read->crews.len / sizeof *crews;
    out->crews = ap_arena_alloc_array(read->arena, count + 1, sizeof *crews);
    for (size_t i = 0; out->crews && i < count; i++) {
        if (crews[i].picks) {
            out->crews[out->crew_count] = crews[i];
            out->crews[out->crew_count++].crew = i ? ap_intern_get(read->crew_names, (uint32_t)i) : AP_STR_NONE;
        }
    }
    return ap_arena_check(read->arena, "the crews", err);
}

ap_status ap_upkeep_read(ap_upkeep *out, ap_arena *arena, ap_book *book, ap_error *err) {
    memset(out, 0, sizeof *out);
    reader read = {.out = out, .arena = arena, .crew_names = ap_intern_new(arena), .job_names = ap_intern_new(arena)};
    if (!read.crew_names || !read.job_names) {
        return ap_error_set(err, AP_E_MEMORY, "out of memory for the crews and jobs");
    }
    ap_buf_init(&read.crews, TABLE_MAX);
    ap_buf_init(&read.jobs, TABLE_MAX);
    const ap_pick_filter all = {.since = AP_DATE_NONE, .until = AP_DATE_NONE};
    ap_status status = ap_book_each_pick(book, &all, add_pick, &read, err);
    const job_run *runs = (const job_run *)(const void *)read.jobs.ptr;
    for (size_t i = 0; status == AP_OK && i < read.jobs.len / sizeof *runs; i++) {
        end_run(out, &runs[i]);
    }
    if (status == AP_OK) {
        status = keep_crews(out, &read, err);
    }
    ap_buf_release(&read.crews);
    ap_buf_release(&read.jobs);
    return status;
}
