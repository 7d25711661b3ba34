# How pieces moved when they parted, by cut or by set-up: bars of shares, the counts written in.
#
# $moves   count1, count2 ... count6, low, high; name    counts of the movements named below, unused ones 0; low and high: the
#          interval of the first one's share in percent, NaN: none; first row on top
# move1 ... move6                               names: 'stayed still', 'butt up', 'tip dived', 'swung', 'rolled', 'dropped'
# group_word                                    what a row is, default 'cut'
# interval_name                                 default '95 % interval'
# left_out                                      groups there was no room for, default 0
#
# Each movement has a letter beside its colour: A 12 is 12 picks of the first kind.

if (!exists("group_word")) { group_word = 'cut' }
if (!exists("interval_name")) { interval_name = '95 % interval' }
if (!exists("left_out")) { left_out = 0 }
array tint[6] = ['#e4e8dc', '#7fb5d8', '#f2c566', '#b9dff5', '#e3b1cd', '#e8935a']
if (!exists("move1")) { move1 = 'stayed still' }
if (!exists("move2")) { move2 = 'butt up' }
if (!exists("move3")) { move3 = 'tip dived' }
if (!exists("move4")) { move4 = 'swung' }
if (!exists("move5")) { move5 = 'rolled' }
if (!exists("move6")) { move6 = 'dropped' }
array kind[6] = [move1, move2, move3, move4, move5, move6]
array used[6] = [moves_hi1, moves_hi2, moves_hi3, moves_hi4, moves_hi5, moves_hi6]
# Letters in the order of the movements that were logged, none left out.
letter(k) = substr('ABCDEF', 1 + (sum [j = 1:k] (used[j] > 0 ? 1 : 0)) - 1, 1 + (sum [j = 1:k] (used[j] > 0 ? 1 : 0)) - 1)
rows = moves_rows
under = fit('share of the picks of each '.cut(group_word, 16).'; the number in the bar is picks'.(moves_n7 > 0 ? "\ndark line: ".cut(interval_name, 24).' of the share of A' : '').more_rows(left_out))
foot = foot_for(under, 94 + (left_out > 0 ? 16 : 0))
kinds_a_line = ap_narrow ? 2 : 3
kinds_used = sum [k = 1:6] (used[k] > 0 ? 1 : 0)
top = ap_narrow ? 16 + 22 * int((kinds_used + 1) / 2) : 60
longest = 0
set table $names
plot $moves using (0):(longest = most(longest, strlen(strcol(9))), 0) with table
unset table
eval sheet(across, top + foot + row_px(tall_rows(longest) ? 46 : 36) * (ap_narrow ? 1.24 : 1) * most(1, rows))
set xrange [0:100]
set yrange [rows - 0.4:-0.6]
left = rows_left(longest)
set lmargin screen left
right = ap_narrow ? 0.93 : 0.96
set rmargin screen right
set tmargin screen from_top(top)
set bmargin screen from_foot(foot)
if (ap_text) {
    set lmargin 34
    set rmargin 3
    set tmargin 5
    set bmargin 5
}
unset grid
set border 1
unset ytics
set xtics 25
set format x '%.0f %%'
set xlabel under offset 0, 0.2
set style arrow 8 heads size screen 4.5 / width, 90 linewidth 1.6 linecolor rgb black
place = 0
do for [k = 1:6] {
    if (used[k] > 0) {
        set label 10 + k letter(k).'  '.cut(kind[k], 16) at screen left + 22.0 / width + (place % kinds_a_line) * (0.94 - left) / kinds_a_line, screen from_top(16 + 22.0 * (place / kinds_a_line)) left textcolor rgb black
        set object 10 + k rectangle center screen left + 9.0 / width + (place % kinds_a_line) * (0.94 - left) / kinds_a_line, screen from_top(16 + 22.0 * (place / kinds_a_line)) \
            size screen 13.0 / width, screen 13 / height fillcolor rgb tint[k] fillstyle solid border linecolor rgb grey
        place = place + 1
    }
}

seen(k) = ok(k) ? column(k) : 0
total(z) = most(1, sum [j = 1:6] seen(j))
edge(k) = 100.0 * (sum [j = 1:k] seen(j)) / total(0)
wide_enough(k) = edge(k) - edge(k - 1) > (ap_text ? 7 : ap_narrow ? 11 : 4.5)
middle(k) = (edge(k) + edge(k - 1)) / 2
name(z) = named(strcol(9), '(n = '.comma(total(0)).')', longest)
bar_top = ap_narrow ? 0.1 : 0.36
bar_foot = ap_text ? 0.36 : ap_narrow ? 0.31 : 0.24
counted(k) = seen(k) > 0 ? letter(k)." ".comma(seen(k)) : ''

plot for [k = 1:6] $moves using (edge(k)):0:(edge(k - 1)):(edge(k)):($0 - bar_top):($0 + bar_foot) \
         with boxxyerror fillcolor rgb tint[k] fillstyle solid border linecolor rgb grey, \
     for [k = 1:6] $moves using (seen(k) > 0 ? middle(k) : nowhere):0:(wide_enough(k) ? counted(k) : edge(k) - edge(k - 1) > (ap_narrow ? 4 : 1.8) ? letter(k) : '') \
         with labels offset screen 0, screen (ap_text ? 0 : (ap_narrow ? -5.0 : 2.0) / height) textcolor rgb black, \
     $moves using (ok(7) && ok(8) ? $7 : nowhere):($0 + (ap_text ? 0.5 : ap_narrow ? 0.41 : 0.35)):(ok(7) && ok(8) ? $8 - $7 : 0):(0) with vectors arrowstyle 8, \
     for [i = ap_narrow:0] $moves using (0):($0 - lift(name(0))):(name(0)) with labels right offset -1, 0 textcolor rgb black, \
     for [i = 1:ap_narrow] $moves using (0):($0 - 0.34):(name(0)) with labels left textcolor rgb black
