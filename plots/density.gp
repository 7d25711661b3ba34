# Own wood against the handbook: one row a species, the single picks behind it.
#
# $species  handbook, prior low, prior high, own, low, high, trees; name    (page density unit; own NaN where there is none)
# $picks    density of one pick, its row from 0, a place in the row -0.5..0.5, 1 for a butt piece or one with brush
# left_out  picks that are not drawn because marks would lie on others, default 0
# unit      what the densities are in

rows = species_rows
unit = cut(unit, 12)
has_picks = exists("picks_rows") && picks_rows > 0
if (!exists("left_out")) { left_out = 0 }
# What stands under the axis; lb/ft3 with a raised three where there is one.
per = strstrt(unit, '3') > 1 && !ap_text ? substr(unit, 1, strlen(unit) - 1).'³' : unit
under = fit((ap_text ? "green density with bark, ".unit."\n| handbook, ( ) its range; # own wood, [ ] 90 %; . a pick, x brushy or a butt" \
                     : "green density with bark, ".per."\nsquare on a pale bar: handbook and its range; dot: own wood, 90 % interval\nring: one pick; cross: a butt, or a pick with brush").(left_out > 0 ? "\n".comma(left_out).' picks not drawn: they would lie on others' : ''))
foot = foot_for(under, 114 + (left_out > 0 ? 16 : 0))
eval sheet(across, ap_text ? text_rows(rows, 15) : 15 + foot + most(rows, 2) * (ap_narrow ? 64 : rows > 20 ? 30 : 46))

low = least(species_lo2, species_n5 > 0 ? species_lo5 : species_lo2)
high = most(species_hi3, species_n6 > 0 ? species_hi6 : species_hi3)
if (has_picks) {
    low = most(low * 0.7, least(low, picks_lo1))
    high = least(high * 1.3, most(high, picks_hi1))
}
set xrange [low * 0.98:high * 1.02]
set yrange [rows_low(rows):rows_high(rows)]
longest = 0
set table $names
plot $species using (0):(longest = most(longest, strlen(strcol(8))), 0) with table
unset table
eval rows_frame(15, foot, longest)
eval weight_tics('x', low * 0.98, high * 1.02, ap_narrow ? 5 : 8)
set xlabel under offset 0, 0.2

# From above: the name when there is no room beside, the handbook, own wood, the single picks. Where two agree neither hides the other.
row_of(r, off) = ap_text ? -r : -r - picks_down + 0.2 * off
picks_down = ap_narrow ? 0.33 : 0.25
inside(v) = v > high * 1.02 || v < low * 0.98 ? nowhere : v
above = ap_text ? 0 : ap_narrow ? 0.09 : 0.3
own_at = ap_text ? 0 : ap_narrow ? -0.1 : 0.07
name(z) = named(strcol(8), ok(7) ? '('.comma(column(7)).(column(7) == 1 ? ' tree)' : ' trees)') : '', longest)
# In characters a line hides what lies under it: ends are drawn as brackets instead.
line = ap_text ? 0 : 1
plot for [i = ap_narrow:0] $species using (low * 0.98):(lift(name(0)) - $0):(name(0)) with labels right offset -1, 0 textcolor rgb black, \
     for [i = 1:ap_narrow] $species using (low * 0.98):(0.34 - $0):(name(0)) with labels left textcolor rgb black, \
     $species using (line ? $2 : nowhere):(above - $0):($3 - $2):(0) with vectors nohead linewidth 9 linecolor rgb '#bdb9ad', \
     $picks using ($4 > 0.5 ? nowhere : inside($1)):(row_of($2, $3)) with points pointtype (ap_text ? '.' : ring) pointsize 0.4 linecolor rgb grey, \
     $picks using ($4 < 0.5 ? nowhere : inside($1)):(row_of($2, $3)) with points pointtype cross pointsize 0.4 linecolor rgb grey, \
     $species using (line ? nowhere : $2):(-$0) with points pointtype '(', \
     $species using (line ? nowhere : $3):(-$0) with points pointtype ')', \
     $species using 1:(above - $0) with points pointtype (ap_text ? '|' : 5) pointsize 0.9 linecolor rgb black, \
     $species using (line && ok(5) && ok(6) ? $5 : nowhere):(own_at - $0):(ok(5) && ok(6) ? $6 - $5 : 0):(0) with vectors arrowstyle 9, \
     $species using (!line && ok(5) ? $5 : nowhere):(-$0) with points pointtype '[', \
     $species using (!line && ok(6) ? $6 : nowhere):(-$0) with points pointtype ']', \
     $species using (ok(4) ? $4 : nowhere):(own_at - $0) with points pointtype (ap_text ? '#' : circle) pointsize 1 linecolor rgb blue
