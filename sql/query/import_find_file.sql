-- The first import that holds a file of these bytes and still counts.
SELECT import.id
FROM import_file
JOIN import ON import.id = import_file.import_id
WHERE import_file.sha256 = :sha256 AND import.undone_on IS NULL
ORDER BY import.id
LIMIT 1;
