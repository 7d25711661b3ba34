-- A finding seen for the first time.
INSERT INTO finding (detector, scope, first_pick, last_pick, last_date, class, says, picks, found_on, seen_on)
VALUES (:detector, :scope, :first_pick, :last_pick, :last_date, :class, :says, :picks, :today, :today);
