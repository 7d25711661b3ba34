-- Every rule's entries.
SELECT name, key, value, CAST(value AS REAL), shipped, reason, source
FROM rule
ORDER BY name, key;
