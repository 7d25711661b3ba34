-- An accepted density is taken back from a day on.
UPDATE density_assumption
SET undone_on = :today, undone_who = :who, undone_why = :why
WHERE id = :id AND undone_on IS NULL;
