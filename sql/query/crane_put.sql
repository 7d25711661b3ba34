-- A crane's own defaults.
UPDATE crane SET block_weight_kg = :block_weight_kg, weighed_as = :weighed_as, indicator_band = :band
WHERE id = :crane;
