# A share by group (kerf, sling set-up ...): a dot and its interval, 0 to 100 %.
#
# $groups  share, low, high, yes, of; name      percent, NaN where there is none; top row first
# what                                          what the share is of: 'share of pieces that moved'
# interval_name                                 default '95 % interval'
# left_out                                      groups there was no room for, default 0

if (!exists("what")) { what = 'share of picks' }
if (!exists("interval_name")) { interval_name = '95 % interval' }
if (!exists("left_out")) { left_out = 0 }
rows = groups_rows
under = fit(cut(what, 44)."\ndot".(ap_text || groups_lo5 >= few ? '' : ', hollow under 5 picks').'; line: '.cut(interval_name, 24).more_rows(left_out))
foot = foot_for(under, 88 + (left_out > 0 ? 16 : 0))
longest = 0
set table $names
plot $groups using (0):(longest = most(longest, strlen(strcol(6))), 0) with table
unset table
eval sheet(across, ap_text ? text_rows(rows, 15) : 15 + foot + most(rows, 2) * row_px(tall_rows(longest) ? 44 : 24))

# The greatest end of an interval decides how far the axis goes: a quarter, a half or all.
high = groups_hi3 > 50 || groups_hi1 > 50 ? 100 : groups_hi3 > 25 || groups_hi1 > 25 ? 50 : 25
set xrange [0:high]
set yrange [rows_low(rows):rows_high(rows)]
eval rows_frame(15, foot, longest)
eval percents('x', high, 5)
set xlabel under offset 0, 0.2

name(z) = named(strcol(6), ok(1) && ok(4) && ok(5) ? '('.comma(column(4)).' of '.comma(column(5)).')' : '(no pick)', longest)
plot for [i = ap_narrow:0] $groups using (0):(lift(name(0)) - $0):(name(0)) with labels right offset -1, 0 textcolor rgb black, \
     for [i = 1:ap_narrow] $groups using (0):(name_up - $0):(name(0)) with labels left textcolor rgb black, \
     $groups using 2:(-mark_down - $0):($3 - $2):(0) with vectors arrowstyle 9, \
     $groups using ($5 >= few ? $1 : nowhere):(-mark_down - $0) with points pointtype circle pointsize 0.95 linecolor rgb blue, \
     $groups using ($5 < few ? $1 : nowhere):(-mark_down - $0) with points pointtype circle pointsize 0.95 linecolor rgb paper, \
     $groups using ($5 < few ? $1 : nowhere):(-mark_down - $0) with points pointtype ring pointsize 0.95 linewidth 1.6 linecolor rgb blue
