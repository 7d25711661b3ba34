-- What the general solver worked out of a pick (three legs or more, or one to the side), kept because it takes long. A row is
-- never trusted: it is used only when the fingerprint is that of the pick's inputs today and its forces balance.

CREATE TABLE reconstruction (
    -- One row a pick that wants the general solver. May be deleted at any time: it is worked out again.
    pick_id INTEGER PRIMARY KEY REFERENCES pick (id) ON DELETE CASCADE, -- the pick
    fingerprint INTEGER NOT NULL, -- of the inputs and the version of the method
    inclination_deg REAL NOT NULL, -- axis above level at rest, positive when the tip is higher
    roll_deg REAL, -- about the axis; NULL when it hangs plumb
    hook_x_m REAL NOT NULL, -- hook along the axis from the butt
    hook_y_m REAL NOT NULL, -- hook across from the axis
    hook_side_m REAL NOT NULL, -- hook out of the plane of the lean
    other_deg REAL, -- another inclination it could come to rest at; NULL = none
    residual_n REAL NOT NULL, -- what the tensions leave of the weight
    leg_1_tension_n REAL, -- leg 1 in order from the butt: tension at rest
    leg_1_angle_deg REAL, -- leg 1 in order from the butt: angle above level
    leg_1_slack_m REAL, -- leg 1 in order from the butt: slack at rest, 0 when it carries
    leg_2_tension_n REAL, -- leg 2 in order from the butt: tension at rest
    leg_2_angle_deg REAL, -- leg 2 in order from the butt: angle above level
    leg_2_slack_m REAL, -- leg 2 in order from the butt: slack at rest, 0 when it carries
    leg_3_tension_n REAL, -- leg 3 in order from the butt: tension at rest
    leg_3_angle_deg REAL, -- leg 3 in order from the butt: angle above level
    leg_3_slack_m REAL, -- leg 3 in order from the butt: slack at rest, 0 when it carries
    leg_4_tension_n REAL, -- leg 4 in order from the butt: tension at rest
    leg_4_angle_deg REAL, -- leg 4 in order from the butt: angle above level
    leg_4_slack_m REAL, -- leg 4 in order from the butt: slack at rest, 0 when it carries
    CONSTRAINT reconstruction_inclination_in_range CHECK (inclination_deg BETWEEN -180 AND 180),
    CONSTRAINT reconstruction_residual_not_negative CHECK (residual_n >= 0)
) STRICT;
