-- Is there a file of this size in an import that still counts? Only then can a new file be one the book has already.
SELECT EXISTS (
    SELECT 1 FROM import_file
    JOIN import ON import.id = import_file.import_id
    WHERE import_file.bytes = :bytes AND import.undone_on IS NULL
);
