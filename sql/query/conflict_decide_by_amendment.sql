-- An amendment of a column decides the open conflicts of the pick that differ in nothing else still undecided.
UPDATE conflict
SET state = 'decided', decided_on = :today, who = :who, why = :why
WHERE pick_id = :pick AND state = 'open' AND NOT EXISTS (
    SELECT 1 FROM conflict_value
    WHERE conflict_value.conflict_id = conflict.id AND conflict_value.field NOT IN (
        SELECT field FROM amendment
        WHERE amendment.pick_id = :pick
    )
);
