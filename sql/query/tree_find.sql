-- The number of a tree of a job.
SELECT tree.id
FROM job
JOIN tree ON tree.job_id = job.id
WHERE job.job = :job AND tree.tree = :tree;
