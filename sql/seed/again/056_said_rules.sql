-- Limits of the detectors pencil and silence and of the ranking. May run again: what the company changed stays.
INSERT INTO rule (name, key, value, shipped, reason, source) VALUES
    ('pencil', 'row', '3', '3', 'two equal weights one after another are common where weights are rounded', 'a choice of this program'),
    ('silence', 'past', '180', '180', 'a season: long enough for a habit, short enough to forget a crew that is gone', 'a choice of this program'),
    ('severity', 'person', '10', '10', 'a struck head or neck: less mass may do, but a log book does not tell', 'a choice of this program'),
    ('severity', 'structure', '500', '500', 'a roof holds snow, not a log', 'a choice of this program')
ON CONFLICT (name, key) DO NOTHING;

-- MIL-STD-882E, table III: risk by probability and severity.
WITH cell (severity, a, b, c, d, e, f) AS (VALUES
    ('catastrophic', 'high', 'high', 'high', 'serious', 'medium', 'eliminated'),
    ('critical', 'high', 'high', 'serious', 'medium', 'medium', 'eliminated'),
    ('marginal', 'serious', 'serious', 'medium', 'medium', 'medium', 'eliminated'),
    ('negligible', 'medium', 'medium', 'low', 'low', 'low', 'eliminated')
), level (letter, severity, risk) AS (
    SELECT 'A', severity, a FROM cell
    UNION ALL SELECT 'B', severity, b FROM cell
    UNION ALL SELECT 'C', severity, c FROM cell
    UNION ALL SELECT 'D', severity, d FROM cell
    UNION ALL SELECT 'E', severity, e FROM cell
    UNION ALL SELECT 'F', severity, f FROM cell
)
INSERT INTO rule (name, key, value, shipped, reason, source)
SELECT 'risk-matrix', letter || ' ' || severity, risk, risk, 'risk of a ' || severity || ' severity at probability ' || letter, 'MIL-STD-882E (11 May 2012), table III; from memory'
FROM level WHERE true
ON CONFLICT (name, key) DO NOTHING;
