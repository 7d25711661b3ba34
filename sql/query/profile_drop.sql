-- Takes a profile out; its text stays in the history.
DELETE FROM profile WHERE name = :name;
