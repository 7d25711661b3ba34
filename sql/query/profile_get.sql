-- One profile; the very spelling of its name before another case of it.
SELECT p.name, p.text, p.changed_on, p.who, p.why, (SELECT count(*) FROM profile_history AS h WHERE h.name = p.name COLLATE NOCASE)
FROM profile AS p
WHERE p.name = :name COLLATE NOCASE
ORDER BY p.name = :name DESC
LIMIT 1;
