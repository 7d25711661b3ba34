-- Second readings that say something else, with both places, one row per differing value. :all 1 = decided ones too; :pick 0,
-- :file, :since and :until NULL = no bound. A conflict of an import that was taken out is decided with it.
SELECT
    conflict.id, conflict.pick_id, conflict.pick_name, pick.date, stored_file.path AS stored_path,
    pick.line AS stored_line, import_file.path, conflict.line, conflict.state, conflict.decided_on, conflict.who,
    conflict.why, conflict_value.field, conflict_value.stored, conflict_value.offered, import_file.import_id
FROM conflict
JOIN conflict_value ON conflict_value.conflict_id = conflict.id
JOIN import_file ON import_file.id = conflict.file_id
LEFT JOIN pick ON pick.id = conflict.pick_id
LEFT JOIN import_file AS stored_file ON stored_file.id = pick.file_id
WHERE (:all = 1 OR conflict.state = 'open')
    AND (:pick = 0 OR conflict.pick_id = :pick)
    AND (:since IS NULL OR pick.date IS NULL OR pick.date >= :since)
    AND (:until IS NULL OR pick.date IS NULL OR pick.date <= :until)
ORDER BY conflict.id;
