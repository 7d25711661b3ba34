-- Names within one job, for "did you mean".
SELECT pick.part, pick.pick
FROM job
CROSS JOIN pick ON pick.job_id = job.id
WHERE job.job = :job
ORDER BY pick.part, pick.pick_order
LIMIT 5000;
