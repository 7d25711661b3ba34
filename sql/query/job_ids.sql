-- Row numbers of jobs in the order of their names.
SELECT id
FROM job
ORDER BY job;
