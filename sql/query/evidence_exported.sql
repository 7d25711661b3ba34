-- Content this book gave away; once is enough.
INSERT INTO evidence_exported (sha256, origin, exported_on) VALUES (:sha256, :origin, :today)
ON CONFLICT (sha256) DO NOTHING;
