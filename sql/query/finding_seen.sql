-- A finding seen again: what it rests on now. Its state stays.
UPDATE finding
SET last_pick = :last_pick, last_date = :last_date, says = :says, picks = :picks, class = :class, seen_on = :today
WHERE id = :id;
