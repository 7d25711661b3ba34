# Single picks in the order they were made, percent heavier (+) or lighter (-) than planned, with the signals marked.
#
# $picks   place, percent, picks that the mark stands for, kind        kind 0 as it came, 1 part of a run, 2 a heavy surprise
# $marks   place, percent; name        optional: a word at a signal, the first six are named
# weighed                              picks in all
# $line    place, percent              optional: a running mean on the same axis; line_name
# $cusum   place, value                optional: a sum in a panel below; cusum_limit, cusum_name

if (!exists("marks_rows")) { marks_rows = 0; set print $marks; print "-1e9\t-1e9\t-"; set print '-' }
if (!exists("line_rows")) { line_rows = 0; set print $line; print "-1e9\t-1e9"; set print '-' }
if (!exists("cusum_rows")) { cusum_rows = 0 }
if (!exists("weighed")) { weighed = 0 }
if (!exists("line_name")) { line_name = 'running mean' }
if (!exists("cusum_name")) { cusum_name = 'drift sum' }
if (!exists("cusum_limit")) { cusum_limit = NaN }
two = cusum_rows > 0 && !ap_text
shown = int(least(marks_rows, 6))
thinned = picks_hi3 > 1
count_words = fit('picks in order ('.comma(weighed).' weighed'.')'.thinned_words(picks_hi3))
runs_seen = 0
surprises = 0
set table $kinds
plot $picks using (0):(runs_seen = runs_seen + ($4 == 1), surprises = surprises + ($4 == 2), 0) with table
unset table
signals = runs_seen + surprises
key_words = (thinned ? '○ picks' : '○ pick').(runs_seen > 0 ? '   ▲ in a run or drift' : '').(surprises > 0 ? '   ◆ heavy surprise' : '')
if (runs_seen + surprises < 1) { key_words = key_words.'   no run, drift or heavy surprise was found' }
if (marks_rows > shown) { key_words = key_words.sprintf('   %.0f more not named', marks_rows - shown) }
if (line_rows > 0) { key_words = key_words.'   ━ '.cut(line_name, ap_narrow ? 30 : 44) }
key_words = fit(key_words)
extra = (ap_text ? 0 : 20 * shown) + 17 * (lines_in(key_words) - 1)
foot = foot_for(count_words, 78 + second(picks_hi3))
eval sheet(across, ap_narrow ? 290 + extra + foot + (two ? 150 : 0) : (two ? 560 : ap_text ? 420 + 17 * shown : 420) + extra + (two ? 0 : second(picks_hi3)))
signal_size = signals > 100 ? 0.55 : most(0.9, (picks_rows > 400 ? 0.45 : picks_rows > 120 ? 0.6 : 0.8) * 1.6)
size = thinned ? 0.4 : picks_rows > 400 ? 0.45 : picks_rows > 120 ? 0.6 : 0.8
first_pick = picks_lo1 - 1
last_pick = most(picks_hi1, picks_lo1 + 5) + 1
low = most(-80, least(-25, picks_lo2 - 4))
high = least(150, most(30, picks_hi2 + 10))
set xrange [first_pick:last_pick]
set yrange [low:high]
narrow_right = 0.84
eval plane_frame(38 + extra, two ? foot + 162 : foot)
if (ap_text) { set tmargin 2 + shown }
if (two) { set multiplot }
eval percent_tics('y', low, high, 7)
eval weight_tics('x', first_pick, last_pick, ap_narrow ? 5 : 8)
line_width = weighed > 2000 ? 0.7 : 2
if (two) { set format x '' } else { set xlabel count_words }
set label 1 'heavier' at graph 1.01, first high left offset 0, -0.6 textcolor rgb grey
set label 2 'lighter' at graph 1.01, first low left offset 0, 0.6 textcolor rgb grey
set label 3 (ap_narrow ? 'planned' : 'as planned') at graph 1.01, first 0 left offset 0, -0.2 textcolor rgb black
set label 4 '+10 %' at graph 1.01, first 10 left offset 0, 0.2 textcolor rgb black
set arrow 1 from graph 0, first 0 to graph 1, first 0 nohead linewidth 1.6 linecolor rgb black back
set arrow 2 from graph 0, first 10 to graph 1, first 10 nohead linewidth 1.4 dashtype 2 linecolor rgb black back
inside(v) = v > high ? high : v < low ? low : v
# Names of signals stand above the frame, one line each, so that they never meet.
do for [i = 1:shown] {
    spot = real(word($marks[i], 1))
    what = cut($marks[i][strstrt($marks[i], "\"") + 1:strlen($marks[i]) - 1], ap_text || ap_narrow ? 34 : 60)
    level = from_top(ap_text ? 17.0 * i + 20 : 20.0 * i + 18 + 17 * (lines_in(key_words) - 1))
    set arrow 10 + i from first spot, first inside(real(word($marks[i], 2))) to first spot, screen level nohead linewidth 0.9 linecolor rgb grey back
    if (spot > first_pick + 0.5 * (last_pick - first_pick)) {
        set label 10 + i what at first spot, screen level right offset -0.6, 0 textcolor rgb black
    } else {
        set label 10 + i what at first spot, screen level left offset 0.6, 0 textcolor rgb black
    }
}
if (ap_narrow) { set label 5 key_words at screen 0.02, screen from_top(16) left textcolor rgb black } else { set label 5 key_words at graph 0, screen from_top(16) left textcolor rgb black }

plot $picks using 1:($4 == 0 ? inside($2) : nowhere):(shade($3)) with points pointtype ring pointsize size linewidth 1.2 linecolor rgb variable, \
     $picks using 1:($4 == 1 ? inside($2) : nowhere) with points pointtype triangle pointsize signal_size linecolor rgb red, \
     $picks using 1:($4 == 2 ? inside($2) : nowhere) with points pointtype diamond pointsize 1.2 * signal_size linecolor rgb black, \
     $line using 1:2 with lines linewidth line_width linecolor rgb green

if (two) {
    unset label
    unset arrow
    set tmargin screen from_foot(foot + 118)
    set bmargin screen from_foot(foot)
    ceiling = most(cusum_hi2, cusum_limit == cusum_limit ? cusum_limit : 1) * 1.2
    set yrange [0:ceiling]
    set ytics autofreq
    set ytics step(ceiling, 4)
    set format xy '%.0f'
    set xlabel count_words
    set label 1 cut(cusum_name, ap_narrow ? 44 : 60) at graph 0, screen from_foot(foot + 132) left textcolor rgb black
    if (cusum_limit == cusum_limit) {
        set arrow 1 from graph 0, first cusum_limit to graph 1, first cusum_limit nohead linewidth 1.4 dashtype 2 linecolor rgb black
        set label 2 'signal' at graph 1.01, first cusum_limit left offset 0, 0 textcolor rgb black
    }
    # The signal is where the sum first passes the limit.
    was = 0
    now = 0
    limit = cusum_limit == cusum_limit ? cusum_limit : 1e300
    plot $cusum using 1:2 with steps linewidth least(1.6, line_width) linecolor rgb green, \
         $cusum using 1:(was = now, now = $2 > limit, now && !was ? $2 : nowhere) with points pointtype triangle pointsize 0.8 linecolor rgb red
    unset multiplot
}
