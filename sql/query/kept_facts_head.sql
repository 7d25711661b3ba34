-- What is kept of the picks, if anything, and what the book holds before the row :before: it is in force while the two agree and the
-- triggers that end it are all there.
SELECT
    (SELECT max(id) FROM pick WHERE id < :before),
    (SELECT count(*) FROM pick) - (SELECT count(*) FROM pick WHERE id >= :before),
    (
        SELECT count(*)
        FROM sqlite_schema
        WHERE type = 'trigger' AND name GLOB 'kept_facts_end_[1-9]' AND tbl_name IN ('pick', 'job', 'tree')
    ),
    kept_facts.method, kept_facts.company, kept_facts.picks, kept_facts.last_pick, kept_facts.last_date,
    kept_facts.chunks, kept_facts.pick_order
FROM (SELECT 1)
LEFT JOIN kept_facts;
