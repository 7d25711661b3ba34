-- In which cell of its row each field of a pick stood: the header of its log as it was read.
SELECT json_extract(cell.value, '$.field'), json_extract(cell.value, '$.column')
FROM pick
JOIN import_file ON import_file.id = pick.file_id
JOIN json_each(CASE WHEN json_valid(import_file.columns) THEN import_file.columns ELSE '[]' END) AS cell
WHERE pick.id = :pick AND json_extract(cell.value, '$.field') IS NOT NULL;
