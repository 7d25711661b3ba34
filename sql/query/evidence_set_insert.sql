-- A set of evidence taken in.
INSERT INTO evidence_set (sha256, origin, imported_on, who, why)
VALUES (:sha256, :origin, :today, :who, :why);
