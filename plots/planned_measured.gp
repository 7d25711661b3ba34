# Planned against measured weight of single picks.
#
# $picks  planned, measured (page units), picks that the mark stands for
# unit    'lb' or 'kg'
# weighed, heavier_10, heavier_25, lighter_10, lighter_25    picks in all, and by how many percent they were off
#
# Above the line is heavier than planned. Bands of 10 % and 25 % on both sides.

if (!exists("unit")) { unit = 'lb' }
if (!exists("weighed")) { weighed = 0 }
if (!exists("heavier_10")) { heavier_10 = 0 }
if (!exists("heavier_25")) { heavier_25 = 0 }
if (!exists("lighter_10")) { lighter_10 = 0 }
if (!exists("lighter_25")) { lighter_25 = 0 }
unit = cut(unit, 12)
thinned = picks_hi3 > 1
under = fit('planned, '.unit.'  ('.comma(weighed).' weighed'.')'.thinned_words(picks_hi3))
# In a narrow drawing what stands beside the line has no room on the sheet: it goes above and below.
above_words = 'above the line: heavier than planned'."\n".'▲ by more than 10 %: '.comma(heavier_10).' of '.comma(weighed).'; 25 %: '.comma(heavier_25)
below_words = "\nbelow the line: lighter than planned\nby more than 10 %: ".comma(lighter_10).' of '.comma(weighed).'; 25 %: '.comma(lighter_25)
if (ap_narrow) { under = under.below_words }
eval sheet(across, ap_narrow ? 338 + foot_for(under, 0) : 540 + second(picks_hi3))

top = most(picks_hi1, picks_hi2) * 1.04
top = top > 0 ? top : 1
narrow_right = 0.84

set xrange [0:top]
set yrange [0:top]
set size ratio -1
eval plane_frame(ap_narrow ? 86 : 44, foot_for(under, 78 + second(picks_hi3)))
if (ap_text) { set size noratio }
eval weight_tics('x', 0, top, ap_narrow ? 4 : 6)
eval weight_tics('y', 0, top, 6)
set xlabel under
set label 10 'measured, '.unit at graph 0, 1 left offset -6, 1.1 textcolor rgb black

# The names of the lines stand where each leaves the frame.
set label 1 '+25 %' at top / 1.25, top center offset ap_narrow ? -2.7 : -1.2, 0.6 textcolor rgb black
set label 2 '+10 %' at top / 1.10, top center offset -0.2, 0.6 textcolor rgb black
set label 3 (ap_narrow ? "as\nplanned" : 'as planned') at top, top left offset 0.5, ap_narrow ? 0.9 : 0 textcolor rgb black
set label 4 '−10 %' at top, 0.9 * top left offset 0.5, 0 textcolor rgb black
set label 5 '−25 %' at top, 0.75 * top left offset 0.5, 0 textcolor rgb black
if (ap_narrow) {
    set label 13 above_words at screen 0.02, screen from_top(16) left textcolor rgb black
} else {
    set label 6 'above the line: heavier than planned' at graph 0.03, 0.95 left textcolor rgb black
    set label 7 '▲ by more than 10 %: '.comma(heavier_10).' of '.comma(weighed) at graph 0.03, 0.90 left textcolor rgb black
    set label 9 'of these by more than 25 %: '.comma(heavier_25) at graph 0.03, 0.85 left textcolor rgb black
    set label 8 'below: lighter than planned' at graph 0.98, 0.155 right textcolor rgb black
    set label 11 'by more than 10 %: '.comma(lighter_10).' of '.comma(weighed) at graph 0.98, 0.105 right textcolor rgb black
    set label 12 'of these by more than 25 %: '.comma(lighter_25) at graph 0.98, 0.055 right textcolor rgb black
}
set samples 101

plot '+' using ($1):($1 * 0.90):($1 * 1.10) with filledcurves fillcolor rgb mist, \
     1.25 * x with lines linewidth 1.2 dashtype 3 linecolor rgb grey, \
     0.75 * x with lines linewidth 1.2 dashtype 3 linecolor rgb grey, \
     1.10 * x with lines linewidth 1.2 dashtype 2 linecolor rgb grey, \
     0.90 * x with lines linewidth 1.2 dashtype 2 linecolor rgb grey, \
     x with lines linewidth 1.6 linecolor rgb black, \
     $picks using 1:($2 <= 1.10 * $1 ? $2 : nowhere):(shade($3)) with points pointtype circle pointsize mark_size(picks_rows) linecolor rgb variable, \
     $picks using 1:($2 > 1.10 * $1 ? $2 : nowhere):(hot($3)) with points pointtype triangle pointsize mark_size(picks_rows) * 1.35 linecolor rgb variable
