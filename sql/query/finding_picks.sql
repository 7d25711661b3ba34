-- The picks a finding rests on, in order.
SELECT pick_name, pick_id IS NOT NULL
FROM finding_pick
WHERE finding_id = :id
ORDER BY position;
