-- pick_order.sql for the picks of one job.
SELECT pick.id
FROM pick
WHERE pick.job_id = (SELECT id FROM job WHERE job = :job)
    AND (:since IS NULL OR pick.date >= :since)
    AND (:until IS NULL OR pick.date <= :until)
    AND (:import = 0 OR pick.file_id IN (SELECT id FROM import_file WHERE import_id = :import))
ORDER BY
    pick.date,
    CASE
        WHEN pick.date IN (
            SELECT date FROM pick AS other
            WHERE other.job_id = (SELECT id FROM job WHERE job = :job) AND other.time IS NULL
        ) THEN NULL
        ELSE pick.time
    END,
    pick.part,
    pick.pick_order,
    pick.file_id,
    pick.line;
