-- Picks by the end of their name, in any job (:job NULL) or one.
SELECT pick.id, job.job, pick.part, pick.pick
FROM pick
CROSS JOIN job ON job.id = pick.job_id
WHERE pick.pick = :pick AND (:job IS NULL OR job.job = :job)
ORDER BY job.job, pick.part
LIMIT 9;
