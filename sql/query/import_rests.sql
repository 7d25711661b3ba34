-- What rests on an import: its picks, and the amendments and decided second readings, findings that a person judged, and write-ups that
-- name one of them.
WITH taken AS (
    SELECT pick.id FROM pick
    JOIN import_file ON import_file.id = pick.file_id
    WHERE import_file.import_id = :import
)
SELECT
    (SELECT count(*) FROM taken) AS picks,
    (SELECT count(*) FROM amendment WHERE pick_id IN taken)
        + (SELECT count(*) FROM conflict JOIN import_file ON import_file.id = conflict.file_id
            WHERE import_file.import_id = :import AND conflict.state = 'decided'
                AND conflict.pick_id NOT IN taken) AS amendments,
    (SELECT count(DISTINCT finding_id) FROM finding_pick JOIN finding ON finding.id = finding_id
        WHERE pick_id IN taken AND state <> 'new') AS findings,
    (SELECT count(*) FROM writeup
        WHERE pick_id IN taken OR id IN (SELECT writeup_id FROM writeup_pick WHERE pick_id IN taken)) AS writeups;
