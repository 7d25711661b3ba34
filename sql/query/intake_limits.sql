-- All plausible bounds.
SELECT field, severity, low, high, reason FROM plausible_limit ORDER BY field, severity;
