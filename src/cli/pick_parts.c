/* Parts of `pick`: the reconstruction of a pick, a what-if, its working. */
#include "cli/pick_parts.h"
#include "analysis/brush_learnt.h"
#include "analysis/kept_recon.h"
#include "book/assumptions.h"
#include "book/pick_history.h"
#include "book/pick_text.h"
#include "book/species.h"
#include "intake/amend_values.h"
#include "report/pick_figure.h"

static void reconstruct(ap_recon *out, const ap_pick *pick, const ap_derived *derived, const ap_wood *wood,
                        ap_recon_kept *kept, const ap_company *company) {
    ap_recon_given given = AP_RECON_GIVEN(derived, company);
    given.wood = wood;
    given.kept = kept;
    ap_reconstruct(out, pick, &given);
}

static ap_status find_wood(ap_wood *out, const ap_pick *pick, ap_cli *cli, ap_error *err) {
    ap_wood_given given = AP_WOOD_GIVEN_NOTHING;
    if (pick->species_id) {
        ap_status status = ap_book_species_get(&given.species, cli->book, pick->species_id, err);
        if (status != AP_OK) {
            return status;
        }
        ap_assumptions all;
        status = ap_book_assumptions_read(&all, &cli->arena, cli->book, err);
        if (status != AP_OK) {
            return status;
        }
        const ap_assumption *held = ap_assumption_in_force(&all, pick->species_id, pick->date);
        given.accepted_kg_m3 = held ? held->density_kg_m3 : (double)NAN;
        given.accepted_lowers = held && held->lowers_weight;
    }
    ap_wood_work_out(out, pick, &given, &cli->company);
    if (isnan(out->brush_allowance.value) && !cli->company.brush) {
        double *brush = ap_arena_alloc_array(&cli->arena, AP_WOOD_BRUSH_CLASSES, sizeof *brush);
        ap_status status = brush ? ap_brush_learnt_read(brush, cli->book, AP_DATE_NONE, err)
                                 : ap_arena_check(&cli->arena, "the brush of the weighed pieces", err);
        if (status != AP_OK) {
            return status;
        }
        cli->company.brush = brush;
        ap_wood_work_out(out, pick, &given, &cli->company);
    }
    return AP_OK;
}

ap_status ap_pick_reconstruct(ap_whole_pick *whole, ap_cli *cli, ap_error *err) {
    ap_recon_kept kept;
    ap_status status = find_wood(&whole->wood, &whole->pick, cli, err);
    if (status == AP_OK) {
        status = ap_kept_recon_read(&kept, cli->book, &whole->pick, err);
    }
    if (status == AP_OK) {
        reconstruct(&whole->recon, &whole->pick, &whole->derived, &whole->wood, &kept, &cli->company);
    }
    return status;
}

/* "leg_2_length 3.2 m (logged 5.5 m)" */
static void say_supposed(ap_buf *says, ap_cli *cli, const ap_supposed *supposed, const ap_pick *logged, int column) {
    ap_buf value;
    ap_buf_init(&value, 1 << 16);
    bool first = says->len == 0;
    ap_pick_value_write(&value, &supposed->pick, column);
    ap_str now =
        ap_say_history_value(&cli->arena, ap_str_from(ap_field_get(column)->name), ap_buf_str(&value), cli->names);
    ap_buf_appendf(says, "%s%s %.*s", first ? "Suppose " : ", ", ap_field_get(column)->label,
                   AP_STR_ARG(now.len ? ap_arena_str(&cli->arena, now) : AP_STR_LIT("not recorded")));
    ap_buf_clear(&value);
    ap_pick_value_write(&value, logged, column);
    ap_str was =
        ap_say_history_value(&cli->arena, ap_str_from(ap_field_get(column)->name), ap_buf_str(&value), cli->names);
    ap_buf_appendf(says, " (logged: %.*s)", AP_STR_ARG(was.len ? was : AP_STR_LIT("nothing")));
    ap_buf_release(&value);
}

static void tell_doubt(void *context, int column, ap_str field, ap_str text, const char *says) {
    (void)column;
    (void)text;
    ap_cli *cli = context;
    ap_cli_say(cli, cli->notes, "to look at: %.*s %s\n", AP_STR_ARG(field), says);
}

/* The pick with other values, read and judged as `amend` would; nothing is written. */
ap_status ap_pick_suppose(ap_supposed *out, const ap_whole_pick *whole, ap_cli *cli, ap_error *err) {
    ap_amend_value values[AP_AMEND_MAX];
    size_t count = 0;
    ap_status status = AP_OK;
    ap_wood wood;
    for (ap_str rest = ap_cli_get(cli, "suppose"); rest.ptr && status == AP_OK;) {
        ap_str one = ap_str_split(rest, '\n', &rest);
        if (count == AP_AMEND_MAX) {
            return ap_error_set(err, AP_E_USAGE, "more than %d things supposed at once", AP_AMEND_MAX);
        }
        status = ap_amend_parse(&values[count++], &cli->arena, cli->book, one, err);
    }
    if (status == AP_OK) {
        status = ap_amend_read(&out->pick, &cli->arena, cli->book, &cli->settings, &whole->pick, values, count,
                               cli->today, tell_doubt, cli, err);
    }
    if (status == AP_OK) {
        status = find_wood(&wood, &out->pick, cli, err);
    }
    if (status != AP_OK) {
        return status;
    }
    ap_derive(&out->derived, &out->pick, &cli->company);
    reconstruct(&out->recon, &out->pick, &out->derived, &wood, NULL, &cli->company);
    ap_buf says;
    ap_buf_init(&says, 1 << 20);
    for (size_t i = 0; i < count; i++) {
        say_supposed(&says, cli, out, &whole->pick, values[i].column);
    }
    ap_buf_append_cstr(&says, ".");
    out->says = ap_arena_str(&cli->arena, ap_buf_str(&says));
    ap_buf_release(&says);
    return AP_OK;
}

ap_status ap_pick_work_out(ap_record_list *records, int cells[AP_COLUMN_COUNT], const ap_whole_pick *whole, ap_cli *cli,
                           ap_error *err) {
    const ap_record_given given = {&whole->pick, &whole->derived, &whole->wood, &whole->recon, &cli->company};
    ap_status status = ap_book_pick_cells(cells, cli->book, whole->pick.id, err);
    if (status == AP_OK) {
        ap_records_make(records, &cli->arena, &given);
        status = ap_arena_check(&cli->arena, "the working of a pick", err);
    }
    return status;
}

bool ap_pick_figure_format(ap_figure_format *format, ap_str where) {
    static const struct {
        const char *ends;
        ap_figure_format format;
    } kinds[] = {{".svg", AP_FIGURE_SVG}, {".png", AP_FIGURE_PNG}, {".pdf", AP_FIGURE_PDF}};
    if (ap_str_equal_word(where, "text")) {
        *format = AP_FIGURE_TEXT;
        return true;
    }
    for (size_t i = 0; i < sizeof kinds / sizeof *kinds; i++) {
        size_t len = strlen(kinds[i].ends);
        ap_str end = {where.ptr + where.len - len, len};
        if (where.len > len && ap_str_equal_nocase(end, ap_str_from(kinds[i].ends))) {
            *format = kinds[i].format;
            return true;
        }
    }
    return false;
}

ap_status ap_pick_draw(const ap_whole_pick *whole, ap_cli *cli, ap_error *err) {
    ap_str where = ap_cli_get(cli, "figure");
    ap_figure_format format = AP_FIGURE_TEXT;
    ap_str trouble = AP_STR_NONE;
    if (!where.ptr || !ap_pick_figure_format(&format, where)) {
        return AP_OK;
    }
    ap_recon_view view = {&whole->pick, &whole->recon};
    if (whole->supposed) {
        view = (ap_recon_view){&whole->supposed->pick, &whole->supposed->recon};
    }
    ap_figure_set *set = ap_figure_set_new(&cli->arena, format);
    if (!set) {
        return ap_error_set(err, AP_E_MEMORY, "out of memory for the figure");
    }
    ap_figure_set_text_width(set, cli->width);
    ap_figure *figure = ap_pick_figure(set, ap_cli_units(cli), "pick", &view);
    ap_status status = ap_figure_set_draw(&trouble, set, ap_cli_figure_time_ms(cli), err);
    if (status == AP_OK && trouble.len) {
        cli->machine_trouble = true;
        ap_sink_printf(cli->notes, "afterpick: figure: %.*s\n", AP_STR_ARG(trouble));
    }
    if (status != AP_OK) {
        return status;
    }
    if (!ap_figure_output(figure).len) {
        ap_sink_printf(cli->out, "\n%.*s\n", AP_STR_ARG(ap_figure_missing(figure)));
        return AP_OK;
    }
    if (format == AP_FIGURE_TEXT) {
        ap_sink_printf(cli->out, "\n%.*s\n", AP_STR_ARG(ap_figure_output(figure)));
        return AP_OK;
    }
    char *path = ap_arena_cstr(&cli->arena, where);
    status =
        path ? ap_file_write(path, ap_figure_output(figure), err) : ap_error_set(err, AP_E_MEMORY, "out of memory");
    if (status == AP_OK) {
        ap_sink_printf(cli->out, "\nThe figure lies in %s\n", path);
    }
    return status;
}
