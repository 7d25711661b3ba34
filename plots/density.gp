# Own wood against the handbook: one row a species, the single picks behind it.
#
# $species  handbook, prior low, prior high, own, low, high, trees; name    (page density unit; own NaN where there is none)
# $picks    density of one pick, its row from 0, a place in the row -0.5..0.5, 1 for a butt piece or one with brush
# unit      what the densities are in

rows = species_rows
has_picks = exists("picks_rows") && picks_rows > 0
eval sheet(760, (ap_text ? 168 : 142) + most(rows, 2) * (ap_text ? 17 : rows > 20 ? 24 : 38))

low = least(species_lo2, species_n5 > 0 ? species_lo5 : species_lo2)
high = most(species_hi3, species_n6 > 0 ? species_hi6 : species_hi3)
if (has_picks) {
    low = most(low * 0.7, least(low, picks_lo1))
    high = least(high * 1.3, most(high, picks_hi1))
}
set xrange [low * 0.98:high * 1.02]
set yrange [-rows + 0.4:0.6]
set lmargin screen 0.34
set rmargin screen 0.96
set tmargin screen from_top(30)
set bmargin screen from_foot(94)
if (ap_text) {
    set lmargin 34
    set rmargin 3
    set tmargin 1
    set bmargin 5
}
unset grid
if (!ap_text) { set grid xtics linetype 1 linewidth 0.5 linecolor rgb pale }
set border 1
eval weight_tics('x', low * 0.98, high * 1.02, 8)
set ytics scale 0
set xlabel (ap_text ? "green density with bark, ".unit."\n| handbook, ( ) its range; # own wood, [ ] 90 %; . a pick, x brushy or a butt" \
                    : "green density with bark, ".unit."\nsquare: handbook, pale bar: its range; dot: own wood, 90 % interval\nring: one pick; cross: a butt, or a pick with brush") offset 0, 0.2

row_of(r, off) = ap_text ? -r : -r + 0.34 * off
inside(v) = v > high * 1.02 || v < low * 0.98 ? nowhere : v
# In characters a line hides what lies under it: ends are drawn as brackets instead.
line = ap_text ? 0 : 1
plot $species using (nowhere):(-$0):ytic(cut(strcol(8), 24).sprintf(' (%.0f trees)', $7)) with points, \
     $species using (line ? ($2 + $3) / 2 : nowhere):(-$0):(line ? $2 : nowhere):(line ? $3 : nowhere) with xerrorbars pointtype 0 linewidth 9 linecolor rgb mist, \
     $picks using ($4 > 0.5 ? nowhere : inside($1)):(row_of($2, $3)) with points pointtype (ap_text ? '.' : ring) pointsize 0.35 linecolor rgb grey, \
     $picks using ($4 < 0.5 ? nowhere : inside($1)):(row_of($2, $3)) with points pointtype cross pointsize 0.3 linecolor rgb grey, \
     $species using (line ? nowhere : $2):(-$0) with points pointtype '(', \
     $species using (line ? nowhere : $3):(-$0) with points pointtype ')', \
     $species using 1:(-$0) with points pointtype (ap_text ? '|' : 5) pointsize 0.9 linecolor rgb black, \
     $species using (line && ok(5) && ok(6) ? ($5 + $6) / 2 : nowhere):(-$0):(line && ok(5) ? $5 : nowhere):(line && ok(6) ? $6 : nowhere) with xerrorbars pointtype 0 linewidth 2.4 linecolor rgb blue, \
     $species using (!line && ok(5) ? $5 : nowhere):(-$0) with points pointtype '[', \
     $species using (!line && ok(6) ? $6 : nowhere):(-$0) with points pointtype ']', \
     $species using (ok(4) ? $4 : nowhere):(-$0) with points pointtype (ap_text ? '#' : circle) pointsize 1 linecolor rgb blue
