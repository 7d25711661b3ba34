-- The digest of a file whose rows were read while it was made.
UPDATE import_file SET sha256 = :sha256, date_order = :date_order WHERE id = :file_id;
