name weighed pine pieces
about Stem pieces of southern pine, weighed green: LegacyTreeData (Radtke et al., DOI 10.7294/W4VD6WC6), CC BY.
use when header has "green_weight_lb", "d_large_ob_in"
column "study" -> job
column "year" -> nothing
column "state" -> nothing
column "spcd" -> nothing
column "common" -> species
column "scientific" -> nothing
column "tree" -> tree
column "piece" -> pick
column "butt" -> nothing
column "base_height_ft" -> nothing
column "d_large_ob_in" -> butt_diameter in in
column "d_mid_ob_in" -> nothing              # the planner has two ends and a length
column "d_small_ob_in" -> tip_diameter in in
column "length_ft" -> length in ft
column "green_weight_lb" -> measured_weight in lb
column "sum_section_volume_ft3" -> nothing
column "planned_lb" -> planned_weight in lb   # added by the test: conic volume at the reference density
numbers restart each tree
constant date = 2010-06-30
constant piece = trunk
constant condition = live
constant estimate_basis = table
measured_as net
planned_as net
