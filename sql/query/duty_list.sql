-- Duties of a jurisdiction in order.
SELECT says, coalesce(hours, 0), coalesce(days, 0), source FROM duty WHERE jurisdiction = :jurisdiction ORDER BY position;
