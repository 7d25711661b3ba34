-- The picks a finding rests on, in order; what the log says of those that are still in the book.
SELECT
    finding_pick.pick_name,
    pick.id IS NOT NULL,
    pick.date,
    coalesce(species.common, pick.species),
    pick.crew,
    pick.crane
FROM finding_pick
LEFT JOIN pick ON pick.id = finding_pick.pick_id
LEFT JOIN species ON species.id = pick.species_id
WHERE finding_pick.finding_id = :id
ORDER BY finding_pick.position;
