-- What the book was made from and what is in it.
SELECT
    (SELECT count(*) FROM import WHERE undone_on IS NULL) AS imports,
    (SELECT count(*) FROM import WHERE undone_on IS NOT NULL) AS undone,
    (SELECT count(*) FROM import_file JOIN import ON import.id = import_file.import_id
        WHERE import.undone_on IS NULL) AS files,
    (SELECT count(*) FROM pick) AS picks,
    (SELECT count(DISTINCT pick_id) FROM amendment) AS amended,
    (SELECT count(*) FROM warning JOIN import_file ON import_file.id = warning.file_id
        JOIN import ON import.id = import_file.import_id WHERE import.undone_on IS NULL) AS warnings;
