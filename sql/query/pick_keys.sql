-- What the order of picks is made of, in row order; :since and :until NULL = no bound.
SELECT
    id,
    job_id,
    file_id,
    line,
    date,
    time,
    part,
    pick_order
FROM pick
WHERE (:since IS NULL OR date >= :since)
    AND (:until IS NULL OR date <= :until)
ORDER BY id;
