-- What a kept text settles: title, severity, probability, state.
UPDATE writeup SET title = :title, severity = :severity, probability = :probability, state = :state WHERE id = :writeup;
