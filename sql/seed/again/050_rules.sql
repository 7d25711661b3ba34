-- The limits of the detectors, numbers in SI (m, degrees, shares of 1). May run again: a limit the company changed stays.
INSERT INTO rule (name, key, value, reason, source) VALUES
    ('heavier-run', 'length', (SELECT printf('%g', coalesce(max(si), 4)) FROM setting WHERE name = 'run_length'),
        'three in a row come by chance about once in 73 picks: a count in the table, never a finding',
        'computed: mean picks to a false alarm 284 for four, 73 for three at a spread of .15 (Feller 1968, XIII.7)'),
    ('drift', 'allowance', 0.5, 'half of the shift to be found, one spread, in spreads', 'Page 1954, Biometrika 41:100-115'),
    ('drift', 'limit', 4, 'finds plans 15 % light within about 11 picks', 'computed: 529 independent picks to a false alarm'),
    ('drift', 'clip', 2, 'no single wild weight may make an alarm', 'Lucas & Crosier 1982, Communications in Statistics 11:2669-2687'),
    ('own-change', 'allowance', 0.5, 'half of the shift to be found, in spreads', 'Hawkins 1987, The Statistician 36:299-315'),
    ('own-change', 'limit', 4, 'a false alarm in about 5 of 100 spans of 20 picks', 'computed: .047 in 20 independent picks'),
    ('own-change', 'earlier', 20, 'with fewer earlier picks the past is no measure', 'a choice of this program'),
    ('heavy-surprise', 'distance', 3.5, 'chance gives 1 in 4,300 for a normal spread', 'a choice of this program'),
    ('suspect', 'distance', 6, 'so far from its kind a weight is questioned before a pattern is built on it', 'a choice of this program'),
    ('margin-lost', 'share', 0.15, 'share of rated capacity used beyond the plan', 'common practice, no source'),
    ('margin-lost', 'radius', 1.5, 'the radius grew by more than this and the hook load passed the first band', 'common practice, no source'),
    ('leg', 'angle', 30, 'below this a leg carries more than twice its share', '1/sin of the angle from the horizontal, by statics'),
    ('leg', 'slack', 0.1, 'a hand''s breadth: a tight leg is not read closer than that', 'common practice, no source'),
    ('leg', 'above', 0.3, 'hung from below its centre of gravity a piece turns over; the balance point is seldom known closer', 'statics; the distance: common practice, no source'),
    ('moved', 'otherwise', 0.9, 'who trusted the set-up is surprised by that much', 'common practice, no source'),
    ('not-as-predicted', 'least', 4, 'fewer are single surprises', 'a choice of this program'),
    ('moved', 'distance', 1.5, 'a piece that moves this far reaches who stands beside it', 'common practice, no source'),
    ('shock', 'ratio', 1.15, 'lifts are to be static: the peak should stay near the hanging load', 'common practice, no source'),
    ('kerf', 'least', 4, 'fewer noted kerfs that closed or opened are single events', 'a choice of this program'),
    ('re-rig', 'least', 3, 'fewer picks with the hook back are single events', 'a choice of this program'),
    ('re-rig', 'lean', 30, 'from this lean on a piece counts as leaning', 'common practice, no source'),
    ('cluster', 'chance', 0.005, 'chance of as many near misses in one window at the usual rate', 'a choice of this program'),
    ('chance', 'expected', 1, 'false alarms that the likely findings of one review may make together; limits rise until that holds', 'a choice of this program'),
    ('chance', 'discoveries', 0.10, 'share of false ones among the groups named by a comparison of rates', 'Benjamini & Hochberg 1995, JRSS B 57:289-300')
ON CONFLICT (name, key) DO NOTHING;
UPDATE rule SET shipped = value WHERE shipped IS NULL AND name NOT GLOB 'phrase*';
UPDATE rule SET shipped = '4' WHERE name = 'heavier-run' AND key = 'length';
DELETE FROM setting WHERE name = 'run_length';
