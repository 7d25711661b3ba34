# What all figures share. Read before each plot file, after its blocks and variables.
#
# Set by the program: ap_text (1: drawn in characters), ap_narrow (1: for a phone or half a sheet), ap_columns, ap_title, ap_format,
# ap_canvas(w, h).
# Colours: Okabe and Ito, "Color Universal Design", 2008. No meaning hangs on a colour alone: symbol, line or word says it too.
# The paper is light on every page, so that a figure prints and reads in the dark as well.

black = '#1a1a1a'
orange = '#e69f00'
sky = '#56b4e9'
green = '#009e73'
yellow = '#f0e442'
blue = '#0072b2'
red = '#d55e00'
purple = '#cc79a7'
grey = '#6b6b6b'
pale = '#d8d5cc'
mist = '#eeece5'
paper = '#fdfcf8'
few = 5 # a group with fewer picks has a hollow mark

# Symbols: a circle is a pick or group as it comes, an upright triangle is heavier, a diamond is one to look at.
circle = 7
ring = 6
triangle = 9
hollow_triangle = 8
diamond = 13
cross = 2
if (ap_text) {
    circle = 'o'
    ring = 'o'
    triangle = '^'
    diamond = '#'
    cross = 'x'
}

cut(s, n) = strlen(s) > n ? substr(s, 1, n - 1).'…' : s
# Names that differ at their end alone must not become the same: both ends are kept.
cut_middle(s, n) = strlen(s) > n ? substr(s, 1, n - n / 2 - 1).'…'.substr(s, strlen(s) - n / 2 + 1, strlen(s)) : s
least(a, b) = a < b ? a : b
most(a, b) = a > b ? a : b
# Is there a number in this column? A missing one spoils the whole expression it stands in, so ask first. Labels of which none
# has a place crash gnuplot 5.4: those go to `nowhere`, outside of every frame.
ok(c) = strcol(c) ne 'NaN'
nowhere = -1e9
signed(v) = sprintf('%s%.0f %%', v >= 0.5 ? '+' : v <= -0.5 ? '−' : '', abs(v))
# A step of 1, 2 or 5 times a power of ten that cuts `span` into at most `parts`.
step_power(x) = 10.0 ** floor(log10(x))
step_round(x, p) = x <= 1.0001 * p ? p : x <= 2.0001 * p ? 2 * p : x <= 5.0001 * p ? 5 * p : 10 * p
# Times 1.0: whole numbers would be divided as such, and a span of 2 in 8 parts be none.
step(span, parts) = step_round(span * 1.0 / parts, step_power(span * 1.0 / parts))
comma(v) = !(v >= 999.5) ? sprintf('%.0f', v) : comma(floor(floor(v + 0.5) / 1000.0)).sprintf(',%03.0f', floor(v + 0.5) - 1000 * floor(floor(v + 0.5) / 1000.0))
picks_of(n) = comma(n).(n == 1 ? ' pick' : ' picks')
# Statements for eval: tick marks with a real minus sign and a bare 0 %, or with thousands set off. Numbers only.
# A label of `set xtics add` is read as a number format, and every % in it must stand twice; one of ytic() is not.
tick(s) = strstrt(s, '%') ? substr(s, 1, strstrt(s, '%')).'%'.tick(substr(s, strstrt(s, '%') + 1, strlen(s))) : s
tics_as(words, axis, low, high, parts) = \
    sprintf("set %stics (); do for [k = %d:%d] { set %stics add (tick(%s(k * %g)) k * %g) }", axis, ceil(low / step(high - low, parts)), \
            floor(high / step(high - low, parts)), axis, words, step(high - low, parts), step(high - low, parts))
percent_tics(axis, low, high, parts) = tics_as('signed', axis, low, high, parts)
weight_tics(axis, low, high, parts) = tics_as('comma', axis, low, high, parts)
# A narrow drawing has less room for words: longer lines go on in the next one.
across = ap_narrow ? 360 : 760
last_blank(s, n) = n < 2 ? 0 : s[n:n] eq ' ' ? n : last_blank(s, n - 1)
break_at(s, n) = last_blank(s, n + 1) > 1 ? last_blank(s, n + 1) - 1 : n
wrapped(s, n, at) = s[1:at]."\n".wrap(s[at + (s[at + 1:at + 1] eq ' ' ? 2 : 1):strlen(s)], n)
wrap(s, n) = strlen(s) <= n ? s : wrapped(s, n, break_at(s, n))
fit_rest(s, at) = at < 1 ? wrap(s, 44) : wrap(s[1:at - 1], 44)."\n".fit_rest(s[at + 1:strlen(s)], strstrt(s[at + 1:strlen(s)], "\n"))
fit(s) = ap_narrow ? fit_rest(s, strstrt(s, "\n")) : s
lines_in(s) = strstrt(s, "\n") < 1 ? 1 : 1 + lines_in(s[strstrt(s, "\n") + 1:strlen(s)])
# Pixels below a frame for its tick marks and the words under them.
foot_for(s, least_px) = ap_narrow ? 50 + 20 * lines_in(s) : least_px
# The sheet: `width` by `height` pixels; a drawing that stands alone (not in a page) carries its title above.
head = ap_svg || ap_text ? 0.0 : 30.0
sheet(w, h) = sprintf("width = %.1f; height = %.1f; eval ap_canvas(%g, %g); if (head > 0) { set label 999 cut(ap_title, 90) at screen 0.5, screen %g center }", \
                      w, h + head, w, h + head, 1 - 18.0 / (h + head))
from_top(px) = 1 - (head + px) / height
from_foot(px) = px / height

# Of very many picks one mark stands for those of a small cell (thin_points.h): light for one, dark for ten and more.
shade(n) = thinned ? (n < 2 ? 0x4596c8 : n < 10 ? 0x0072b2 : 0x003a5c) : 0x200072b2
hot(n) = thinned ? (n < 2 ? 0xdd7420 : n < 10 ? 0xd55e00 : 0x7a3600) : 0x20d55e00
mark_size(n) = thinned ? 0.4 : n > 300 ? 0.45 : 0.7
thinned_words(n) = n < 2 ? '' : "\na mark stands for up to ".picks_of(n).': the darker, the more (light 1, dark 10 and more)'
more_rows(n) = n < 1 ? '' : sprintf("\n%.0f smaller group%s not drawn: in the table", n, n < 2 ? '' : 's')
second(n) = n > 1 ? 16 : 0 # room below for the line that says it
# Frames: one for pairs of numbers and courses, one for rows of names.
narrow_right = 0.97
plane_frame(top, foot) = sprintf("set lmargin %s; set rmargin %s; set tmargin %s; set bmargin %s", ap_text ? '9' : ap_narrow ? 'screen 0.18' : 'screen 0.11', \
                                 ap_text ? '12' : sprintf('screen %g', ap_narrow ? narrow_right : 0.86), \
                                 ap_text ? '3' : sprintf('screen %g', from_top(top)), ap_text ? '4' : sprintf('screen %g', from_foot(foot)))
# `side` is the longest name's letters: the room for names grows with it.
rows_left(side) = ap_narrow ? 0.06 : 0.36
# In a narrow drawing a name has a line of its own, above its marks.
name_up = ap_narrow ? 0.27 : 0.0
mark_down = ap_narrow ? 0.17 : 0.0
row_px(broad_px) = ap_narrow ? 42 : broad_px
# In characters one line a row: lines of the frame and its margins, and a range that gives each row a whole line.
text_rows(rows, top) = 17 * (rows + 8 + int(top / 15)) + 1
rows_low(rows) = ap_text ? -rows : -rows + 0.4
rows_high(rows) = ap_text ? 1 : 0.6
# A long name takes two lines beside its marks, one above them.
rows_name(side) = ap_text ? 19 : ap_narrow ? 34 : 56
tall_rows(side) = !ap_text && !ap_narrow && side > 22
glued(s) = strstrt(s, ' ') < 1 ? s : substr(s, 1, strstrt(s, ' ') - 1)."\302\240".glued(substr(s, strstrt(s, ' ') + 1, strlen(s)))
behind(s) = strlen(s) > 0 ? ' '.s : ''
lift(s) = lines_in(s) > 1 ? 0.26 : 0
named(s, counted, side) = tall_rows(side) ? wrap(cut_middle(s, rows_name(side)).behind(glued(counted)), 34) : cut_middle(s, rows_name(side)).behind(counted)
rows_frame(top, foot, side) = sprintf("set lmargin %s; set rmargin %s; set tmargin %s; set bmargin %s; unset grid; %s set border 1; unset ytics", \
                                ap_text ? '34' : sprintf('screen %g', rows_left(side)), ap_text ? '3' : ap_narrow ? 'screen 0.93' : 'screen 0.96', \
                                ap_text ? sprintf('%d', int(top / 15)) : sprintf('screen %g', from_top(top)), \
                                ap_text ? '6' : sprintf('screen %g', from_foot(foot)), \
                                ap_text ? '' : "set grid xtics linetype 1 linewidth 0.5 linecolor rgb pale;")
plain_percent(v) = sprintf('%.0f %%', v)
percents(axis, high, parts) = tics_as('plain_percent', axis, 0, high, parts)
set style arrow 9 nohead linewidth 2.2 linecolor rgb blue

set border 3 linecolor rgb grey
set tics out nomirror textcolor rgb black
set grid noxtics ytics back linetype 1 linewidth 0.5 linecolor rgb pale
unset key
set style fill solid 1 noborder
set bars 0
if (ap_text) { unset grid }
set style textbox opaque noborder fillcolor rgb paper margins 0.2, 0.2
