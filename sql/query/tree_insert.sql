-- A tree of a job, unless the book has it.
INSERT INTO tree (job_id, tree)
SELECT job.id, :tree FROM job WHERE job.job = :job
ON CONFLICT (job_id, tree) DO NOTHING;
