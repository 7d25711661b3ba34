# Hook load as a share of rated capacity: planned, and as measured at the cut or the set-down, whichever is worse.
#
# $picks   planned, measured, picks that the mark stands for      percent of rated capacity
# $named   planned, measured; name     optional: picks over chart, worst first; the first ten are named
# band1, band2                         the company's bands, default 75 and 85
# known, more, over                    picks in all, with more used than planned, over chart

if (!exists("named_rows")) { named_rows = 0; set print $named; print "-1e9\t-1e9\t-"; set print '-' }
if (!exists("known")) { known = 0 }
if (!exists("more")) { more = 0 }
if (!exists("over")) { over = 0 }
if (!exists("band1")) { band1 = 75 }
if (!exists("band2")) { band2 = 85 }
thinned = picks_hi3 > 1
text_of(s) = s[strstrt(s, "\"") + 1:strlen(s) - 1]
under = fit('planned share of rated capacity ('.picks_of(known).')'.thinned_words(picks_hi3))
# A narrow drawing has no room beside the frame: what is there stands below it.
if (ap_narrow) {
    listed = int(least(named_rows, 10))
    all_named = ''
    do for [i = 1:listed] { all_named = all_named.(i > 1 ? ', ' : '').cut(text_of($named[i]), 20) }
    if (named_rows > listed) { all_named = all_named.sprintf(' and %.0f more', named_rows - listed) }
    under = under.(listed > 0 ? "\n".wrap('▲ over chart: '.all_named, 44) : '')."\nslanted line: used as planned\nabove it, more: ".comma(more).' of '.comma(known)
}
foot = foot_for(under, 78 + second(picks_hi3))
eval sheet(across, ap_narrow ? 330 + foot : 500 + second(picks_hi3))

right = most(105, picks_hi1 + 5)
high = most(115, picks_hi2 + 6)

set xrange [0:right]
set yrange [0:high]
eval plane_frame(40, foot)
if (named_rows > 0 && !ap_narrow) { if (ap_text) { set rmargin 22 } else { set rmargin screen 0.74 } }
set xtics 25
set ytics 25
set format xy '%.0f %%'
set xlabel under
set label 6 'share used at the pick' at graph 0, 1 left offset -6, 0.9 textcolor rgb black
unset grid
set object 1 rectangle from graph 0, first 100 to graph 1, first high fillcolor rgb '#f6d9c8' fillstyle solid noborder behind
set object 2 rectangle from graph 0, first band2 to graph 1, first 100 fillcolor rgb '#f8ead0' fillstyle solid noborder behind
set object 3 rectangle from graph 0, first band1 to graph 1, first band2 fillcolor rgb '#f7f3dc' fillstyle solid noborder behind
set arrow 1 from graph 0, first 100 to graph 1, first 100 nohead linewidth 2.2 linecolor rgb black back
set arrow 2 from graph 0, first band2 to graph 1, first band2 nohead linewidth 1.2 dashtype 2 linecolor rgb black back
set arrow 3 from graph 0, first band1 to graph 1, first band1 nohead linewidth 1.2 dashtype 3 linecolor rgb black back
set label 1 'over chart: '.comma(over) at graph 0.02, first 100 left offset 0, 0.7 textcolor rgb black
set label 2 sprintf('past %.0f %%', band2) at graph 0.02, first band2 left offset 0, 0.6 textcolor rgb black
set label 3 sprintf('past %.0f %%', band1) at graph 0.02, first band1 left offset 0, 0.6 textcolor rgb black
if (!ap_narrow) {
    set label 4 'slanted line: used as planned' at graph 0.98, 0.115 right textcolor rgb black
    set label 5 'above it, more: '.comma(more).' of '.comma(known) at graph 0.98, 0.055 right textcolor rgb black
}

listed = ap_narrow ? 0 : least(named_rows, ap_text ? 6 : 10)
place(i) = 0.95 - i * 0.072
do for [i = 1:listed] {
    set label 20 + i cut(text_of($named[i]), 22) at graph 1.05, graph place(i - 1) left textcolor rgb black
    set arrow 20 + i from first real(word($named[i], 1)), first least(high, real(word($named[i], 2))) to graph 1.04, graph place(i - 1) \
        nohead linewidth 0.7 linecolor rgb grey
}
if (named_rows > listed && !ap_narrow) { set label 40 sprintf('and %.0f more', named_rows - listed) at graph 1.05, graph place(listed) left textcolor rgb grey }

plot x with lines linewidth 1.2 linecolor rgb grey, \
     $picks using 1:($2 <= 100.0000001 ? $2 : nowhere):(shade($3)) with points pointtype circle pointsize mark_size(picks_rows) linecolor rgb variable, \
     $picks using 1:($2 > 100.0000001 ? $2 : nowhere):(hot($3)) with points pointtype triangle pointsize most(0.9, mark_size(picks_rows) * 1.5) linecolor rgb variable
