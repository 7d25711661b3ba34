-- Names of jobs with picks.
SELECT job.job
FROM job
WHERE EXISTS (SELECT 1 FROM pick WHERE pick.job_id = job.id)
ORDER BY job.id DESC;
