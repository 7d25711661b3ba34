-- Picks: what one row of a log says, whole, in SI, with where it came from.

CREATE TABLE job (
    -- One row per job, as the logs name it.
    id INTEGER PRIMARY KEY, -- row number; never shown
    job TEXT NOT NULL COLLATE NOCASE, -- its name; capital and small letters count as the same
    CONSTRAINT job_once UNIQUE (job),
    CONSTRAINT job_has_a_name CHECK (length(job) > 0)
) STRICT;

CREATE TABLE tree (
    -- One row per tree a log names; a tree is known by its job and its name.
    id INTEGER PRIMARY KEY, -- row number; never shown
    job_id INTEGER NOT NULL REFERENCES job (id), -- the job
    tree TEXT NOT NULL COLLATE NOCASE, -- its name
    CONSTRAINT tree_once UNIQUE (job_id, tree),
    CONSTRAINT tree_has_a_name CHECK (length(tree) > 0)
) STRICT;

CREATE TABLE pick (
    -- One row per piece lifted. NULL means not recorded, never zero. Quantities are in SI; how they were written stands in written. Words are numbers here and words in the view picks. The legs are columns, as in a log; the view legs has a row for each.
    id INTEGER PRIMARY KEY, -- row number; never shown
    job_id INTEGER NOT NULL REFERENCES job (id), -- the job
    part TEXT NOT NULL COLLATE NOCASE, -- middle of the name where a log restarts its numbers (a date, a crew), else ''
    pick TEXT NOT NULL COLLATE NOCASE, -- the pick as the log numbers it: the end of its name
    pick_order TEXT NOT NULL, -- pick so written that text order is natural order: 9 before 10 before 10a
    file_id INTEGER NOT NULL REFERENCES import_file (id), -- the log it came from
    line INTEGER NOT NULL, -- first line of its row in that log
    species_id INTEGER NOT NULL REFERENCES species (id), -- the species the written name was read as
    tree_id INTEGER REFERENCES tree (id), -- the tree; NULL when the log names none
    site TEXT, -- site
    date TEXT NOT NULL, -- date, YYYY-MM-DD
    time TEXT, -- time, HH:MM by the local clock
    crew TEXT, -- crew
    estimator TEXT, -- estimator
    climber TEXT, -- climber
    operator_name TEXT, -- crane operator
    crane TEXT, -- crane
    species TEXT NOT NULL, -- species
    condition INTEGER, -- condition: 1 live, 2 dead, 3 decayed
    foliage INTEGER, -- foliage: 1 leaf_on, 2 leaf_off, 3 evergreen
    piece INTEGER, -- piece: 1 top, 2 limb, 3 leader, 4 trunk, 5 stub
    length_m REAL, -- length, metres
    butt_diameter_m REAL, -- butt diameter, metres
    mid_diameter_m REAL, -- mid diameter, metres
    tip_diameter_m REAL, -- tip diameter, metres
    brush_share REAL, -- brush share of the weight, 0 to 1
    balance_point_m REAL, -- balance point from the butt, metres
    side_offset_m REAL, -- balance point off to the side, metres
    lean_deg REAL, -- lean above the horizontal, degrees
    planned_weight_kg REAL, -- planned weight, kilograms
    planned_as INTEGER, -- planned as net or gross: 1 net, 2 gross
    estimate_basis INTEGER, -- basis of the estimate: 1 chart, 2 table, 3 worked, 4 by_eye
    planned_radius_m REAL, -- planned radius, metres
    planned_capacity_kg REAL, -- rated capacity at the planned radius, kilograms
    rigging_weight_kg REAL, -- weight of block and slings, kilograms
    planned_cut INTEGER, -- planned cut: 1 through, 2 step, 3 hinge, 4 angled, 5 snap
    measured_weight_kg REAL, -- measured weight, kilograms
    measured_as INTEGER, -- measured as net or gross: 1 net, 2 gross
    weighed_by INTEGER, -- weighed by: 1 load_indicator, 2 load_cell, 3 scale
    cut_radius_m REAL, -- radius at the cut, metres
    cut_capacity_kg REAL, -- rated capacity at the cut, kilograms
    set_down_radius_m REAL, -- radius at set-down, metres
    set_down_capacity_kg REAL, -- rated capacity at set-down, kilograms
    boom_length_m REAL, -- boom length, metres
    preload_kg REAL, -- preload on the line before the cut, kilograms
    peak_load_kg REAL, -- peak load on the indicator, kilograms
    cut INTEGER, -- cut: 1 through, 2 step, 3 hinge, 4 angled, 5 snap
    kerf INTEGER, -- kerf: 1 steady, 2 closing, 3 opening
    fibre_left INTEGER, -- fibre left in the cut: 1 yes, 0 no
    movement INTEGER, -- movement at separation, a sum of: 1 still, 2 settled, 4 butt_up, 8 butt_down, 16 tip_dive, 32 tip_up, 64 swing, 128 roll, 256 drop
    movement_distance_m REAL, -- how far it moved, metres
    toward INTEGER, -- moved toward: 1 climber, 2 crew, 3 structure, 4 clear
    climber_at INTEGER, -- climber was at: 1 stem, 2 hook, 3 bucket, 4 ground
    climber_distance_m REAL, -- climber's distance, metres
    climber_side INTEGER, -- climber's side: 1 butt, 2 tip, 3 off
    re_rigs INTEGER, -- re-rigs
    tag_line INTEGER, -- tag line used: 1 yes, 0 no
    wind TEXT, -- wind
    near_miss INTEGER, -- near miss: 1 yes, 0 no
    damage TEXT, -- damage or injury
    notes TEXT, -- notes
    written TEXT NOT NULL, -- how each recorded quantity was written: two characters each, unit and last digit, in the order of the columns, legs last
    leg_1_kind INTEGER, -- leg 1: kind of sling: 1 eye, 2 adjustable, 3 chain, 4 wire, 5 round, 6 balancer
    leg_1_hitch INTEGER, -- leg 1: hitch: 1 choker, 2 cow, 3 timber, 4 basket, 5 none
    leg_1_locks INTEGER, -- leg 1: half hitches that lock it
    leg_1_at_m REAL, -- leg 1: attached at, from the butt, metres
    leg_1_length_m REAL, -- leg 1: length of the leg, metres
    leg_1_side_m REAL, -- leg 1: attached off to the side, metres
    leg_1_state INTEGER, -- leg 1: state at the cut: 1 tight, 2 snug, 3 slack
    leg_1_wll_kg REAL, -- leg 1: working load limit, kilograms
    leg_1_tag TEXT, -- leg 1: sling tag
    leg_2_kind INTEGER, -- leg 2: kind of sling: 1 eye, 2 adjustable, 3 chain, 4 wire, 5 round, 6 balancer
    leg_2_hitch INTEGER, -- leg 2: hitch: 1 choker, 2 cow, 3 timber, 4 basket, 5 none
    leg_2_locks INTEGER, -- leg 2: half hitches that lock it
    leg_2_at_m REAL, -- leg 2: attached at, from the butt, metres
    leg_2_length_m REAL, -- leg 2: length of the leg, metres
    leg_2_side_m REAL, -- leg 2: attached off to the side, metres
    leg_2_state INTEGER, -- leg 2: state at the cut: 1 tight, 2 snug, 3 slack
    leg_2_wll_kg REAL, -- leg 2: working load limit, kilograms
    leg_2_tag TEXT, -- leg 2: sling tag
    leg_3_kind INTEGER, -- leg 3: kind of sling: 1 eye, 2 adjustable, 3 chain, 4 wire, 5 round, 6 balancer
    leg_3_hitch INTEGER, -- leg 3: hitch: 1 choker, 2 cow, 3 timber, 4 basket, 5 none
    leg_3_locks INTEGER, -- leg 3: half hitches that lock it
    leg_3_at_m REAL, -- leg 3: attached at, from the butt, metres
    leg_3_length_m REAL, -- leg 3: length of the leg, metres
    leg_3_side_m REAL, -- leg 3: attached off to the side, metres
    leg_3_state INTEGER, -- leg 3: state at the cut: 1 tight, 2 snug, 3 slack
    leg_3_wll_kg REAL, -- leg 3: working load limit, kilograms
    leg_3_tag TEXT, -- leg 3: sling tag
    leg_4_kind INTEGER, -- leg 4: kind of sling: 1 eye, 2 adjustable, 3 chain, 4 wire, 5 round, 6 balancer
    leg_4_hitch INTEGER, -- leg 4: hitch: 1 choker, 2 cow, 3 timber, 4 basket, 5 none
    leg_4_locks INTEGER, -- leg 4: half hitches that lock it
    leg_4_at_m REAL, -- leg 4: attached at, from the butt, metres
    leg_4_length_m REAL, -- leg 4: length of the leg, metres
    leg_4_side_m REAL, -- leg 4: attached off to the side, metres
    leg_4_state INTEGER, -- leg 4: state at the cut: 1 tight, 2 snug, 3 slack
    leg_4_wll_kg REAL, -- leg 4: working load limit, kilograms
    leg_4_tag TEXT, -- leg 4: sling tag
    CONSTRAINT pick_once UNIQUE (job_id, part, pick),
    CONSTRAINT pick_has_a_name CHECK (pick <> ''),
    CONSTRAINT pick_has_a_weight CHECK (planned_weight_kg IS NOT NULL OR measured_weight_kg IS NOT NULL),
    CONSTRAINT pick_date_is_a_date CHECK (date >= '1900-01-01' AND date < '2200-01-01' AND length(date) = 10),
    CONSTRAINT pick_time_is_a_time CHECK (time >= '00:00' AND time < '24:00' AND length(time) = 5),
    CONSTRAINT pick_condition_is_known CHECK (condition BETWEEN 1 AND 3),
    CONSTRAINT pick_foliage_is_known CHECK (foliage BETWEEN 1 AND 3),
    CONSTRAINT pick_piece_is_known CHECK (piece BETWEEN 1 AND 5),
    CONSTRAINT pick_length_m_not_negative CHECK (length_m >= 0.0),
    CONSTRAINT pick_butt_diameter_m_not_negative CHECK (butt_diameter_m >= 0.0),
    CONSTRAINT pick_mid_diameter_m_not_negative CHECK (mid_diameter_m >= 0.0),
    CONSTRAINT pick_tip_diameter_m_not_negative CHECK (tip_diameter_m >= 0.0),
    CONSTRAINT pick_brush_share_is_a_share CHECK (brush_share >= 0.0 AND brush_share <= 1.0),
    CONSTRAINT pick_lean_deg_is_an_angle CHECK (lean_deg >= -180.0 AND lean_deg <= 180.0),
    CONSTRAINT pick_planned_weight_kg_not_negative CHECK (planned_weight_kg >= 0.0),
    CONSTRAINT pick_planned_as_is_known CHECK (planned_as BETWEEN 1 AND 2),
    CONSTRAINT pick_estimate_basis_is_known CHECK (estimate_basis BETWEEN 1 AND 4),
    CONSTRAINT pick_planned_radius_m_not_negative CHECK (planned_radius_m >= 0.0),
    CONSTRAINT pick_planned_capacity_kg_not_negative CHECK (planned_capacity_kg >= 0.0),
    CONSTRAINT pick_rigging_weight_kg_not_negative CHECK (rigging_weight_kg >= 0.0),
    CONSTRAINT pick_planned_cut_is_known CHECK (planned_cut BETWEEN 1 AND 5),
    CONSTRAINT pick_measured_weight_kg_not_negative CHECK (measured_weight_kg >= 0.0),
    CONSTRAINT pick_measured_as_is_known CHECK (measured_as BETWEEN 1 AND 2),
    CONSTRAINT pick_weighed_by_is_known CHECK (weighed_by BETWEEN 1 AND 3),
    CONSTRAINT pick_cut_radius_m_not_negative CHECK (cut_radius_m >= 0.0),
    CONSTRAINT pick_cut_capacity_kg_not_negative CHECK (cut_capacity_kg >= 0.0),
    CONSTRAINT pick_set_down_radius_m_not_negative CHECK (set_down_radius_m >= 0.0),
    CONSTRAINT pick_set_down_capacity_kg_not_negative CHECK (set_down_capacity_kg >= 0.0),
    CONSTRAINT pick_boom_length_m_not_negative CHECK (boom_length_m >= 0.0),
    CONSTRAINT pick_preload_kg_not_negative CHECK (preload_kg >= 0.0),
    CONSTRAINT pick_peak_load_kg_not_negative CHECK (peak_load_kg >= 0.0),
    CONSTRAINT pick_cut_is_known CHECK (cut BETWEEN 1 AND 5),
    CONSTRAINT pick_kerf_is_known CHECK (kerf BETWEEN 1 AND 3),
    CONSTRAINT pick_fibre_left_is_0_or_1 CHECK (fibre_left BETWEEN 0 AND 1),
    CONSTRAINT pick_movement_are_words CHECK (movement BETWEEN 1 AND 511),
    CONSTRAINT pick_movement_distance_m_not_negative CHECK (movement_distance_m >= 0.0),
    CONSTRAINT pick_toward_is_known CHECK (toward BETWEEN 1 AND 4),
    CONSTRAINT pick_climber_at_is_known CHECK (climber_at BETWEEN 1 AND 4),
    CONSTRAINT pick_climber_distance_m_not_negative CHECK (climber_distance_m >= 0.0),
    CONSTRAINT pick_climber_side_is_known CHECK (climber_side BETWEEN 1 AND 3),
    CONSTRAINT pick_re_rigs_not_negative CHECK (re_rigs >= 0),
    CONSTRAINT pick_tag_line_is_0_or_1 CHECK (tag_line BETWEEN 0 AND 1),
    CONSTRAINT pick_near_miss_is_0_or_1 CHECK (near_miss BETWEEN 0 AND 1),
    CONSTRAINT pick_leg_1_kind_is_known CHECK (leg_1_kind BETWEEN 1 AND 6),
    CONSTRAINT pick_leg_1_hitch_is_known CHECK (leg_1_hitch BETWEEN 1 AND 5),
    CONSTRAINT pick_leg_1_locks_not_negative CHECK (leg_1_locks >= 0),
    CONSTRAINT pick_leg_1_length_m_not_negative CHECK (leg_1_length_m >= 0.0),
    CONSTRAINT pick_leg_1_state_is_known CHECK (leg_1_state BETWEEN 1 AND 3),
    CONSTRAINT pick_leg_1_wll_kg_not_negative CHECK (leg_1_wll_kg >= 0.0),
    CONSTRAINT pick_leg_2_kind_is_known CHECK (leg_2_kind BETWEEN 1 AND 6),
    CONSTRAINT pick_leg_2_hitch_is_known CHECK (leg_2_hitch BETWEEN 1 AND 5),
    CONSTRAINT pick_leg_2_locks_not_negative CHECK (leg_2_locks >= 0),
    CONSTRAINT pick_leg_2_length_m_not_negative CHECK (leg_2_length_m >= 0.0),
    CONSTRAINT pick_leg_2_state_is_known CHECK (leg_2_state BETWEEN 1 AND 3),
    CONSTRAINT pick_leg_2_wll_kg_not_negative CHECK (leg_2_wll_kg >= 0.0),
    CONSTRAINT pick_leg_3_kind_is_known CHECK (leg_3_kind BETWEEN 1 AND 6),
    CONSTRAINT pick_leg_3_hitch_is_known CHECK (leg_3_hitch BETWEEN 1 AND 5),
    CONSTRAINT pick_leg_3_locks_not_negative CHECK (leg_3_locks >= 0),
    CONSTRAINT pick_leg_3_length_m_not_negative CHECK (leg_3_length_m >= 0.0),
    CONSTRAINT pick_leg_3_state_is_known CHECK (leg_3_state BETWEEN 1 AND 3),
    CONSTRAINT pick_leg_3_wll_kg_not_negative CHECK (leg_3_wll_kg >= 0.0),
    CONSTRAINT pick_leg_4_kind_is_known CHECK (leg_4_kind BETWEEN 1 AND 6),
    CONSTRAINT pick_leg_4_hitch_is_known CHECK (leg_4_hitch BETWEEN 1 AND 5),
    CONSTRAINT pick_leg_4_locks_not_negative CHECK (leg_4_locks >= 0),
    CONSTRAINT pick_leg_4_length_m_not_negative CHECK (leg_4_length_m >= 0.0),
    CONSTRAINT pick_leg_4_state_is_known CHECK (leg_4_state BETWEEN 1 AND 3),
    CONSTRAINT pick_leg_4_wll_kg_not_negative CHECK (leg_4_wll_kg >= 0.0)
) STRICT;
