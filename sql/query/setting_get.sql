-- One setting as stored.
SELECT value
FROM setting
WHERE name = :name;
