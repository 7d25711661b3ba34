# Error by group (species, cut, estimator ...): a dot and its interval, percent heavier (+) or lighter (-) than planned.
#
# $groups  value, low, high, count, pooled; name        (percent; NaN where there is none), top row first
# value_name  what the dot is, default 'median'
# interval_name  what the line is, default '90 % interval'

if (!exists("value_name")) { value_name = 'median' }
if (!exists("interval_name")) { interval_name = '90 % interval' }
rows = groups_rows
eval sheet(760, 140 + most(rows, 2) * (ap_text ? 17 : rows > 40 ? 18 : 24))

low = most(-80, least(-20, least(groups_lo1, groups_lo2) * 1.08))
high = least(120, most(20, most(groups_hi1, groups_hi3) * 1.08))
set xrange [low:high]
set yrange [-rows + 0.4:0.6]
set lmargin screen 0.34
set rmargin screen 0.96
set tmargin screen from_top(46)
set bmargin screen from_foot(86)
if (ap_text) {
    set lmargin 34
    set rmargin 3
    set tmargin 3
    set bmargin 6
}
unset grid
if (!ap_text) { set grid xtics linetype 1 linewidth 0.5 linecolor rgb pale }
set border 1
eval percent_tics('x', low, high, 8)
set ytics scale 0
few = 5
hint = ap_text ? '' : '; hollow under 5 picks'
set xlabel cut(value_name, 18).' (dot'.hint.'), '.cut(interval_name, 18).' (line)'.(groups_n5 > 0 ? "\n× after pulling small groups toward all picks" : '') offset 0, 0.2
set label 1 '◀ lighter than planned' at first 0, graph 1 right offset -1, ap_text ? 2 : 1.6 textcolor rgb black
set label 2 'heavier than planned ▶' at first 0, graph 1 left offset 1, ap_text ? 2 : 1.6 textcolor rgb black
if (!ap_text) { set label 3 'as planned' at first 0, graph 1 right offset 0, 0.6 textcolor rgb black }
set arrow 1 from first 0, graph 0 to first 0, graph 1 nohead linewidth 1.8 linecolor rgb black back
set arrow 2 from first 10, graph 0 to first 10, graph 1 nohead linewidth 1 dashtype 2 linecolor rgb grey back
set label 4 '+10 %' at first 10, graph 1 left offset 0, ap_text ? 1 : 0.6 textcolor rgb grey

plot $groups using (nowhere):(-$0):ytic(cut(strcol(6), 26).(ok(4) ? sprintf(' (n = %.0f)', $4) : '')) with points, \
     $groups using (($2 + $3) / 2):(-$0):2:3 with xerrorbars pointtype 0 linewidth 2.2 linecolor rgb blue, \
     $groups using ($4 >= few ? $1 : nowhere):(-$0) with points pointtype circle pointsize 0.95 linecolor rgb blue, \
     $groups using ($4 < few ? $1 : nowhere):(-$0) with points pointtype circle pointsize 0.95 linecolor rgb '#fdfcf8', \
     $groups using ($4 < few ? $1 : nowhere):(-$0) with points pointtype ring pointsize 0.95 linewidth 1.6 linecolor rgb blue, \
     $groups using (ok(5) ? $5 : nowhere):(-$0) with points pointtype cross pointsize 0.7 linewidth 1.6 linecolor rgb black, \
     $groups using (ok(3) && $3 > high ? high : nowhere):(-$0):('»') with labels right offset 0.3, 0 textcolor rgb black, \
     $groups using (ok(2) && $2 < low ? low : nowhere):(-$0):('«') with labels left offset -0.3, 0 textcolor rgb black
