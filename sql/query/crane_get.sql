-- One crane by its name, case ignored.
SELECT id, name, block_weight_kg, weighed_as, indicator_band
FROM crane
WHERE name = :name;
