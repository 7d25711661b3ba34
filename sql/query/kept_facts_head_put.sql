-- What is kept of all picks is in force from here on.
INSERT OR REPLACE INTO kept_facts (id, method, company, picks, last_pick, last_date, chunks, pick_order, positions)
VALUES (1, :method, :company, :picks, :last_pick, :last_date, :chunks, :pick_order, :positions);
