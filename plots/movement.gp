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
letter(k) = substr('ABCDEF', k, k)
rows = moves_rows
eval sheet(760, 158 + (left_out > 0 ? 16 : 0) + 36 * most(1, rows))
set xrange [0:100]
set yrange [rows - 0.4:-0.6]
longest = 0
set table $names
plot $moves using (0):(longest = most(longest, strlen(strcol(9))), 0) with table
unset table
left = rows_left(longest)
set lmargin screen left
set rmargin screen 0.96
set tmargin screen from_top(60)
set bmargin screen from_foot(90 + (left_out > 0 ? 16 : 0))
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
set xlabel 'share of the picks of each '.cut(group_word, 16).'; the number in the bar is picks'.(moves_n7 > 0 ? "\ndark line: ".cut(interval_name, 24).' of the share of A' : '').more_rows(left_out) offset 0, 0.2
set style arrow 8 heads size screen 0.006, 90 linewidth 1.6 linecolor rgb black
place = 0
do for [k = 1:6] {
    if (used[k] > 0) {
        set label 10 + k letter(k).'  '.cut(kind[k], 16) at screen left + 0.03 + (place % 3) * (0.94 - left) / 3, screen from_top(16 + 22.0 * (place / 3)) left textcolor rgb black
        set object 10 + k rectangle center screen left + 0.012 + (place % 3) * (0.94 - left) / 3, screen from_top(16 + 22.0 * (place / 3)) \
            size screen 0.018, screen 13 / height fillcolor rgb tint[k] fillstyle solid border linecolor rgb grey
        place = place + 1
    }
}

seen(k) = ok(k) ? column(k) : 0
total(z) = most(1, sum [j = 1:6] seen(j))
edge(k) = 100.0 * (sum [j = 1:k] seen(j)) / total(0)
wide_enough(k) = edge(k) - edge(k - 1) > (ap_text ? 7 : 4.5)
middle(k) = (edge(k) + edge(k - 1)) / 2
counted(k) = seen(k) > 0 ? letter(k)." ".comma(seen(k)) : ''

plot for [k = 1:6] $moves using (edge(k)):0:(edge(k - 1)):(edge(k)):($0 - 0.36):($0 + 0.36) \
         with boxxyerror fillcolor rgb tint[k] fillstyle solid border linecolor rgb grey, \
     for [k = 1:6] $moves using (seen(k) > 0 ? middle(k) : nowhere):0:(wide_enough(k) ? counted(k) : edge(k) - edge(k - 1) > 1.8 ? letter(k) : '') \
         with labels offset screen 0, screen (ap_text ? 0 : 4 / height) textcolor rgb black, \
     $moves using (ok(7) && ok(8) ? $7 : nowhere):($0 + (ap_text ? 0.5 : 0.25)):(ok(7) && ok(8) ? $8 - $7 : 0):(0) with vectors arrowstyle 8, \
     $moves using (0):0:(cut_middle(strcol(9), rows_name(longest)).' (n = '.comma(total(0)).')') with labels right offset -1, 0 textcolor rgb black
