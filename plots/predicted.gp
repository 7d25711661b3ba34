# Movement as worked out against movement as logged: one mark a pick. Up: the butt rose, the tip dived; down: the other way.
#
# $picks    predicted, logged      in the page's unit of length, signed; logged 0: stayed still or settled
# unit                             'ft'

eval sheet(760, 560)
reach = most(most(abs(picks_lo1), abs(picks_hi1)), most(abs(picks_lo2), abs(picks_hi2))) * 1.08
reach = most(reach, 1)
size = picks_rows > 5000 ? 0.25 : picks_rows > 1500 ? 0.35 : picks_rows > 300 ? 0.5 : 0.8
veil = picks_rows > 1500 ? '88' : picks_rows > 300 ? '50' : '20'
set xrange [-reach:reach]
set yrange [-reach:reach]
set lmargin screen 0.12
set rmargin screen 0.97
set tmargin screen from_top(44)
set bmargin screen from_foot(78)
if (ap_text) {
    set lmargin 9
    set rmargin 3
    set tmargin 3
    set bmargin 4
}
set xtics step(2 * reach, 8)
set ytics step(2 * reach, 8)
set format xy '%g'
set xlabel 'worked out: butt down (left), butt up (right), '.unit
set label 6 'logged, '.unit.': butt up (above), butt down (below)' at graph 0, 1 left offset -6, 1.1 textcolor rgb black
unset grid
set arrow 1 from -reach, 0 to reach, 0 nohead linewidth 1 linecolor rgb grey back
set arrow 2 from 0, -reach to 0, reach nohead linewidth 1 linecolor rgb grey back
set arrow 3 from -reach, -reach to reach, reach nohead linewidth 1.6 dashtype 2 linecolor rgb black back
set label 1 'as worked out' at graph 0.90, 0.955 right textcolor rgb black front
set label 2 'worked out down, logged up' at graph 0.02, 0.955 left textcolor rgb grey front
set label 3 'worked out up, logged down' at graph 0.98, 0.045 right textcolor rgb grey front
set label 4 'ring: stayed or settled' at graph 0.02, first 0 left offset 0, 0.8 textcolor rgb black front
moved(z) = ok(2) && $2 != 0 ? $2 : nowhere
stayed(z) = ok(2) && $2 == 0 ? 0 : nowhere
plot $picks using 1:(stayed(0)) with points pointtype ring pointsize size linewidth 1.2 linecolor rgb '#'.veil.'6b6b6b', \
     $picks using 1:(moved(0)) with points pointtype circle pointsize size linecolor rgb '#'.veil.'0072b2'
