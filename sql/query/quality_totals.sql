-- What a reader should know about the logs behind the figures: rows set aside that no person dropped, open conflicts,
-- warnings, all of imports that still count.
SELECT
    (SELECT count(*) FROM set_aside JOIN import_file ON import_file.id = set_aside.file_id
        JOIN import ON import.id = import_file.import_id
        WHERE import.undone_on IS NULL AND set_aside.id NOT IN (SELECT set_aside_id FROM set_aside_drop)) AS set_aside,
    (SELECT count(*) FROM conflict JOIN import_file ON import_file.id = conflict.file_id
        JOIN import ON import.id = import_file.import_id
        WHERE import.undone_on IS NULL AND conflict.state = 'open') AS conflicts,
    (SELECT count(*) FROM warning JOIN import_file ON import_file.id = warning.file_id
        JOIN import ON import.id = import_file.import_id WHERE import.undone_on IS NULL) AS warnings,
    (SELECT count(*) FROM import WHERE undone_on IS NULL) AS imports,
    (SELECT count(*) FROM import_file JOIN import ON import.id = import_file.import_id
        WHERE import.undone_on IS NULL) AS files
