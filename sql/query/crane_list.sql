-- Every crane with its own defaults.
SELECT id, name, block_weight_kg, weighed_as, indicator_band
FROM crane
ORDER BY name;
