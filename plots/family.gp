# What all figures share. Read before each plot file, after its blocks and variables.
#
# Set by the program: ap_text (1: drawn in characters), ap_columns, ap_title, ap_format, ap_canvas(w, h).
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
step(span, parts) = step_round(span / parts, step_power(span / parts))
comma(v) = v < 999.5 ? sprintf('%.0f', v) : comma(floor(floor(v + 0.5) / 1000.0)).sprintf(',%03.0f', floor(v + 0.5) - 1000 * floor(floor(v + 0.5) / 1000.0))
picks_of(n) = comma(n).(n == 1 ? ' pick' : ' picks')
# Statements for eval: tick marks with a real minus sign and a bare 0 %, or with thousands set off. Numbers only.
# A label of `set xtics add` is read as a number format, and every % in it must stand twice; one of ytic() is not.
tick(s) = strstrt(s, '%') ? substr(s, 1, strstrt(s, '%')).'%'.tick(substr(s, strstrt(s, '%') + 1, strlen(s))) : s
tics_as(words, axis, low, high, parts) = \
    sprintf("set %stics (); do for [k = %d:%d] { set %stics add (tick(%s(k * %g)) k * %g) }", axis, ceil(low / step(high - low, parts)), \
            floor(high / step(high - low, parts)), axis, words, step(high - low, parts), step(high - low, parts))
percent_tics(axis, low, high, parts) = tics_as('signed', axis, low, high, parts)
weight_tics(axis, low, high, parts) = tics_as('comma', axis, low, high, parts)
# The sheet: `width` by `height` pixels; a drawing that stands alone (not in a page) carries its title above.
head = ap_svg || ap_text ? 0.0 : 30.0
sheet(w, h) = sprintf("width = %.1f; height = %.1f; eval ap_canvas(%g, %g); if (head > 0) { set label 999 cut(ap_title, 90) at screen 0.5, screen %g center }", \
                      w, h + head, w, h + head, 1 - 18.0 / (h + head))
from_top(px) = 1 - (head + px) / height
from_foot(px) = px / height

set border 3 linecolor rgb grey
set tics out nomirror textcolor rgb black
set grid noxtics ytics back linetype 1 linewidth 0.5 linecolor rgb pale
unset key
set style fill solid 1 noborder
set bars 0
if (ap_text) { unset grid }
set style textbox opaque noborder fillcolor rgb '#fdfcf8' margins 0.2, 0.2
