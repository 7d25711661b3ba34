-- Rows set aside that no person dropped, the newest import first, for the list in the review.
SELECT import_file.path, set_aside.line, set_aside.field, set_aside.text, set_aside.reason, set_aside.remedy
FROM set_aside
JOIN import_file ON import_file.id = set_aside.file_id
JOIN import ON import.id = import_file.import_id
WHERE import.undone_on IS NULL AND set_aside.id NOT IN (SELECT set_aside_id FROM set_aside_drop)
ORDER BY import.id DESC, import_file.id, set_aside.line
LIMIT :most
