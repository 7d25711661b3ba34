-- A set taken out.
UPDATE evidence_set
SET removed_on = :today, removed_who = :who, removed_why = :why
WHERE origin = :origin AND removed_on IS NULL;
