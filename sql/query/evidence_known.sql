-- What is known of a content and an origin: counts already, of that origin other content counts, given away by this book.
SELECT
    EXISTS(SELECT 1 FROM evidence_set WHERE sha256 = :sha256 AND removed_on IS NULL),
    EXISTS(SELECT 1 FROM evidence_set WHERE origin = :origin AND sha256 <> :sha256 AND removed_on IS NULL),
    EXISTS(SELECT 1 FROM evidence_exported WHERE sha256 = :sha256);
