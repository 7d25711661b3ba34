-- The picks of an import go, with their legs; what names them keeps the name.
DELETE FROM pick
WHERE file_id IN (SELECT id FROM import_file WHERE import_id = :import);
