# Error by month with its interval and limits, and dated marks for what was changed.
#
# $months   place, value, low, high, count, limit_low, limit_high; name
#           place 1, 2, 3 ...; percent; '2026-10'; a month without a weighed pick keeps its row: value NaN, count 0
# $changes  place; name       optional: 3.4 is in the fourth tenth of the third month; the first six are named
# value_name, interval_name, limit_name       optional words

if (!exists("value_name")) { value_name = 'median' }
if (!exists("interval_name")) { interval_name = '90 % interval' }
if (!exists("limit_name")) { limit_name = 'limit' }
if (!exists("changes_rows")) { changes_rows = 0; set print $changes; print "-1e9\t-"; set print '-' }
shown = int(least(changes_rows, 6))
past = 0
thin_months = 0
is_past(z) = ok(2) && ((ok(6) && column(2) < column(6)) || (ok(7) && column(2) > column(7)))
set table $edges
plot $months using (0):(ok(2) && $5 < few ? (thin_months = thin_months + 1, 0) : 0) with table
plot $months using (0):(is_past(0) ? (past = past + 1, 0) : 0) with table
unset table
under = fit(cut(value_name, 24).' by month (dot'.(ap_text || thin_months < 1 ? '' : ', hollow under 5 picks').'), '.cut(interval_name, 24).' (line)'.(past > 0 ? ', ◆ past a limit' : ''))
foot = ap_narrow ? 22 + foot_for(under, 0) : 92
eval sheet(across, ap_narrow ? 280 + foot + 20 * shown : 390 + 20 * shown)

first_month = months_lo1 - 0.6
last_month = most(months_hi1, months_lo1 + 2) + 0.6
span = last_month - first_month
low = most(-60, least(-15, least(least(months_lo2, months_lo3), months_lo6)) - 2)
high = least(90, most(15, most(most(months_hi2, months_hi4), months_hi7)) + 2)
set xrange [first_month:last_month]
set yrange [low:high]
set lmargin screen (ap_narrow ? 0.18 : 0.11)
set rmargin screen (ap_narrow ? 0.84 : 0.86)
set tmargin screen from_top(14 + 20 * shown)
set bmargin screen from_foot(foot)
if (ap_text) {
    set lmargin 9
    set rmargin 11
    set tmargin 1 + shown
    set bmargin 6
}
eval percent_tics('y', low, high, 7)
apart = int(most(1, ceil(months_rows / (ap_text ? (ap_columns - 20) / 9.0 : ap_narrow ? 4.6 : 9.0))))
set xtics scale 0.5
set label 2 'lighter' at graph 1.01, first low left offset 0, 0.6 textcolor rgb grey
set label 3 (ap_narrow ? 'planned' : 'as planned') at graph 1.01, first 0 left offset 0, 0 textcolor rgb black
set label 4 'picks' at graph 0, first low right offset (ap_narrow ? -0.4 : -1), (ap_text ? -2 : -2.4) textcolor rgb black
set arrow 1 from graph 0, first 0 to graph 1, first 0 nohead linewidth 1.8 linecolor rgb black back

# Names of changes stand above the frame, one line each, so that they never meet.
do for [i = 1:shown] {
    spot = real(word($changes[i], 1))
    what = cut($changes[i][strstrt($changes[i], "\"") + 1:strlen($changes[i]) - 1], ap_narrow ? 30 : 56)
    level = from_top(ap_text ? 17.0 * i - 9 : 20.0 * i - 8)
    set arrow 10 + i from first spot, graph 0 to first spot, screen level nohead linewidth 1.3 dashtype 4 linecolor rgb '#a04a7a' back
    if (spot > first_month + 0.5 * span) {
        set label 10 + i what at first spot, screen level right offset -0.6, 0
    } else {
        set label 10 + i what at first spot, screen level left offset 0.6, 0
    }
}
last_high = nowhere
last_low = nowhere
set table $edges
plot $months using (0):(ok(7) ? (last_high = column(7), 0) : 0) with table
plot $months using (0):(ok(6) ? (last_low = column(6), 0) : 0) with table
unset table
set xlabel under offset 0, -1.3
if (high - last_high > 0.12 * (high - low)) { set label 1 'heavier' at graph 1.01, first high left offset 0, -0.6 textcolor rgb grey }
apart_y = 0.06 * (high - low) # closer to another word than this a limit goes without one
if (last_high > low && last_high < high && abs(last_high) > apart_y) { set label 5 cut(limit_name, 12) at graph 1.01, first last_high left offset 0, 0 textcolor rgb grey }
if (last_low - low > apart_y && last_low < high && last_high - last_low > apart_y && abs(last_low) > apart_y) { set label 6 cut(limit_name, 12) at graph 1.01, first last_low left offset 0, 0 textcolor rgb grey }

plot $months using ($1 - 0.5):6:(1):(0) with vectors nohead linewidth 1.4 dashtype 2 linecolor rgb grey, \
     $months using ($1 - 0.5):7:(1):(0) with vectors nohead linewidth 1.4 dashtype 2 linecolor rgb grey, \
     $months using 1:3:(0):($4 - $3) with vectors arrowstyle 9, \
     $months using 1:2 with lines linewidth 0.8 linecolor rgb blue, \
     $months using 1:(ok(2) ? $2 : nowhere) with points pointtype circle pointsize 0.95 linecolor rgb blue, \
     $months using 1:(ok(2) && $5 < few ? $2 : nowhere) with points pointtype (ap_text ? 'o' : circle) pointsize 0.95 linecolor rgb paper, \
     $months using 1:(ok(2) && $5 < few ? $2 : nowhere) with points pointtype ring pointsize 0.95 linewidth 1.6 linecolor rgb blue, \
     $months using 1:(is_past(0) ? $2 : nowhere) with points pointtype diamond pointsize 1.5 linecolor rgb black, \
     $months using 1:(nowhere):xtic(int($0) % apart ? '' : cut(strcol(8), 8)) with points, \
     $months using 1:(low):(months_rows <= (ap_narrow ? 10 : 30) || int($0) % apart == 0 ? comma($5) : '') \
         with labels offset 0, (ap_text ? -2 : -2.4) textcolor rgb black
