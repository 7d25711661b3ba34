-- Every written name, all readings of one key together.
SELECT key, name, species_id, remark
FROM species_name
ORDER BY key, reading;
