-- Logs of imports that still count, each content once: its copy should lie beside the book.
SELECT min(import_file.import_id), min(import_file.path), import_file.sha256
FROM import_file
JOIN import ON import.id = import_file.import_id
WHERE import.undone_on IS NULL
GROUP BY import_file.sha256
ORDER BY min(import_file.id);
