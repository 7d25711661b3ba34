-- The profiles the book keeps, by name.
SELECT p.name, p.text, p.changed_on, p.who, p.why, (SELECT count(*) FROM profile_history AS h WHERE h.name = p.name COLLATE NOCASE)
FROM profile AS p
ORDER BY p.name COLLATE NOCASE, p.name;
