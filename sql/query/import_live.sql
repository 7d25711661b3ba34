-- The day an import was taken out; no row when there is no such import.
SELECT undone_on
FROM import
WHERE id = :import;
