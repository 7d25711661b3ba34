-- The values amendments took away from one column of a pick.
SELECT old_value, old_si, old_written
FROM amendment
WHERE pick_id = :pick AND field = :field AND old_value IS NOT NULL;
