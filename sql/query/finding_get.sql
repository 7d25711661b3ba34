-- One finding as kept.
SELECT id, detector, scope, first_pick, last_pick, last_date, class, says, picks, state, found_on, seen_on, state_on, state_picks, who, why
FROM finding
WHERE id = :id;
