-- Keeps a text as the next revision.
INSERT INTO writeup_revision (writeup_id, revision, text, stored_on, who, why)
SELECT :writeup, 1 + coalesce(max(revision), 0), :text, :today, :who, :why FROM writeup_revision WHERE writeup_id = :writeup
RETURNING revision;
