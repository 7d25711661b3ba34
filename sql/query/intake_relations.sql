-- All relations between two columns of a row; the stricter word first.
SELECT lesser, greater, severity, factor, reason FROM plausible_relation ORDER BY lesser, greater, severity;
