-- Open conflicts of an import that is taken out: one of the two readings is gone.
UPDATE conflict
SET state = 'decided', decided_on = :today, who = :who, why = 'import ' || :import || ' was taken out: ' || :why
WHERE state = 'open' AND (
    file_id IN (SELECT id FROM import_file WHERE import_id = :import)
    OR pick_id IN (
        SELECT pick.id FROM pick
        JOIN import_file ON import_file.id = pick.file_id
        WHERE import_file.import_id = :import
    )
);
