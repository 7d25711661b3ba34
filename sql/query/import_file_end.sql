-- What became of a file's rows.
UPDATE import_file
SET stored = :stored, unchanged = :unchanged, set_aside = :set_aside, conflicts = :conflicts
WHERE id = :file;
