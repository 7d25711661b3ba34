-- Evidence of others, oldest first.
SELECT id, sha256, origin, imported_on, who, why, removed_on, removed_who, removed_why
FROM evidence_set
ORDER BY id;
