# Error by species and cut: one cell each, its figure and its count in words, a symbol beside the colour.
#
# $cells    cut, species, percent, count     cut and species are places 1, 2, 3 ... in the two lists below; percent NaN: not weighed
# $cuts     place; name
# $species  place; name                      first on top
# value_name                                 default 'median'

if (!exists("value_name")) { value_name = 'median' }
wide = most(1, cuts_rows)
tall = most(1, species_rows)
eval sheet(most(760, least(1100, 220.0 + 96 * wide)), 94 + 46 * tall)

set xrange [0.5:wide + 0.5]
set yrange [tall + 0.5:0.5]
set lmargin screen 180 / width
set rmargin screen 1 - 16 / width
set tmargin screen from_top(36)
set bmargin screen from_foot(58)
if (ap_text) {
    set lmargin 22
    set rmargin 2
    set tmargin 3
    set bmargin 3
}
unset border
unset grid
set tics scale 0
unset xtics
set ytics ()
do for [i = 1:cuts_rows] {
    set label 100 + i cut($cuts[i][strstrt($cuts[i], "\"") + 1:strlen($cuts[i]) - 1], ap_text ? 9 : 12) at first real(word($cuts[i], 1)), graph 1 center offset 0, 0.9 textcolor rgb black
}
# Colour by class, named below the grid; the symbol says the same without colour.
class(v) = v > 25 ? 4 : v > 10 ? 3 : v >= -10 ? 2 : 1
colour(v) = class(v) == 4 ? 0xf0a070 : class(v) == 3 ? 0xf8d9bd : class(v) == 2 ? 0xe9ebe0 : 0xc9e0f2
symbol(v) = class(v) == 4 ? '▲▲ ' : class(v) == 3 ? '▲ ' : class(v) == 1 ? '▼ ' : ''
set label 1 'than planned:   ▲▲ more than 25 % heavier   ▲ more than 10 % heavier   ▼ more than 10 % lighter' at screen 0.5, screen from_foot(36) center textcolor rgb black
set label 2 cut(value_name, 24).', n = weighed picks; in brackets under 5 picks; · no pick' at screen 0.5, screen from_foot(16) center textcolor rgb black
# On its tint the grey of the other figures would be too pale to read.
value_text(v, n) = n < 5 ? '('.symbol(v).signed(v).')' : symbol(v).signed(v)

set samples most(2, wide * tall)
column_of(k) = 1 + int(k) % wide
row_of(k) = 1 + int(k) / wide

plot '+' using (column_of($0)):(row_of($0)):(0.48):(0.46) with boxxyerror linecolor rgb '#f8f7f2', \
     '+' using (column_of($0)):(row_of($0)):('·') with labels textcolor rgb grey, \
     $cells using 1:2:(0.48):(0.46):(ok(3) ? colour($3) : 0xf8f7f2) with boxxyerror linecolor rgb variable, \
     $cells using 1:2:(ok(3) ? value_text($3, $4) : 'not weighed') with labels offset screen 0, screen (ap_text ? 0 : 9 / height) textcolor rgb black, \
     $cells using 1:2:(sprintf('n = %.0f', $4)) with labels offset screen 0, screen (ap_text ? -17 / height : -10 / height) textcolor rgb '#333333', \
     $species using (nowhere):1:ytic(cut(strcol(2), 22)) with points
