-- The pick of this job and number that a later file than :file brought.
SELECT job.job, pick.part, pick.pick
FROM job
CROSS JOIN pick ON pick.job_id = job.id
WHERE job.job = :job AND pick.pick = :pick AND pick.file_id > :file
ORDER BY pick.file_id
LIMIT 1;
