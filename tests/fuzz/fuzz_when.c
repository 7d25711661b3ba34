/* Any bytes as a date and as a time. What must hold:
 *  - the orders a cell allows are exactly the orders under which it reads;
 *  - a date with one reading reads the same under every order;
 *  - a date written as ISO reads back; a time lies within the day;
 *  - a refusal says why and what would mend it, in valid UTF-8. */
#include "require.h"
#include "text/when.h"

int LLVMFuzzerTestOneInput(const uint8_t *data, size_t size);

static void check_refusal(const ap_refusal *why) {
    require(why->reason[0] && why->remedy[0]);
    require(ap_utf8_is_valid(ap_str_from(why->reason)) && ap_utf8_is_valid(ap_str_from(why->remedy)));
}

static bool read_under(ap_date *date, ap_str text, ap_date_order order) {
    ap_refusal why;
    *date = AP_DATE_NONE;
    bool read = ap_when_read_date(date, text, order, &why);
    if (!read) {
        check_refusal(&why);
        require(*date == AP_DATE_NONE);
        return false;
    }
    char iso[AP_ISO_SIZE];
    ap_date again = AP_DATE_NONE;
    ap_date_to_iso(iso, *date);
    require(ap_when_read_date(&again, ap_str_from(iso), AP_DATES_UNSETTLED, NULL) && again == *date);
    return true;
}

int LLVMFuzzerTestOneInput(const uint8_t *data, size_t size) {
    ap_str text = {(const char *)data, size};
    unsigned orders = ap_date_orders(text);
    ap_date unsettled;
    ap_date iso;
    ap_date mdy;
    ap_date dmy;
    bool one = read_under(&unsettled, text, AP_DATES_UNSETTLED);
    require(read_under(&iso, text, AP_DATES_ISO) == one && iso == unsettled);
    bool month_first = read_under(&mdy, text, AP_DATES_MDY);
    bool day_first = read_under(&dmy, text, AP_DATES_DMY);
    require(((orders & 1u) != 0) == one);
    require(((orders & 3u) != 0) == month_first && ((orders & 5u) != 0) == day_first);
    require(!one || (mdy == unsettled && dmy == unsettled && orders == 1));
    ap_time time = AP_TIME_NONE;
    ap_refusal why;
    if (ap_when_read_time(&time, text, &why)) {
        require(time >= 0 && time < 24 * 60);
        char text_again[AP_ISO_SIZE];
        ap_time again = AP_TIME_NONE;
        ap_time_to_iso(text_again, time);
        require(ap_when_read_time(&again, ap_str_from(text_again), NULL) && again == time);
    } else {
        check_refusal(&why);
        require(time == AP_TIME_NONE);
    }
    return 0;
}
