-- Amendments of one pick, or of all (:pick NULL), in the order they were made.
SELECT id, pick_name, field, old_value, new_value, amended_on, who, why
FROM amendment
WHERE :pick IS NULL OR pick_name = :pick
ORDER BY id;
