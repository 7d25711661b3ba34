# An invented scenario: a sheet kept on a phone, weights in pounds unless they say otherwise.
name crew-b phone sheet
about Crew B's sheet; pick numbers begin at 1 every morning.
use when header has "Est. wt", "Scale", "How it went"
heading /^Job:\s*+(?<job>\w++)/
delimiter ;
dates mdy
decimal point
ton short
bare us
numbers restart each day
measured_as gross
constant crew = B

column "Day" -> date
column "Pick" -> pick
column "Tree" -> tree
column "What" -> species
column "Est. wt" -> planned_weight in lb
column "Scale" -> measured_weight in lb
column "Cut kind" -> cut
column "How it went" -> notes
column "Slings" -> nothing
column "Who was up" -> climber if there
also notes -> movement

value planned_weight: "?", "n/a" -> blank
value cut: "shelf", "bypass" -> step
value cut: "thru" -> through
value movement: /butt\b.*\bup/i -> butt_up
value movement: /tip\b.*\bd(?:ove|ive)/i -> tip_dive
value movement: /swung|swing/i -> swing
value movement: /roll/i -> roll
value movement: "settled" -> settled
value movement: "nothing" -> still
value movement: otherwise -> blank

skip when "Day" matches /^total/i

sample "Day" = "9/14/2026", "Pick" = "7", "What" = "silver maple", "Est. wt" = "2400", "Scale" = "2,950", "Cut kind" = "shelf", "How it went" = "butt came up a foot"
  gives date = 2026-09-14, pick = 2026-09-14/7, species = silver maple, planned_weight = 2400 lb, measured_weight = "2,950 lb"
  gives cut = step, movement = butt_up, notes = butt came up a foot, crew = B, measured_as = gross
sample "Day" = "9/14/2026", "Pick" = "8", "What" = "red oak", "Est. wt" = "2 1/4 t", "Scale" = "", "How it went" = "swung and rolled"
  gives planned_weight = 4500 lb, measured_weight = blank, movement = swing+roll
sample "Day" = "total", "Est. wt" = "9700"
  gives nothing
sample "Day" = "9/15/2026", "Pick" = "2", "What" = "red oak", "Est. wt" = "approx 2t?"
  gives set aside
