-- Rows set aside by imports that still count, with what finds their job, pick and date again. :all 1 = dropped ones too.
SELECT
    set_aside.id, import_file.import_id, import_file.id AS file_id, import_file.path, set_aside.line, set_aside.column,
    set_aside.field, set_aside.text, set_aside.reason, set_aside.remedy, set_aside.raw, import.imported_on,
    import_file.dialect, import_file.date_order,
    (SELECT json_extract(value, '$.column') FROM json_each(import_file.columns)
        WHERE json_extract(value, '$.field') = 'job') AS job_column,
    (SELECT json_extract(value, '$.column') FROM json_each(import_file.columns)
        WHERE json_extract(value, '$.field') = 'pick') AS pick_column,
    (SELECT json_extract(value, '$.column') FROM json_each(import_file.columns)
        WHERE json_extract(value, '$.field') = 'date') AS date_column,
    set_aside_drop.dropped_on, set_aside_drop.who, set_aside_drop.why
FROM set_aside
JOIN import_file ON import_file.id = set_aside.file_id
JOIN import ON import.id = import_file.import_id
LEFT JOIN set_aside_drop ON set_aside_drop.set_aside_id = set_aside.id
WHERE import.undone_on IS NULL AND (:all = 1 OR set_aside_drop.set_aside_id IS NULL)
ORDER BY set_aside.id;
