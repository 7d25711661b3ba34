-- Files that should be imported again, and were not yet.
SELECT DISTINCT import_file.path FROM import_file
JOIN import ON import.id = import_file.import_id
WHERE import_file.read_again = 1 AND import.undone_on IS NULL
    AND NOT EXISTS (
        SELECT 1 FROM import_file AS later JOIN import AS live ON live.id = later.import_id
        WHERE later.sha256 = import_file.sha256 AND later.read_again = 0 AND live.undone_on IS NULL
    )
ORDER BY import_file.path;
