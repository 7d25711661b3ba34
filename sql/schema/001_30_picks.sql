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
    -- One row per piece lifted. NULL means not recorded, never zero. Quantities are in SI; how they were written stands in written.
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
    condition TEXT, -- condition: live, dead, decayed
    foliage TEXT, -- foliage: leaf_on, leaf_off, evergreen
    piece TEXT, -- piece: top, limb, leader, trunk, stub
    length_m REAL, -- length, metres
    butt_diameter_m REAL, -- butt diameter, metres
    mid_diameter_m REAL, -- mid diameter, metres
    tip_diameter_m REAL, -- tip diameter, metres
    brush_share REAL, -- brush share of the weight, 0 to 1
    balance_point_m REAL, -- balance point from the butt, metres
    side_offset_m REAL, -- balance point off to the side, metres
    lean_deg REAL, -- lean above the horizontal, degrees
    planned_weight_kg REAL, -- planned weight, kilograms
    planned_as TEXT, -- planned as net or gross: net, gross
    estimate_basis TEXT, -- basis of the estimate: chart, table, worked, by_eye
    planned_radius_m REAL, -- planned radius, metres
    planned_capacity_kg REAL, -- rated capacity at the planned radius, kilograms
    rigging_weight_kg REAL, -- weight of block and slings, kilograms
    planned_cut TEXT, -- planned cut: through, step, hinge, angled, snap
    measured_weight_kg REAL, -- measured weight, kilograms
    measured_as TEXT, -- measured as net or gross: net, gross
    weighed_by TEXT, -- weighed by: load_indicator, load_cell, scale
    cut_radius_m REAL, -- radius at the cut, metres
    cut_capacity_kg REAL, -- rated capacity at the cut, kilograms
    set_down_radius_m REAL, -- radius at set-down, metres
    set_down_capacity_kg REAL, -- rated capacity at set-down, kilograms
    boom_length_m REAL, -- boom length, metres
    preload_kg REAL, -- preload on the line before the cut, kilograms
    peak_load_kg REAL, -- peak load on the indicator, kilograms
    cut TEXT, -- cut: through, step, hinge, angled, snap
    kerf TEXT, -- kerf: steady, closing, opening
    fibre_left INTEGER, -- fibre left in the cut: 1 yes, 0 no
    movement TEXT, -- movement at separation: one or more of still, settled, butt_up, butt_down, tip_dive, tip_up, swing, roll, drop, joined by +
    movement_distance_m REAL, -- how far it moved, metres
    toward TEXT, -- moved toward: climber, crew, structure, clear
    climber_at TEXT, -- climber was at: stem, hook, bucket, ground
    climber_distance_m REAL, -- climber's distance, metres
    climber_side TEXT, -- climber's side: butt, tip, off
    re_rigs INTEGER, -- re-rigs
    tag_line INTEGER, -- tag line used: 1 yes, 0 no
    wind TEXT, -- wind
    near_miss INTEGER, -- near miss: 1 yes, 0 no
    damage TEXT, -- damage or injury
    notes TEXT, -- notes
    leg_count INTEGER NOT NULL, -- number of the last leg with anything recorded, 0 when none
    written TEXT NOT NULL, -- how each recorded quantity was written: two characters each, unit and last digit, in the order of the columns, legs last
    CONSTRAINT pick_once UNIQUE (job_id, part, pick),
    CONSTRAINT pick_has_a_name CHECK (pick <> ''),
    CONSTRAINT pick_has_a_weight CHECK (planned_weight_kg IS NOT NULL OR measured_weight_kg IS NOT NULL),
    CONSTRAINT pick_leg_count_is_0_to_4 CHECK (leg_count >= 0 AND leg_count <= 4),
    CONSTRAINT pick_date_is_a_date CHECK (date >= '1900-01-01' AND date < '2200-01-01' AND length(date) = 10),
    CONSTRAINT pick_time_is_a_time CHECK (time >= '00:00' AND time < '24:00' AND length(time) = 5),
    CONSTRAINT pick_condition_is_known CHECK (condition = 'live' OR condition = 'dead' OR condition = 'decayed'),
    CONSTRAINT pick_foliage_is_known CHECK (foliage = 'leaf_on' OR foliage = 'leaf_off' OR foliage = 'evergreen'),
    CONSTRAINT pick_piece_is_known CHECK (piece = 'top' OR piece = 'limb' OR piece = 'leader' OR piece = 'trunk' OR piece = 'stub'),
    CONSTRAINT pick_length_m_not_negative CHECK (length_m >= 0),
    CONSTRAINT pick_butt_diameter_m_not_negative CHECK (butt_diameter_m >= 0),
    CONSTRAINT pick_mid_diameter_m_not_negative CHECK (mid_diameter_m >= 0),
    CONSTRAINT pick_tip_diameter_m_not_negative CHECK (tip_diameter_m >= 0),
    CONSTRAINT pick_brush_share_is_a_share CHECK (brush_share >= 0 AND brush_share <= 1),
    CONSTRAINT pick_lean_deg_is_an_angle CHECK (lean_deg >= -180 AND lean_deg <= 180),
    CONSTRAINT pick_planned_weight_kg_not_negative CHECK (planned_weight_kg >= 0),
    CONSTRAINT pick_planned_as_is_known CHECK (planned_as = 'net' OR planned_as = 'gross'),
    CONSTRAINT pick_estimate_basis_is_known CHECK (estimate_basis = 'chart' OR estimate_basis = 'table' OR estimate_basis = 'worked' OR estimate_basis = 'by_eye'),
    CONSTRAINT pick_planned_radius_m_not_negative CHECK (planned_radius_m >= 0),
    CONSTRAINT pick_planned_capacity_kg_not_negative CHECK (planned_capacity_kg >= 0),
    CONSTRAINT pick_rigging_weight_kg_not_negative CHECK (rigging_weight_kg >= 0),
    CONSTRAINT pick_planned_cut_is_known CHECK (planned_cut = 'through' OR planned_cut = 'step' OR planned_cut = 'hinge' OR planned_cut = 'angled' OR planned_cut = 'snap'),
    CONSTRAINT pick_measured_weight_kg_not_negative CHECK (measured_weight_kg >= 0),
    CONSTRAINT pick_measured_as_is_known CHECK (measured_as = 'net' OR measured_as = 'gross'),
    CONSTRAINT pick_weighed_by_is_known CHECK (weighed_by = 'load_indicator' OR weighed_by = 'load_cell' OR weighed_by = 'scale'),
    CONSTRAINT pick_cut_radius_m_not_negative CHECK (cut_radius_m >= 0),
    CONSTRAINT pick_cut_capacity_kg_not_negative CHECK (cut_capacity_kg >= 0),
    CONSTRAINT pick_set_down_radius_m_not_negative CHECK (set_down_radius_m >= 0),
    CONSTRAINT pick_set_down_capacity_kg_not_negative CHECK (set_down_capacity_kg >= 0),
    CONSTRAINT pick_boom_length_m_not_negative CHECK (boom_length_m >= 0),
    CONSTRAINT pick_preload_kg_not_negative CHECK (preload_kg >= 0),
    CONSTRAINT pick_peak_load_kg_not_negative CHECK (peak_load_kg >= 0),
    CONSTRAINT pick_cut_is_known CHECK (cut = 'through' OR cut = 'step' OR cut = 'hinge' OR cut = 'angled' OR cut = 'snap'),
    CONSTRAINT pick_kerf_is_known CHECK (kerf = 'steady' OR kerf = 'closing' OR kerf = 'opening'),
    CONSTRAINT pick_fibre_left_is_0_or_1 CHECK (fibre_left = 0 OR fibre_left = 1),
    CONSTRAINT pick_movement_are_words CHECK (movement NOT GLOB '*[^a-z_+]*'),
    CONSTRAINT pick_movement_distance_m_not_negative CHECK (movement_distance_m >= 0),
    CONSTRAINT pick_toward_is_known CHECK (toward = 'climber' OR toward = 'crew' OR toward = 'structure' OR toward = 'clear'),
    CONSTRAINT pick_climber_at_is_known CHECK (climber_at = 'stem' OR climber_at = 'hook' OR climber_at = 'bucket' OR climber_at = 'ground'),
    CONSTRAINT pick_climber_distance_m_not_negative CHECK (climber_distance_m >= 0),
    CONSTRAINT pick_climber_side_is_known CHECK (climber_side = 'butt' OR climber_side = 'tip' OR climber_side = 'off'),
    CONSTRAINT pick_re_rigs_not_negative CHECK (re_rigs >= 0),
    CONSTRAINT pick_tag_line_is_0_or_1 CHECK (tag_line = 0 OR tag_line = 1),
    CONSTRAINT pick_near_miss_is_0_or_1 CHECK (near_miss = 0 OR near_miss = 1)
) STRICT;

CREATE TABLE leg (
    -- One row per leg of a pick with anything recorded.
    pick_id INTEGER NOT NULL REFERENCES pick (id) ON DELETE CASCADE, -- the pick
    leg_no INTEGER NOT NULL, -- 1 to 4
    kind TEXT, -- kind of sling: eye, adjustable, chain, wire, round, balancer
    hitch TEXT, -- hitch: choker, cow, timber, basket, none
    locks INTEGER, -- half hitches that lock it
    at_m REAL, -- attached at, from the butt, metres
    length_m REAL, -- length of the leg, metres
    side_m REAL, -- attached off to the side, metres
    state TEXT, -- state at the cut: tight, snug, slack
    wll_kg REAL, -- working load limit, kilograms
    tag TEXT, -- sling tag
    PRIMARY KEY (pick_id, leg_no),
    CONSTRAINT leg_no_is_1_to_4 CHECK (leg_no >= 1 AND leg_no <= 4),
    CONSTRAINT leg_kind_is_known CHECK (kind = 'eye' OR kind = 'adjustable' OR kind = 'chain' OR kind = 'wire' OR kind = 'round' OR kind = 'balancer'),
    CONSTRAINT leg_hitch_is_known CHECK (hitch = 'choker' OR hitch = 'cow' OR hitch = 'timber' OR hitch = 'basket' OR hitch = 'none'),
    CONSTRAINT leg_locks_not_negative CHECK (locks >= 0),
    CONSTRAINT leg_length_m_not_negative CHECK (length_m >= 0),
    CONSTRAINT leg_state_is_known CHECK (state = 'tight' OR state = 'snug' OR state = 'slack'),
    CONSTRAINT leg_wll_kg_not_negative CHECK (wll_kg >= 0)
) STRICT, WITHOUT ROWID;
