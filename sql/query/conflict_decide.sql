-- A person decided about a second reading.
UPDATE conflict
SET state = 'decided', decided_on = :today, who = :who, why = :why
WHERE id = :conflict AND state = 'open';
