-- Of the book that is merged: amendments of picks that are still there, in the order they were made, by job and the rest of the
-- pick's name.
SELECT
    job.job,
    CASE WHEN pick.part = '' THEN pick.pick ELSE pick.part || '/' || pick.pick END,
    amendment.field,
    amendment.old_value,
    amendment.old_si,
    amendment.old_written,
    amendment.new_value,
    amendment.new_si,
    amendment.new_written,
    amendment.amended_on,
    amendment.who,
    amendment.why
FROM amendment
JOIN pick ON pick.id = amendment.pick_id
JOIN job ON job.id = pick.job_id
ORDER BY amendment.id;
