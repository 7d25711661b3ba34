# Picks from one near miss to the next, in order, on a scale on which an exponential time is nearly normal: the 3.6th root.
#
# $gaps    number, root of the picks, picks, side       side -1 a signal: sooner; 1 a signal: later; 0 none
# $named   number, root of the picks; name              optional: a word at a signal
# center, low, high    of the root; NaN: no limits, or none below
# open, open_picks     since the last one, as a root and as picks; NaN when it was the last pick
# left_out             older ones that are not drawn

if (!exists("named_rows")) { named_rows = 0 }
if (!exists("center")) { center = NaN }
if (!exists("low")) { low = NaN }
if (!exists("high")) { high = NaN }
if (!exists("open")) { open = NaN }
if (!exists("open_picks")) { open_picks = 0 }
if (!exists("left_out")) { left_out = 0 }
is(v) = v == v
root(v) = v ** (1 / 3.6)
shown = int(least(named_rows, 4))
sooner = 0
later = 0
set table $sides
plot $gaps using (0):(sooner = sooner + ($4 < 0), later = later + ($4 > 0), 0) with table
unset table
key_words = '● one near miss'.(sooner > 0 ? '   ▲ signal: closer together' : '').(later > 0 ? '   ◆ signal: farther apart' : '')
if (is(center) && sooner + later < 1) { key_words = key_words.'   no signal' }
if (is(open)) { key_words = key_words.sprintf('   ○ since the last one (%s so far)', comma(open_picks)) }
key_words = fit(key_words)
under = fit('near misses in order'.(left_out > 0 ? sprintf('  (the youngest %.0f; %s older ones are not drawn)', gaps_rows, comma(left_out)) : ''))
extra = (ap_text ? 0 : 20 * shown) + 17 * (lines_in(key_words) - 1)
foot = foot_for(under, 78)
eval sheet(across, ap_narrow ? 310 + extra + foot : (ap_text ? 420 + 17 * shown : 440) + extra)
first_gap = gaps_lo1 - 0.5
last_gap = most(gaps_hi1, gaps_lo1 + 5) + 1.5
top = most(most(gaps_hi2, root(10)), most(is(high) ? high : 0, is(open) ? open : 0)) * 1.06
set xrange [first_gap:last_gap]
set yrange [0.7:top]
narrow_right = 0.8
eval plane_frame(60 + extra, foot)
if (ap_text) { set tmargin 3 + shown }
# A mark at 1, 2, 5, 10, ... picks, as far apart as there is room.
set ytics ()
below = -1
do for [k = 0:27] {
    v = (k % 3 == 0 ? 1 : k % 3 == 1 ? 2 : 5) * 10.0 ** (k / 3)
    if (root(v) <= top && root(v) - below > top / (ap_text ? 7.0 : 11.0)) { set ytics add (comma(v) root(v)); below = root(v) }
}
eval tics_as('comma', 'x', first_gap, last_gap, ap_narrow ? 5 : 8)
set xlabel under
set label 1 'picks from one near miss to the next' at graph 0, 1 left offset -6, (ap_text ? 1 : 0.9) textcolor rgb black
if (is(center)) {
    set arrow 1 from graph 0, first center to graph 1, first center nohead linewidth 1.6 linecolor rgb black back
    set label 2 'mostly' at graph 1.01, first center left textcolor rgb black
}
if (is(high)) {
    set arrow 2 from graph 0, first high to graph 1, first high nohead linewidth 1.4 dashtype 2 linecolor rgb black back
    set label 3 (ap_narrow ? 'usual to' : 'usual up to') at graph 1.01, first high left textcolor rgb black
}
if (is(low)) {
    set arrow 3 from graph 0, first low to graph 1, first low nohead linewidth 1.4 dashtype 2 linecolor rgb black back
    set label 4 'usual from' at graph 1.01, first low left textcolor rgb black
}
set label 5 key_words at graph 0, screen from_top(16) left textcolor rgb black
do for [i = 1:shown] {
    spot = real(word($named[i], 1))
    what = cut($named[i][strstrt($named[i], "\"") + 1:strlen($named[i]) - 1], ap_text || ap_narrow ? 34 : 60)
    level = from_top(ap_text ? 17.0 * i + 20 : 20.0 * i + 18 + 17 * (lines_in(key_words) - 1))
    set arrow 10 + i from first spot, first real(word($named[i], 2)) to first spot, screen level nohead linewidth 0.9 linecolor rgb grey back
    in_half = spot > first_gap + 0.5 * (last_gap - first_gap)
    if (in_half) { set label 10 + i what at first spot, screen level right offset -0.6, 0 front boxed textcolor rgb black }
    if (!in_half && !ap_narrow) { set label 10 + i what at first spot, screen level left offset 0.6, 0 front boxed textcolor rgb black }
    if (!in_half && ap_narrow) { set label 10 + i what at screen 0.03, screen level left front boxed textcolor rgb black }
}
size = gaps_rows > 60 ? 0.6 : 0.9
plot $gaps using 1:2 with lines linewidth 1 linecolor rgb pale, \
     $gaps using 1:($4 == 0 ? $2 : nowhere) with points pointtype circle pointsize size linecolor rgb blue, \
     $gaps using 1:($4 < 0 ? $2 : nowhere) with points pointtype triangle pointsize 1.5 * size linecolor rgb red, \
     $gaps using 1:($4 > 0 ? $2 : nowhere) with points pointtype diamond pointsize 1.6 * size linecolor rgb black, \
     '+' using (gaps_hi1 + 1):(is(open) ? open : nowhere) every ::0::0 with points pointtype ring pointsize size linewidth 1.4 linecolor rgb blue
