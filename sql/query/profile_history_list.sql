-- Texts of a profile that were replaced or dropped, the newest first.
SELECT name, text, replaced_on, who, why FROM profile_history WHERE name = :name COLLATE NOCASE ORDER BY id DESC;
