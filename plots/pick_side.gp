# One pick seen from the side, the tip's side to the right: before the cut and at rest on the hook. Lengths in metres, all to
# one scale; what is written has the units of the page.
#
# $after        x, y                 the piece at rest, closed outline
# $before       x, y                 the piece before the cut; no rows: not known
# $stem         x, y                 the stem that stays, open outline
# $legs         x, y, dx, dy, tight  at rest, from the attach point to the hook; 1 carries, 0 slack
# $legs_before  x, y, dx, dy, tight  before the cut
# $ways         x, y, dx, dy         butt and tip from before to after
# $points       x, y, kind           1 hook, 2 centre of gravity at rest, 3 before
# $labels       x, y, anchor x, anchor y; text
# xlow, xhigh, ylow, yhigh           what is seen
# plot_height                        pixels of it; 720 wide
# bar, bar_name                      length of the scale bar, and in words
# $labels_narrow and the six above with _narrow behind their names: for the narrow drawing, 340 wide
# note                               a line under the drawing

# A plot statement wants every block it names, also one that is not drawn.
empty = "-1e9\t-1e9\t-1e9\t-1e9\t-1e9"
if (!exists("before_rows")) { before_rows = 0; set print $before; print empty; set print '-' }
if (!exists("stem_rows")) { stem_rows = 0; set print $stem; print empty; set print '-' }
if (!exists("legs_rows")) { legs_rows = 0; set print $legs; print empty; set print '-' }
if (!exists("legs_before_rows")) { legs_before_rows = 0; set print $legs_before; print empty; set print '-' }
if (!exists("ways_rows")) { ways_rows = 0; set print $ways; print empty; set print '-' }
if (!exists("points_rows")) { points_rows = 0; set print $points; print empty; set print '-' }
if (!exists("labels_rows")) { labels_rows = 0; set print $labels; print empty; set print '-' }
if (!exists("labels_narrow_rows")) { labels_narrow_rows = 0; set print $labels_narrow; print empty; set print '-' }
if (ap_narrow) {
    xlow = xlow_narrow; xhigh = xhigh_narrow; ylow = ylow_narrow; yhigh = yhigh_narrow
    plot_height = plot_height_narrow; bar = bar_narrow; bar_name = bar_name_narrow
    labels_rows = labels_narrow_rows
}
under = ap_narrow ? wrap(note, 46) : cut(note, ap_text ? ap_columns - 4 : 112)
note_px = 20 * (lines_in(under) - 1)
inner = ap_narrow ? 340.0 : 720.0
side = (across - inner) / 2.0
eval sheet(across, plot_height + 74 + note_px)
set lmargin screen side / across
set rmargin screen (across - side) / across
set tmargin screen from_top(8)
set bmargin screen from_foot(66 + note_px)
set xrange [xlow:xhigh]
set yrange [ylow:yhigh]
unset border
unset tics
unset grid
set style arrow 1 head filled size screen 0.014, 18 linewidth 2 linecolor rgb red front
set style arrow 2 nohead linewidth 2.6 linecolor rgb blue
set style arrow 3 nohead linewidth 1.8 dashtype (4, 4) linecolor rgb blue
set style arrow 4 nohead linewidth 1.1 linecolor rgb grey
set style arrow 5 nohead linewidth 1.1 dashtype (3, 4) linecolor rgb grey
set style arrow 6 nohead linewidth 0.7 linecolor rgb grey

from_left(px) = (side + 4.0 + px) / across
bar_px = bar / (xhigh - xlow) * inner
bar_at = from_foot(40 + note_px)
set arrow 1 from screen from_left(0), screen bar_at to screen from_left(bar_px), screen bar_at heads size screen 0.006, 90 \
    linewidth 1.6 linecolor rgb black
set label 1 bar_name at screen from_left(8 + bar_px), screen bar_at left textcolor rgb black
set label 2 under at screen from_left(0), screen from_foot(15 + note_px) left textcolor rgb black

some(n) = n > 0 ? 1 : 0
is(k, kind) = column(3) == kind ? column(k) : nowhere
leg(k, tight) = column(5) == tight ? column(k) : NaN
far(k) = sqrt((column(1) - column(3)) ** 2 + (column(2) - column(4)) ** 2) > 0.03 * (xhigh - xlow) ? column(k) : NaN

plot for [i = 1:some(before_rows)] $before using 1:2 with filledcurves closed fillcolor rgb mist fillstyle solid 1.0 noborder, \
     for [i = 1:some(before_rows)] $before using 1:2 with lines linewidth 1.2 dashtype (3, 3) linecolor rgb grey, \
     for [i = 1:some(stem_rows)] $stem using 1:2 with lines linewidth 1.6 linecolor rgb black, \
     for [i = 1:some(legs_before_rows)] $legs_before using (leg(1, 1)):2:3:4 with vectors arrowstyle 4, \
     for [i = 1:some(legs_before_rows)] $legs_before using (leg(1, 0)):2:3:4 with vectors arrowstyle 5, \
     $after using 1:2 with filledcurves closed fillcolor rgb '#e6d3ae' fillstyle solid 1.0 noborder, \
     $after using 1:2 with lines linewidth 2 linecolor rgb black, \
     for [i = 1:some(legs_rows)] $legs using (leg(1, 1)):2:3:4 with vectors arrowstyle 2, \
     for [i = 1:some(legs_rows)] $legs using (leg(1, 0)):2:3:4 with vectors arrowstyle 3, \
     for [i = 1:some(ways_rows)] $ways using 1:2:3:4 with vectors arrowstyle 1, \
     for [i = 1:some(labels_rows) * (1 - ap_narrow)] $labels using (far(3)):4:(column(1) - column(3)):(column(2) - column(4)) with vectors arrowstyle 6, \
     for [i = 1:some(labels_rows) * ap_narrow] $labels_narrow using (far(3)):4:(column(1) - column(3)):(column(2) - column(4)) with vectors arrowstyle 6, \
     for [i = 1:some(points_rows)] $points using (is(1, 1)):2 with points pointtype (ap_text ? 'H' : triangle) pointsize 1.6 linecolor rgb black, \
     for [i = 1:some(points_rows)] $points using (is(1, 3)):2 with points pointtype (ap_text ? '.' : ring) pointsize 1.1 linecolor rgb grey, \
     for [i = 1:some(points_rows)] $points using (is(1, 2)):2 with points pointtype (ap_text ? '@' : circle) pointsize 1.3 linecolor rgb black, \
     for [i = 1:some(labels_rows) * (1 - ap_narrow)] $labels using 1:2:5 with labels center textcolor rgb black boxed, \
     for [i = 1:some(labels_rows) * ap_narrow] $labels_narrow using 1:2:5 with labels center textcolor rgb black boxed
