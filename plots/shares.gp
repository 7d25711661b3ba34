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
eval sheet(760, ap_text ? text_rows(rows, 15) : 112 + (left_out > 0 ? 16 : 0) + most(rows, 2) * 24)

# The greatest end of an interval decides how far the axis goes: a quarter, a half or all.
high = groups_hi3 > 50 || groups_hi1 > 50 ? 100 : groups_hi3 > 25 || groups_hi1 > 25 ? 50 : 25
set xrange [0:high]
set yrange [rows_low(rows):rows_high(rows)]
longest = 0
set table $names
plot $groups using (0):(longest = most(longest, strlen(strcol(6))), 0) with table
unset table
eval rows_frame(15, 82 + (left_out > 0 ? 16 : 0), longest)
eval percents('x', high, 5)
set xlabel cut(what, 44)."\ndot".(ap_text || groups_lo5 >= few ? '' : ', hollow under 5 picks').'; line: '.cut(interval_name, 24).more_rows(left_out) offset 0, 0.2

plot $groups using (0):(-$0):(cut_middle(strcol(6), rows_name(longest)).(ok(1) ? sprintf(' (%.0f of %.0f)', $4, $5) : ' (no pick)')) with labels right offset -1, 0 textcolor rgb black, \
     $groups using 2:(-$0):($3 - $2):(0) with vectors arrowstyle 9, \
     $groups using ($5 >= few ? $1 : nowhere):(-$0) with points pointtype circle pointsize 0.95 linecolor rgb blue, \
     $groups using ($5 < few ? $1 : nowhere):(-$0) with points pointtype circle pointsize 0.95 linecolor rgb paper, \
     $groups using ($5 < few ? $1 : nowhere):(-$0) with points pointtype ring pointsize 0.95 linewidth 1.6 linecolor rgb blue
