-- What the spellings of column names must give: common practice, no source. NULL: could be two columns, so it must give none.
INSERT INTO header_example (header, field) VALUES
    ('Job No.', 'job'), ('WORK ORDER', 'job'), ('Project', 'job'),
    ('Pick #', 'pick'), ('Lift No', 'pick'), ('No.', 'pick'), ('#', 'pick'),
    ('Day', 'date'), ('Address', 'site'), ('Crane Op', 'operator'), ('Tree No', 'tree'),
    ('Est. wt', 'planned_weight'), ('Est wt', 'planned_weight'), ('Est Wt (lb)', 'planned_weight'), ('guess', 'planned_weight'),
    ('planned_weight_lb', 'planned_weight'), ('Planned Weight (kg)', 'planned_weight'),
    ('Scale weight', 'measured_weight'), ('Actual [lbs]', 'measured_weight'), ('Load indicator', 'measured_weight'),
    ('Butt dia (in)', 'butt_diameter'), ('Small end', 'tip_diameter'), ('Len (ft)', 'length'), ('Lean angle', 'lean'),
    ('Type of cut', 'cut'), ('Scale', 'measured_weight'), ('What happened', 'movement'), ('Close call', 'near_miss'), ('Remarks', 'notes'),
    ('Tagline', 'tag_line'), ('Fiber left', 'fibre_left'), ('Leg 1 kind', 'leg_1_kind'),
    ('Weight', NULL), ('Wt', NULL), ('Load', NULL), ('Diameter', NULL), ('Dia', NULL), ('Radius', NULL),
    ('Capacity', NULL), ('Name', NULL), ('By', NULL), ('Sling', NULL), ('Height', NULL), ('Top', NULL), ('Distance', NULL);
