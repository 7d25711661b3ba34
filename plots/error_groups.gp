# Error by group (species, cut, estimator ...): a dot and its interval, percent heavier (+) or lighter (-) than planned.
#
# $groups  value, low, high, count, pooled; name        (percent; NaN where there is none), top row first
# value_name  what the dot is, default 'median'
# interval_name  what the line is, default '90 % interval'
# left_out       groups there was no room for, default 0

if (!exists("value_name")) { value_name = 'median' }
if (!exists("interval_name")) { interval_name = '90 % interval' }
if (!exists("left_out")) { left_out = 0 }
rows = groups_rows
two_lines = groups_n5 > 0 || left_out > 0
# The dot may lie outside of its line: it is the median of the picks, the line is of the average over trees. The tick says where that is.
of_average = !ap_text && strstrt(interval_name, 'average') > 0 && groups_n3 > 0
hint = ap_text || groups_lo4 >= few ? '' : '; hollow under 5 picks'
under = fit(cut(value_name, 18).' (dot'.hint.'), '.cut(interval_name, ap_text ? 28 : 36).' (line'.(of_average ? ', tick' : '').')'.(groups_n5 > 0 ? "\n× after pulling small groups toward all picks" : '').more_rows(left_out))
foot = foot_for(under, two_lines ? 92 : 76)
longest = 0
set table $names
plot $groups using (0):(longest = most(longest, strlen(strcol(6))), 0) with table
unset table
eval sheet(across, ap_text ? text_rows(rows, 46) : 54 + foot + most(rows, 2) * row_px(tall_rows(longest) ? 44 : rows > 40 ? 18 : 24))

low = most(-80, least(-20, least(groups_lo1, groups_lo2) * 1.08))
high = least(120, most(20, most(groups_hi1, groups_hi3) * 1.08))
set xrange [low:high]
set yrange [rows_low(rows):rows_high(rows)]
eval rows_frame(46, foot, longest)
eval percent_tics('x', low, high, ap_narrow ? 5 : 7)
set xlabel under offset 0, 0.2
than = ap_narrow ? '' : ' than planned'
set label 1 '◀ lighter'.than at first 0, graph 1 right offset -1, ap_text ? 2 : 1.6 textcolor rgb black
set label 2 'heavier'.than.' ▶' at first 0, graph 1 left offset 1, ap_text ? 2 : 1.6 textcolor rgb black
if (!ap_text) { set label 3 'as planned' at first 0, graph 1 right offset 0, 0.6 textcolor rgb black }
set arrow 1 from first 0, graph 0 to first 0, graph 1 nohead linewidth 1.8 linecolor rgb black back
set arrow 2 from first 10, graph 0 to first 10, graph 1 nohead linewidth 1 dashtype 2 linecolor rgb grey back
set label 4 '+10 %' at first 10, graph 1 left offset ap_text ? 2 : 0, ap_text ? 1 : 0.6 textcolor rgb grey

# The interval is symmetric in the logarithm of the ratio.
centre(z) = (sqrt((1 + column(2) / 100.0) * (1 + column(3) / 100.0)) - 1) * 100
name(z) = named(strcol(6), ok(4) ? '(n = '.comma(column(4)).')' : '', longest)
plot for [i = ap_narrow:0] $groups using (low):(lift(name(0)) - $0):(name(0)) with labels right offset -1, 0 textcolor rgb black, \
     for [i = 1:ap_narrow] $groups using (low):(name_up - $0):(name(0)) with labels left textcolor rgb black boxed, \
     $groups using 2:(-mark_down - $0):($3 - $2):(0) with vectors arrowstyle 9, \
     for [i = 1:of_average] $groups using (ok(2) && ok(3) ? centre(0) : nowhere):(-mark_down - $0 - 0.2):(0):(0.4) with vectors arrowstyle 9, \
     $groups using ($4 >= few ? $1 : nowhere):(-mark_down - $0) with points pointtype circle pointsize 0.95 linecolor rgb blue, \
     $groups using ($4 < few ? $1 : nowhere):(-mark_down - $0) with points pointtype circle pointsize 0.95 linecolor rgb paper, \
     $groups using ($4 < few ? $1 : nowhere):(-mark_down - $0) with points pointtype ring pointsize 0.95 linewidth 1.6 linecolor rgb blue, \
     $groups using (ok(5) ? $5 : nowhere):(-mark_down - $0) with points pointtype cross pointsize 0.7 linewidth 1.6 linecolor rgb black, \
     $groups using (ok(3) && $3 > high ? high : nowhere):(-mark_down - $0):('»') with labels right offset 0.3, 0 textcolor rgb black, \
     $groups using (ok(2) && $2 < low ? low : nowhere):(-mark_down - $0):('«') with labels left offset -0.3, 0 textcolor rgb black
