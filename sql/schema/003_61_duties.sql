-- What a law asks for after harm, by jurisdiction: shown before a write-up, never a substitute for asking.

CREATE TABLE duty (
    -- One duty of one jurisdiction.
    jurisdiction TEXT NOT NULL, -- the word of the setting 'jurisdiction'
    position INTEGER NOT NULL, -- 1, 2, ... in the order to do them
    says TEXT NOT NULL, -- what has to be done
    hours INTEGER, -- within so many hours; NULL = not told in hours
    days INTEGER, -- within so many calendar days; NULL = not told in days
    source TEXT NOT NULL, -- the text of the law or standard
    PRIMARY KEY (jurisdiction, position),
    CONSTRAINT duty_hours_are_positive CHECK (hours > 0),
    CONSTRAINT duty_days_are_positive CHECK (days > 0)
) STRICT, WITHOUT ROWID;

INSERT INTO duty (jurisdiction, position, says, hours, days, source) VALUES
    ('us-osha', 1, 'Care for the people first, then keep the scene as it is as far as care and rescue allow.', NULL, NULL,
     'common practice, no source'),
    ('us-osha', 2, 'A death of an employee from a work-related incident is reported to OSHA.', 8, NULL,
     '29 CFR 1904.39(a)(1)'),
    ('us-osha', 3, 'An in-patient hospitalization, an amputation or the loss of an eye of an employee is reported to OSHA.', 24, NULL,
     '29 CFR 1904.39(a)(2)'),
    ('us-osha', 4, 'A recordable injury is entered on the OSHA 300 Log and on an OSHA 301 Incident Report or an equal form.', NULL, 7,
     '29 CFR 1904.29(b)(3)'),
    ('us-osha', 5, 'The forms are kept for five years after the calendar year they cover.', NULL, NULL, '29 CFR 1904.33(a)');
