# Error by species and cut: one cell each, its figure and its count in words, a symbol beside the colour.
#
# $cells    cut, species, percent, count     cut and species are places 1, 2, 3 ... in the two lists below; percent NaN: not weighed
# $cuts     place; name
# $species  place; name                      first on top
# value_name                                 default 'median'

if (!exists("value_name")) { value_name = 'median' }
wide = most(1, cuts_rows)
tall = most(1, species_rows)
# In a narrow drawing a species has a line of its own above its cells, and the words below go on in more lines.
legend = ap_narrow ? "▲▲ more than 25 % heavier than planned\n▲ more than 10 % heavier\n▼ more than 10 % lighter" \
                   : 'than planned:   ▲▲ more than 25 % heavier   ▲ more than 10 % heavier   ▼ more than 10 % lighter'
key_words = fit(cut(value_name, 24).', n = weighed picks; in brackets under 5 picks; · no pick')
foot = ap_narrow ? 14 + 20 * (lines_in(legend) + lines_in(key_words)) : 58
eval sheet(ap_narrow ? most(360, 64.0 * wide) : most(760, least(1100, 220.0 + 96 * wide)), 36 + foot + (ap_narrow ? 66 : 46) * tall)

set xrange [0.5:wide + 0.5]
set yrange [tall + 0.5:0.5]
set lmargin screen (ap_narrow ? 6 : 180) / width
set rmargin screen 1 - (ap_narrow ? 6 : 16) / width
set tmargin screen from_top(36)
set bmargin screen from_foot(foot)
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
set label 1 legend at screen 0.5, screen from_foot(ap_narrow ? foot - 18 : 36) center textcolor rgb black
set label 2 key_words at screen 0.5, screen from_foot(ap_narrow ? 20 * lines_in(key_words) - 6 : 16) center textcolor rgb black
# On its tint the grey of the other figures would be too pale to read.
value_text(v, n) = n < 5 ? '('.symbol(v).signed(v).')' : symbol(v).signed(v)

set samples most(2, wide * tall)
column_of(k) = 1 + int(k) % wide
row_of(k) = 1 + int(k) / wide

low_by = ap_narrow ? 0.14 : 0.0
cell_half = ap_narrow ? 0.33 : 0.46

plot '+' using (column_of($0)):(row_of($0) + low_by):(0.48):(cell_half) with boxxyerror linecolor rgb '#f8f7f2', \
     '+' using (column_of($0)):(row_of($0) + low_by):('·') with labels textcolor rgb grey, \
     $cells using 1:($2 + low_by):(0.48):(cell_half):(ok(3) ? colour($3) : 0xf8f7f2) with boxxyerror linecolor rgb variable, \
     $cells using 1:($2 + low_by):(ok(3) ? value_text($3, $4) : 'not weighed') with labels offset screen 0, screen (ap_text ? 0 : 9 / height) textcolor rgb black, \
     $cells using 1:($2 + low_by):('n = '.comma($4)) with labels offset screen 0, screen (ap_text ? -17 / height : -10 / height) textcolor rgb '#333333', \
     for [i = 1:ap_narrow] $species using (0.54):($1 - 0.34):(cut(strcol(2), 44)) with labels left textcolor rgb black, \
     for [i = ap_narrow:0] $species using (nowhere):1:ytic(cut(strcol(2), 22)) with points
