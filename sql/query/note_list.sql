-- Picks of a span of days that carry a note and are not logged as a near miss. :since and :until NULL = no bound.
SELECT
    job.job || '/' || CASE pick.part WHEN '' THEN '' ELSE pick.part || '/' END || pick.pick,
    pick.date,
    pick.notes
FROM pick
CROSS JOIN job ON job.id = pick.job_id
WHERE pick.notes IS NOT NULL
    AND pick.near_miss IS NOT 1
    AND (:since IS NULL OR pick.date >= :since)
    AND (:until IS NULL OR pick.date <= :until);
