-- Files of imports that still count and had rows unchanged or in conflict: picks they also had may have left with this import.
UPDATE import_file SET read_again = 1
WHERE import_id <> :import
    AND unchanged + conflicts > 0
    AND import_id IN (SELECT id FROM import WHERE undone_on IS NULL);
