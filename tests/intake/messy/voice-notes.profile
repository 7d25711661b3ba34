# An invented scenario: notes spoken into a phone, one block a pick.
name crew-c voice notes
block
heading /^Crew (?<crew>\w++), (?<date>[\d-]++), job (?<job>\w++)/
key "pick" -> pick
key "wood" -> species
key "said" -> planned_weight in lb
key "wt" -> measured_weight in lb
key "cut" -> cut
key "went" -> movement
measured_as net
value cut: "flat" -> through
value cut: "bypass" -> step
value movement: /kicked up/ -> butt_up
sample "Crew C, 2026-08-03, job J312\n\npick: 2\nwood: green ash\nwt: 2400 lbs\nsaid: 2600\ncut: bypass\nwent: butt kicked up"
  gives job = J312, date = 2026-08-03, crew = C, pick = 2, planned_weight = 2600 lb, measured_weight = 2400 lb, cut = step, movement = butt_up
