-- The text that is about to be replaced or dropped.
INSERT INTO profile_history (name, text, replaced_on, who, why)
SELECT name, text, :today, :who, :why FROM profile WHERE name = :name;
