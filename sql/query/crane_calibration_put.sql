-- A calibration, in the place of one of the same day.
INSERT INTO crane_calibration (crane_id, calibrated_on, factor, band, source) VALUES (:crane, :on, :factor, :band, :source)
ON CONFLICT (crane_id, calibrated_on) DO UPDATE SET factor = excluded.factor, band = excluded.band, source = excluded.source;
