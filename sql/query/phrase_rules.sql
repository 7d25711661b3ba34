-- Rows of the phrase rules (nearmiss/phrases.h): lists of words, words around a hit, and each rule's class, pattern and lines.
-- Rules that do not say why stand last: "almost hit the roof" speaks of a house.
SELECT name, key, value
FROM rule
WHERE name IN ('phrase-words', 'phrase-around') OR name GLOB 'phrase:*'
ORDER BY EXISTS (SELECT 1 FROM rule AS its WHERE its.name = rule.name AND its.key = 'class' AND its.value = 'unclear'),
    name, key;
