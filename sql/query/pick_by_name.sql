-- A pick by the parts of its name.
SELECT pick.id
FROM job
CROSS JOIN pick ON pick.job_id = job.id
WHERE job.job = :job AND pick.part = :part AND pick.pick = :pick;
