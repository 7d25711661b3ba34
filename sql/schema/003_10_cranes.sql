-- A crane may be calibrated more than once, and a load chart need not name boom lengths: tables of their own for both.
-- Of `crane` itself the name, block_weight_kg, weighed_as, indicator_band and remark stay in use.

CREATE TABLE crane_calibration (
    -- What a calibration of a crane's load indicator found; it holds from its day on until the next one.
    crane_id INTEGER NOT NULL REFERENCES crane (id) ON DELETE CASCADE, -- the crane
    calibrated_on TEXT NOT NULL, -- the day, YYYY-MM-DD
    factor REAL NOT NULL, -- true load over indicated load; 1 = shows the true load
    band REAL, -- largest error left, as a share; NULL = not given
    source TEXT NOT NULL, -- certificate or test it rests on
    PRIMARY KEY (crane_id, calibrated_on),
    CONSTRAINT crane_calibration_factor_is_plausible CHECK (factor > 0.5 AND factor < 2),
    CONSTRAINT crane_calibration_band_is_a_share CHECK (band >= 0 AND band <= 1)
) STRICT, WITHOUT ROWID;

INSERT INTO crane_calibration (crane_id, calibrated_on, factor, band, source)
SELECT id, calibrated_on, indicator_factor, indicator_band, coalesce(calibration_source, '')
FROM crane
WHERE calibrated_on IS NOT NULL AND indicator_factor IS NOT NULL;

CREATE TABLE crane_chart (
    -- The rows of a crane's load chart. Between rows the next longer radius and boom count; nothing is interpolated.
    crane_id INTEGER NOT NULL REFERENCES crane (id) ON DELETE CASCADE, -- the crane
    boom_length_m REAL NOT NULL, -- boom length of the row; 0 = the chart names none
    radius_m REAL NOT NULL, -- radius of the row
    capacity_kg REAL NOT NULL, -- rated capacity, gross
    PRIMARY KEY (crane_id, boom_length_m, radius_m),
    CONSTRAINT crane_chart_boom_not_negative CHECK (boom_length_m >= 0),
    CONSTRAINT crane_chart_radius_is_positive CHECK (radius_m > 0),
    CONSTRAINT crane_chart_capacity_is_positive CHECK (capacity_kg > 0)
) STRICT, WITHOUT ROWID;

INSERT INTO crane_chart (crane_id, boom_length_m, radius_m, capacity_kg)
SELECT crane_id, boom_length_m, radius_m, min(capacity_kg)
FROM crane_capacity
WHERE radius_m > 0 AND capacity_kg > 0
GROUP BY crane_id, boom_length_m, radius_m;

DROP TABLE crane_capacity;
