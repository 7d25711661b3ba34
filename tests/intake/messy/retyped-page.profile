# An invented scenario: a notebook page typed off as it stood, one pick a line, a line for the day above.
name retyped notebook page
heading /^Job (?<job>\w++).*?, (?<date>\d++\/\d++\/\d++), (?<crane>crane \d++)/
line /^(?<pick>\d++)\) (?<species>[a-z ]+?) (?<piece>top|limb|leader|trunk|stub), (?<butt_diameter>[\d.]++ ?(?:in|")) butt x (?<length>\d++ ?ft), guess (?<planned_weight_lb>[^,]++)(?:, scale (?<measured_weight_lb>\d++))?(?:, (?<cut>through|step|hinge|angled|snap))?(?:, (?<leg_1_kind>\d (?:adj slings|choker)))?(?:, (?<notes>.++))?$/
dates mdy
numbers restart each day
measured_as gross
also notes -> movement
value leg_1_kind: /adj/ -> adjustable
value leg_1_kind: /choker/ -> eye
value movement: /butt came up/ -> butt_up
value movement: /swung/ -> swing
value movement: "still" -> still
value movement: otherwise -> blank
skip when line matches /^lunch$/

sample "Job J311 (invented), 10/5/2026, crane 2\n7) silver maple top, 24in butt x 18ft, guess 2400, scale 2950, step, 2 adj slings, butt came up a foot"
  gives job = J311, date = 2026-10-05, crane = crane 2, pick = 2026-10-05/7, species = silver maple, piece = top
  gives butt_diameter = 24 in, length = 18 ft, planned_weight = 2400 lb, measured_weight = 2950 lb
  gives cut = step, leg_1_kind = adjustable, movement = butt_up, notes = butt came up a foot
sample "lunch"
  gives nothing
sample "scale read 2140 twice, ok"
  gives set aside
