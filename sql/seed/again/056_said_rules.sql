-- Limits of the detectors pencil and silence. May run again: a limit the company changed stays.
INSERT INTO rule (name, key, value, shipped, reason, source) VALUES
    ('pencil', 'row', '3', '3', 'two equal weights one after another are common where weights are rounded', 'a choice of this program'),
    ('silence', 'past', '180', '180', 'a season: long enough for a habit, short enough to forget a crew that is gone', 'a choice of this program')
ON CONFLICT (name, key) DO NOTHING;
