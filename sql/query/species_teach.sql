-- A local name of a species, with who taught it, when and why.
INSERT INTO species_name (key, reading, name, species_id, kind, remark)
VALUES (:key, 1, :name, :species_id, 'alias', :remark);
