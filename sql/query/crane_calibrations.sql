-- The calibrations of one crane, oldest first.
SELECT calibrated_on, factor, band, source
FROM crane_calibration
WHERE crane_id = :crane
ORDER BY calibrated_on;
