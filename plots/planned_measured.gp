# Planned against measured weight of single picks.
#
# $picks  planned, measured (page units)
# unit    'lb' or 'kg'
#
# Above the line is heavier than planned. Bands of 10 % and 25 % on both sides.

if (!exists("unit")) { unit = 'lb' }
unit = cut(unit, 12)
eval sheet(680, 600)

top = most(picks_hi1, picks_hi2) * 1.04
top = top > 0 ? top : 1
many = picks_rows > 1500
size = picks_rows > 5000 ? 0.18 : many ? 0.28 : picks_rows > 300 ? 0.45 : 0.7
veil = many ? '99' : picks_rows > 300 ? '55' : '20'

weighed = 0
heavy = 0
very = 0
set table $counted
plot $picks using (0):(ok(1) && ok(2) ? (weighed = weighed + 1, heavy = heavy + ($2 > 1.10 * $1), very = very + ($2 > 1.25 * $1), 0) : 0) with table
unset table

set xrange [0:top]
set yrange [0:top]
set size ratio -1
set lmargin screen 0.13
set rmargin screen 0.88
set bmargin screen from_foot(78)
set tmargin screen from_top(46)
if (ap_text) {
    set size noratio
    set lmargin 12
    set rmargin 8
    set bmargin 4
    set tmargin 3
}
eval weight_tics('x', 0, top, 6)
eval weight_tics('y', 0, top, 6)
set xlabel 'planned, '.unit.'  ('.picks_of(weighed).')'
set label 10 'measured, '.unit at graph 0, 1 center offset 0, 1.2 textcolor rgb black

# The names of the lines stand where each leaves the frame.
set label 1 '+25 %' at top / 1.25, top center offset -1.2, 0.6 textcolor rgb black
set label 2 '+10 %' at top / 1.10, top center offset -0.2, 0.6 textcolor rgb black
set label 3 'as planned' at top, top left offset 0.5, 0 textcolor rgb black
set label 4 '−10 %' at top, 0.9 * top left offset 0.5, 0 textcolor rgb black
set label 5 '−25 %' at top, 0.75 * top left offset 0.5, 0 textcolor rgb black
set label 6 'heavier than planned' at graph 0.03, 0.95 left textcolor rgb black
set label 7 '▲ '.comma(heavy).' of '.comma(weighed).' by more than 10 %,' at graph 0.03, 0.90 left textcolor rgb black
set label 9 comma(very).' of them by more than 25 %' at graph 0.03, 0.85 left textcolor rgb black
set label 8 'lighter than planned' at graph 0.97, 0.05 right textcolor rgb black
set samples 101

plot '+' using ($1):($1 * 0.90):($1 * 1.10) with filledcurves fillcolor rgb mist, \
     1.25 * x with lines linewidth 1.2 dashtype 3 linecolor rgb grey, \
     0.75 * x with lines linewidth 1.2 dashtype 3 linecolor rgb grey, \
     1.10 * x with lines linewidth 1.2 dashtype 2 linecolor rgb grey, \
     0.90 * x with lines linewidth 1.2 dashtype 2 linecolor rgb grey, \
     x with lines linewidth 1.6 linecolor rgb black, \
     $picks using 1:($2 <= 1.10 * $1 ? $2 : nowhere) with points pointtype circle pointsize size linecolor rgb '#'.veil.'0072b2', \
     $picks using 1:($2 > 1.10 * $1 ? $2 : nowhere) with points pointtype triangle pointsize size * 1.35 linecolor rgb '#'.veil.'d55e00'
