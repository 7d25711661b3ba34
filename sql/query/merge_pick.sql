-- A pick that the newest import stored, by job and pick.
SELECT pick.id
FROM pick
JOIN job ON job.id = pick.job_id
JOIN import_file ON import_file.id = pick.file_id
WHERE job.job = :job
    AND pick.part = ''
    AND pick.pick = :pick
    AND import_file.import_id = (SELECT max(id) FROM import);
