/* Parts of `pick`: the reconstruction of a pick, a what-if, its working. */
#include "cli/pick_parts.h"
#include "book/pick_history.h"
#include "book/pick_text.h"
#include "book/species.h"
#include "intake/amend_values.h"

static void reconstruct(ap_recon *out, const ap_pick *pick, const ap_derived *derived, const ap_wood *wood,
                        const ap_company *company) {
    ap_recon_given given = AP_RECON_GIVEN(derived, company);
    given.wood = wood;
    ap_reconstruct(out, pick, &given);
}

static ap_status find_wood(ap_wood *out, const ap_pick *pick, ap_cli *cli, ap_error *err) {
    ap_wood_given given = AP_WOOD_GIVEN_NOTHING;
    if (pick->species_id) {
        ap_status status = ap_book_species_get(&given.species, cli->book, pick->species_id, err);
        if (status != AP_OK) {
            return status;
        }
    }
    ap_wood_work_out(out, pick, &given, &cli->company);
    return AP_OK;
}

ap_status ap_pick_reconstruct(ap_whole_pick *whole, ap_cli *cli, ap_error *err) {
    ap_status status = find_wood(&whole->wood, &whole->pick, cli, err);
    if (status == AP_OK) {
        reconstruct(&whole->recon, &whole->pick, &whole->derived, &whole->wood, &cli->company);
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
    ap_sink_printf(cli->notes, "to look at: %.*s %s\n", AP_STR_ARG(field), says);
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
    reconstruct(&out->recon, &out->pick, &out->derived, &wood, &cli->company);
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
