#include "cli/commands.h"

ap_status ap_cli_text_figure_asked(bool *asked, const ap_cli *cli, ap_error *err) {
    ap_str figure = ap_cli_get(cli, "figure");
    *asked = figure.ptr && cli->format == AP_CLI_PAGE;
    return !figure.ptr || ap_str_equal_word(figure, "text")
               ? AP_OK
               : ap_error_set(err, AP_E_USAGE, "--figure is 'text', not '%.*s'; a review has the drawn ones",
                              AP_STR_ARG(figure));
}

ap_figure_set *ap_cli_text_figures(ap_cli *cli, ap_error *err) {
    ap_figure_set *set = ap_figure_set_new(&cli->arena, AP_FIGURE_TEXT);
    if (set) {
        ap_figure_set_text_width(set, cli->width);
    } else {
        ap_error_set(err, AP_E_MEMORY, "out of memory for the figure");
    }
    return set;
}

ap_status ap_cli_write_text_figure(ap_cli *cli, ap_figure_set *set, const ap_figure *figure, ap_error *err) {
    ap_str trouble = AP_STR_NONE;
    ap_status status = ap_figure_set_draw(&trouble, set, ap_cli_figure_time_ms(cli), err);
    if (status != AP_OK) {
        return status;
    }
    if (trouble.len) {
        cli->machine_trouble = true;
        ap_sink_printf(cli->notes, "afterpick: figure: %.*s\n", AP_STR_ARG(trouble));
    }
    ap_str drawn = ap_figure_output(figure).len ? ap_figure_output(figure) : ap_figure_missing(figure);
    ap_sink_printf(cli->out, "\n%.*s\n", AP_STR_ARG(drawn));
    return AP_OK;
}
