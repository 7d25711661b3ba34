-- A limit takes a new value.
INSERT INTO rule (name, key, value, reason, source)
VALUES (:name, :key, :value, :why, 'the company''s own')
ON CONFLICT (name, key) DO UPDATE SET value = excluded.value;
