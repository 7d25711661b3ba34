# Movement as worked out against movement as logged: one mark a pick. Up: the butt rose, the tip dived; down: the other way.
#
# $picks    predicted, logged, picks that the mark stands for, kind     in the page's unit of length, signed
#           kind 0 moved; 1 stayed still or settled: its second number is a place in the band around zero, -1 to 1
# unit                               'ft'
# moved_count, stayed_count          picks of each kind

if (!exists("unit")) { unit = 'ft' }
if (!exists("moved_count")) { moved_count = 0 }
if (!exists("stayed_count")) { stayed_count = 0 }
unit = cut(unit, 12)
thinned = picks_hi3 > 1
under = fit('worked out, '.unit.': butt down (left), butt up (right)'.thinned_words(picks_hi3))
counted = '('.comma(moved_count).' moved, '.comma(stayed_count).' stayed)'
if (ap_narrow) { under = under."\nbroken line: logged as worked out".(stayed_count > 0 ? "\nring: stayed or settled, spread out" : '') }
foot = foot_for(under, 78 + second(picks_hi3))
eval sheet(across, ap_narrow ? 350 + foot : 560 + second(picks_hi3))
far = 0
set table $reaches
plot $picks using (0):(ok(1) ? (far = most(far, abs($1)), 0) : 0) with table
plot $picks using (0):(ok(2) && $4 == 0 ? (far = most(far, abs($2)), 0) : 0) with table
unset table
reach = most(far * 1.08, 1)
band = 0.045 * reach
set xrange [-reach:reach]
set yrange [-reach:reach]
eval plane_frame(ap_narrow ? 56 : 44, foot)
parts = ap_narrow ? 5 : 8
length(v) = sprintf('%s%g', v < 0 ? '−' : '', abs(v))
eval tics_as('length', 'x', -reach, reach, parts)
eval tics_as('length', 'y', -reach, reach, parts)
set xlabel under
set label 6 'logged, '.unit.': butt up (above), butt down (below)'.(ap_narrow ? "\n" : '  ').counted \
    at graph 0, 1 left offset (ap_narrow ? -5 : -6), (ap_narrow ? 1.9 : 1.1) textcolor rgb black
unset grid
set arrow 1 from -reach, 0 to reach, 0 nohead linewidth 1 linecolor rgb grey back
set arrow 2 from 0, -reach to 0, reach nohead linewidth 1 linecolor rgb grey back
set arrow 3 from -reach, -reach to reach, reach nohead linewidth 1.6 dashtype 2 linecolor rgb black back
if (!ap_narrow) { set label 1 'as worked out' at graph 1.01, 1 left textcolor rgb black front }
set label 2 'worked out down, logged up' at graph 0.02, 0.955 left textcolor rgb grey front
set label 3 'worked out up, logged down' at graph 0.98, 0.045 right textcolor rgb grey front
if (stayed_count > 0) {
    set object 1 rectangle from graph 0, first -1.3 * band to graph 1, first 1.3 * band fillcolor rgb mist fillstyle solid noborder behind
    if (!ap_narrow) {
        set label 4 'ring: stayed' at graph 1.01, first 0 left offset 0, (ap_text ? 1 : 0.5) textcolor rgb black front
        set label 5 'or settled,' at graph 1.01, first 0 left offset 0, (ap_text ? 0 : -0.5) textcolor rgb black front
        set label 7 'spread out' at graph 1.01, first 0 left offset 0, (ap_text ? -1 : -1.5) textcolor rgb black front
    }
}
# Light and dark here too: a ring that stands for ten and more is nearly black.
ring_shade(n) = thinned ? (n < 2 ? 0x8a8a8a : n < 10 ? 0x5a5a5a : 0x1a1a1a) : 0x6b6b6b
plot $picks using (ok(1) && $4 == 1 ? $1 : nowhere):($4 == 1 ? $2 * band : nowhere):(ring_shade($3)) with points pointtype (ap_text ? '.' : ring) pointsize (picks_rows > 100 ? 0.4 : 0.7) \
         linewidth 1.2 linecolor rgb variable, \
     $picks using ($4 == 0 ? $1 : nowhere):($4 == 0 ? $2 : nowhere):(shade($3)) with points pointtype circle pointsize mark_size(picks_rows) linecolor rgb variable
