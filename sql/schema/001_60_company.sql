-- The company: its settings, cranes, slings and rules, each with its history.

CREATE TABLE setting (
    -- Settings the company changed; what is not here has its built-in value.
    name TEXT PRIMARY KEY, -- the setting
    value TEXT NOT NULL, -- the value as written, with its unit
    si REAL, -- the value of a quantity or number, in SI
    changed_on TEXT NOT NULL, -- the day, YYYY-MM-DD
    who TEXT NOT NULL, -- role of the person
    why TEXT NOT NULL -- the reason given
) STRICT;

CREATE TABLE setting_history (
    -- Every change of a setting.
    id INTEGER PRIMARY KEY, -- row number, in the order of the changes
    name TEXT NOT NULL, -- the setting
    old_value TEXT, -- the value before; NULL = built in
    new_value TEXT NOT NULL, -- the value after
    changed_on TEXT NOT NULL, -- the day, YYYY-MM-DD
    who TEXT NOT NULL, -- role of the person
    why TEXT NOT NULL -- the reason given
) STRICT;

CREATE TABLE crane (
    -- A crane as the logs name it.
    id INTEGER PRIMARY KEY, -- row number
    name TEXT NOT NULL COLLATE NOCASE, -- its name in the logs
    block_weight_kg REAL, -- weight of its hook block or ball with the usual slings
    weighed_as TEXT, -- what its load indicator shows when a log does not say: net or gross
    indicator_factor REAL, -- true load over indicated load at its last calibration; 1 = shows the true load
    indicator_band REAL, -- largest error of the indicator as a share, from its maker or its calibration
    calibrated_on TEXT, -- the day of that calibration, YYYY-MM-DD
    calibration_source TEXT, -- certificate or test the calibration rests on
    remark TEXT, -- anything else
    CONSTRAINT crane_name_once UNIQUE (name),
    CONSTRAINT crane_block_weight_not_negative CHECK (block_weight_kg >= 0),
    CONSTRAINT crane_weighed_as_is_known CHECK (weighed_as IN ('net', 'gross')),
    CONSTRAINT crane_indicator_factor_is_plausible CHECK (indicator_factor > 0.5 AND indicator_factor < 2),
    CONSTRAINT crane_indicator_band_is_a_share CHECK (indicator_band >= 0 AND indicator_band <= 1)
) STRICT;

CREATE TABLE crane_capacity (
    -- The rows of a crane's load chart. Between rows the next longer radius and boom count; nothing is interpolated.
    crane_id INTEGER NOT NULL REFERENCES crane (id) ON DELETE CASCADE, -- the crane
    setup TEXT NOT NULL DEFAULT '', -- outriggers and counterweight as the chart names them
    boom_length_m REAL NOT NULL, -- boom length of the row
    radius_m REAL NOT NULL, -- radius of the row
    capacity_kg REAL NOT NULL, -- rated capacity, gross
    radius_written TEXT NOT NULL, -- the radius as the chart prints it
    capacity_written TEXT NOT NULL, -- the capacity as the chart prints it
    PRIMARY KEY (crane_id, setup, boom_length_m, radius_m),
    CONSTRAINT crane_capacity_boom_is_positive CHECK (boom_length_m > 0),
    CONSTRAINT crane_capacity_radius_not_negative CHECK (radius_m >= 0),
    CONSTRAINT crane_capacity_not_negative CHECK (capacity_kg >= 0)
) STRICT, WITHOUT ROWID;

CREATE TABLE crane_history (
    -- Every change of a crane or its chart.
    id INTEGER PRIMARY KEY, -- row number
    crane TEXT NOT NULL, -- the crane's name
    field TEXT NOT NULL, -- what changed
    old_value TEXT, -- before
    new_value TEXT, -- after
    changed_on TEXT NOT NULL, -- the day, YYYY-MM-DD
    who TEXT NOT NULL, -- role of the person
    why TEXT NOT NULL -- the reason given
) STRICT;

CREATE TABLE sling (
    -- A sling the company owns, by the tag the logs give.
    tag TEXT PRIMARY KEY COLLATE NOCASE, -- its tag
    kind TEXT, -- eye, adjustable, chain, wire, round or balancer
    wll_kg REAL, -- working load limit on its tag, straight pull
    length_m REAL, -- its length
    factor REAL, -- the company's own factor on its limit for hitch or knot; NULL = the cautious built-in one
    stiffness_n REAL, -- force for unit strain
    source TEXT, -- where its figures come from
    retired_on TEXT, -- the day it was taken out of use, YYYY-MM-DD
    changed_on TEXT NOT NULL, -- the day the row was last changed, YYYY-MM-DD
    who TEXT NOT NULL, -- role of the person
    why TEXT NOT NULL, -- the reason given
    CONSTRAINT sling_kind_is_known CHECK (kind IN ('eye', 'adjustable', 'chain', 'wire', 'round', 'balancer')),
    CONSTRAINT sling_wll_not_negative CHECK (wll_kg >= 0),
    CONSTRAINT sling_factor_is_a_share CHECK (factor > 0 AND factor <= 2)
) STRICT;

CREATE TABLE rule (
    -- Limits, factors and phrases the program works by, as data: name says which rule, key which entry of it.
    name TEXT NOT NULL, -- the rule
    key TEXT NOT NULL, -- the entry
    value TEXT NOT NULL, -- its value
    reason TEXT NOT NULL, -- what it is for
    source TEXT NOT NULL, -- published source, or 'common practice, no source'
    PRIMARY KEY (name, key)
) STRICT, WITHOUT ROWID;

CREATE TABLE rule_history (
    -- Every change of a rule.
    id INTEGER PRIMARY KEY, -- row number
    name TEXT NOT NULL, -- the rule
    key TEXT NOT NULL, -- the entry
    old_value TEXT, -- before; NULL = the entry is new
    new_value TEXT, -- after; NULL = the entry was taken away
    changed_on TEXT NOT NULL, -- the day, YYYY-MM-DD
    who TEXT NOT NULL, -- role of the person
    why TEXT NOT NULL -- the reason given
) STRICT;
