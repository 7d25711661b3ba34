-- The import stays as history: who took it out, when and why.
UPDATE import
SET undone_on = :today, undone_by = :who, undone_why = :why, picks_taken_out = :picks
WHERE id = :import;
