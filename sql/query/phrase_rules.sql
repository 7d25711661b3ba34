-- Rows of the phrase rules (nearmiss/phrases.h): lists of words, words around a hit, and each rule's class, pattern and lines.
SELECT name, key, value
FROM rule
WHERE name IN ('phrase-words', 'phrase-around') OR name GLOB 'phrase:*'
ORDER BY name, key;
