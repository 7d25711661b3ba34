-- Findings of one detector that begin with this pick; the caller compares the scope.
SELECT id, scope, picks, state, found_on, state_on, state_picks, why, last_pick, last_date
FROM finding
WHERE first_pick = :first_pick AND detector = :detector;
