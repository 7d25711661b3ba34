# Single picks in the order they were made, percent heavier (+) or lighter (-) than planned, with the signals marked.
#
# $picks   place, percent, kind        kind 0 as it came, 1 part of a run, 2 a heavy surprise
# $marks   place, percent; name        optional: a word at a signal, at most eight are named
# $line    place, percent              optional: a running mean on the same axis; line_name
# $cusum   place, value                optional: a sum in a panel below; cusum_limit, cusum_name

if (!exists("marks_rows")) { marks_rows = 0; set print $marks; print "-1e9\t-1e9\t-"; set print '-' }
if (!exists("line_rows")) { line_rows = 0; set print $line; print "-1e9\t-1e9"; set print '-' }
if (!exists("cusum_rows")) { cusum_rows = 0 }
if (!exists("line_name")) { line_name = 'running mean' }
if (!exists("cusum_name")) { cusum_name = 'drift sum' }
if (!exists("cusum_limit")) { cusum_limit = NaN }
two = cusum_rows > 0 && !ap_text
eval sheet(760, two ? 560 : 420)

size = picks_rows > 2000 ? 0.25 : picks_rows > 400 ? 0.45 : picks_rows > 120 ? 0.6 : 0.8
first_pick = picks_lo1 - 1
last_pick = most(picks_hi1, picks_lo1 + 5) + 1
low = most(-80, least(-25, picks_lo2 - 4))
high = least(150, most(30, picks_hi2 + 10))
set xrange [first_pick:last_pick]
set yrange [low:high]
set lmargin screen 0.11
set rmargin screen 0.86
set tmargin screen from_top(38)
set bmargin screen from_foot(two ? 240 : 78)
if (ap_text) {
    set lmargin 9
    set rmargin 12
    set tmargin 2
    set bmargin 4
}
if (two) { set multiplot }
eval percent_tics('y', low, high, 7)
set xtics step(last_pick - first_pick, 8)
count_words = 'picks in order ('.comma(picks_n2).' weighed)'
line_width = picks_rows > 2000 ? 0.7 : 2
if (two) { set format x '' } else { set xlabel count_words }
set label 1 'heavier' at graph 1.01, first high left offset 0, -0.6 textcolor rgb grey
set label 2 'lighter' at graph 1.01, first low left offset 0, 0.6 textcolor rgb grey
set label 3 'as planned' at graph 1.01, first 0 left offset 0, -0.2 textcolor rgb black
set label 4 '+10 %' at graph 1.01, first 10 left offset 0, 0.2 textcolor rgb black
set arrow 1 from graph 0, first 0 to graph 1, first 0 nohead linewidth 1.6 linecolor rgb black back
set arrow 2 from graph 0, first 10 to graph 1, first 10 nohead linewidth 1.4 dashtype 2 linecolor rgb black back
inside(v) = v > high ? high : v < low ? low : v
named = least(marks_rows, 8)
marked(z) = column(0) < named
late(v) = v > first_pick + 0.6 * (last_pick - first_pick)
key_words = '○ pick   ▲ in a run   ◆ heavy surprise'
if (line_rows > 0) { key_words = key_words.'   ━ '.cut(line_name, 44) }
set label 5 key_words at graph 0, screen from_top(16) left textcolor rgb black

plot $picks using 1:($3 == 0 ? inside($2) : nowhere) with points pointtype ring pointsize size linewidth 1.2 linecolor rgb blue, \
     $picks using 1:($3 == 1 ? inside($2) : nowhere) with points pointtype triangle pointsize most(0.9, size * 1.6) linecolor rgb red, \
     $picks using 1:($3 == 2 ? inside($2) : nowhere) with points pointtype diamond pointsize most(1.1, size * 1.9) linecolor rgb black, \
     $line using 1:2 with lines linewidth line_width linecolor rgb green, \
     $marks using (marked(0) && !late($1) ? $1 : nowhere):(inside($2)):(cut(strcol(3), 34)) with labels boxed left offset 0, 1.1 textcolor rgb black, \
     $marks using (marked(0) && late($1) ? $1 : nowhere):(inside($2)):(cut(strcol(3), 34)) with labels boxed right offset 0, 1.1 textcolor rgb black

if (two) {
    unset label
    unset arrow
    set tmargin screen from_foot(196)
    set bmargin screen from_foot(78)
    ceiling = most(cusum_hi2, cusum_limit == cusum_limit ? cusum_limit : 1) * 1.2
    set yrange [0:ceiling]
    set ytics autofreq
    set ytics step(ceiling, 4)
    set format xy '%.0f'
    set xlabel count_words
    set label 1 cut(cusum_name, 60) at graph 0, screen from_foot(210) left textcolor rgb black
    if (cusum_limit == cusum_limit) {
        set arrow 1 from graph 0, first cusum_limit to graph 1, first cusum_limit nohead linewidth 1.4 dashtype 2 linecolor rgb black
        set label 2 'signal' at graph 1.01, first cusum_limit left textcolor rgb black
    }
    # The signal is where the sum first passes the limit.
    was = 0
    now = 0
    limit = cusum_limit == cusum_limit ? cusum_limit : 1e300
    plot $cusum using 1:2 with steps linewidth least(1.6, line_width) linecolor rgb green, \
         $cusum using 1:(was = now, now = $2 > limit, now && !was ? $2 : nowhere) with points pointtype triangle pointsize 0.8 linecolor rgb red
    unset multiplot
}
