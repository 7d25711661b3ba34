-- Takes the calibration of a day away.
DELETE FROM crane_calibration WHERE crane_id = :crane AND calibrated_on = :on;
