-- Row numbers of picks in pick order: date, time where every pick of that job and day has one, else pick in natural order, then
-- line. :since and :until NULL and :import 0 = no bound.
SELECT pick.id
FROM pick
CROSS JOIN job ON job.id = pick.job_id
WHERE (:since IS NULL OR pick.date >= :since)
    AND (:until IS NULL OR pick.date <= :until)
    AND (:import = 0 OR pick.file_id IN (SELECT id FROM import_file WHERE import_id = :import))
ORDER BY
    pick.date,
    CASE
        WHEN (pick.job_id, pick.date) IN (SELECT job_id, date FROM pick WHERE time IS NULL) THEN NULL
        ELSE pick.time
    END,
    job.job,
    pick.part,
    pick.pick_order,
    pick.file_id,
    pick.line;
