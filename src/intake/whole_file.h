/* What no single row shows: a whole file in the wrong unit, or with its columns mixed up.
 *
 * Method  a factor that sets ratios apart from 1 by the same amount in most rows is a unit, not an error of estimate: weight
 *         measured to planned near 2.2 or 0.45, weight to volume times green density near a factor of feet, inches,
 *         centimetres or millimetres. Only told, nothing is corrected.
 * Source  the factors are those of the units; the shares asked for are common practice, no source. */
#ifndef AP_INTAKE_WHOLE_FILE_H
#define AP_INTAKE_WHOLE_FILE_H

#include "base/pick.h"
#include "base/settings.h"
#include "book/species.h"

enum { AP_WHOLE_SIGNS = 16 };

typedef struct ap_whole_file {
    int64_t weight_rows;
    int64_t weight_signs[AP_WHOLE_SIGNS];
    int64_t volume_rows;
    int64_t volume_signs[AP_WHOLE_SIGNS];
    int64_t basis_rows; /* measured gross and planned net in one row */
    int64_t gross_below_net;
    int64_t round_rows;
    int64_t planned_round; /* to a hundred of the unit it was written in */
    int64_t measured_round;
    int64_t light_rows;  /* both weights net, the piece lighter than three times its block and slings */
    int64_t light_gross; /* of these, far nearer to plan once block and slings are taken off */
    double copied_kg;    /* the measured weight of the row before, and in how many rows in a row it stands */
    int64_t copied_rows, copied_line;
    double longest_kg;
    int64_t longest_rows, longest_line;
    int64_t date_rows;
    int64_t days[32];    /* rows by day of the month */
    uint16_t months[32]; /* months seen with that day, a bit each */
} ap_whole_file;

void ap_whole_file_add(ap_whole_file *whole, const ap_pick *pick, const ap_species *species,
                       const ap_settings *settings);
/* The sentence number `index` from 0, false when there are no more. */
bool ap_whole_file_says(char *out, size_t size, const ap_whole_file *whole, int index);

#endif
