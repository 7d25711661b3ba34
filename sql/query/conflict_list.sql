-- Second readings that say something else, one row per differing value. :open 1 = only those nobody decided.
SELECT
    conflict.id, conflict.pick_name, conflict_value.field, conflict_value.stored, conflict_value.offered, import_file.path,
    conflict.line, conflict.raw, conflict.state, conflict.decided_on, conflict.who, conflict.why
FROM conflict
JOIN conflict_value ON conflict_value.conflict_id = conflict.id
JOIN import_file ON import_file.id = conflict.file_id
WHERE :open = 0 OR conflict.state = 'open'
ORDER BY conflict.id, conflict_value.field;
