-- Phrases in notes that speak of a near miss (nearmiss/phrases.h). May run again: a rule the company changed stays as it is.
-- Patterns are PCRE2, capital and small letters alike; {word} is a list from the first table; {gap} is one word that does not negate.
-- A pattern begins with a word, not with a look ahead: its first letters tell where it can not begin, and PCRE2 is not asked.
-- A group named lack says that the lack itself is what is told. Lines are invented; words of the trade, no source.
WITH word (name, list) AS (VALUES
    ('gap', '(?!(?:no|not|never|without|neither|nor|(?:did|does|do|was|were|is|are|had|has|would|could|must)n[''’]?t)\b)[\w''’/-]++\s++'),
    ('the', '(?:(?:the|a|an|my|our|his|her|its|their|that|this|one\s+of\s+the|neighbou?r[''’]?s?)\s++){0,2}'),
    ('piece', 'piece|peice|log|butt|but|bottom|base|tip|top|crown|head|limb|leader|load|pick|trunk|section|stub|branch|brush|chunk|lump'),
    ('person', 'climbers?|climer|climbr|clmber|me|my\s++(?:head|face|chest|back|arm|hand|fingers?|leg|knee|foot|feet|shin|shoulder|helmet|lanyard|flip\s?line|line|rope|bucket)|us|him|them|ground(?:ie|y|ies|s?m[ae]n|\s++(?:crew|guys?|hands?|workers?))|operator|crew|lads?|guys?|workers?|m[ae]n|some(?:one|body)|bystanders?|public|pedestrians?|passer-?by|passers-?by|walkers?|cyclists?|home\s?owner|owner|client|customer|kids?|child|children|neighbou?rs?|dragger|banksman|spotter|apprentice|trainee|bucket'),
    ('structure', 'house|home|roof|gutter\w*+|guter\w*+|guttr\w*+|eaves|soffit|fascia|chimney|windows?|skylight|shed|garage|carport|fence|wall|panes?|deck|porch|patio|conservatory|greenhouse|glass\s?house|cars?|vans?|vehicles?|pool|barn|building|tiles?|slates?|aerial|antenna|trampoline|summer\s?house'),
    ('wires', '(?:power|electric\w*+|hydro|tele\s?phone|phone|service|overhead|utility|supply|hv|high\s++voltage)\s?(?:lines?|drops?|wires?|cables?|poles?)|drop\s++(?:wires?|lines?)|wires|conductors?|primar(?:y|ies)|secondar(?:y|ies)|overheads|street\s?lights?'),
    ('sling', 'sling|slng|slign|slinng|strop|strp|stropp|strap|choker|chocker|chokr|hitch|round\s?sling|endless|eye|leg|rope'),
    ('new', '(?![^.,;:!?]{0,60}\b(?:already|old|existing|previous(?:ly)?|before|beforehand|last\s++(?:week|month|year|winter)|storm|arriv\w++|as\s++asked|taken\s++down|utility|removed)\b)'),
    ('far', '(?:(?:about|approx\w*+|maybe|roughly|around|nearly|almost|some|only|just|good)\s++)?(?:\d++(?:[.,]\d++)?|an?|one|two|three|four|five|six|seven|eight|nine|ten|twelve|half\s++an?|few|couple(?:\s++of)?|several)\s*+(?:ft|feet|foot|in|inch(?:es)?|m|met(?:re|er)s?|cm|mm|yards?|yds?)\b')
)
INSERT INTO rule (name, key, value, shipped, reason, source)
SELECT 'phrase-words', name, list, list, 'a list of words that patterns name as {' || name || '}', 'words of the trade, no source'
FROM word WHERE true
ON CONFLICT (name, key) DO UPDATE SET value = excluded.value, shipped = excluded.shipped WHERE rule.value = rule.shipped;

WITH around (key, pattern, reason) AS (VALUES
    ('before', '\b(?:no|not|never|nobody|no\s?one|none|nothing|nor|neither|nowhere|without|w/o|w/out|hardly|avoid(?:ed|s|ing)?|prevent(?:ed|s|ing)?|instead\s++of|rather\s++than|free\s++of|clear\s++of|if|in\s++case|unless|would|could|might|may|should|so\s++(?:that\s++)?it|in\s++order\s++to|worried|worry|fear(?:ed)?|expect(?:ed|ing)?|afraid|kept|keep(?:ing)?|watch(?:ed|ing)?\s++for|check(?:ed|ing)?(?:\s++for)?|look(?:ed|ing)\s++for|replac(?:ed|ing)|swapp(?:ed|ing)|(?:did|does|do|was|were|is|are|had|has|have|would|could|should|must|ca|wo)n[''’]?t)(?:\s++[\w''’-]++){0,3}\s*+',
        'words in front of a hit, in its clause, that take it back'),
    ('after', '\s*+(?:[\w''’-]++\s++){0,4}?(?:on\s++purpose|as\s++(?:planned|intended|expected|per|designed|agreed|briefed|asked|we\s++wanted)|by\s++design|deliberate(?:ly)?|intentional(?:ly)?|under\s++control|(?:was|were)\s++(?:avoided|prevented|expected|planned|isolated)|tested|before\s++(?:the\s++|this\s++|we\s++|i\s++)?(?:cut|lift|pick|start|saw)(?:ting|ing|ed)?\s*+\z)(?!\w)',
        'words behind a hit that take it back')
)
INSERT INTO rule (name, key, value, shipped, reason, source)
SELECT 'phrase-around', key, pattern, pattern, reason, 'words of the trade, no source'
FROM around WHERE true
ON CONFLICT (name, key) DO UPDATE SET value = excluded.value, shipped = excluded.shipped WHERE rule.value = rule.shipped;

WITH phrase (name, class, pattern, must, must_not) AS (VALUES
    -- a person in the wrong place
    ('under-load', 'place', '\b(?:under(?:neath)?|beneath)\s++{the}(?:load|it|{piece}|hook|boom|pick)\b',
        'a man went under the log to fetch a saw
they were both underneath it when it swung',
        'no one under the load
kept everybody from walking under, nobody beneath the hook'),
    ('in-zone', 'place', '\b(?:in|inside|into|within|through|past|across)\s++{the}(?:drop|landing|danger|exclusion|red|work|fall|kill|swing|butt)(?:\s?zone|\s?area|[''’]?s?\s++(?:path|way|arc)|\s++path)\b|\b{person}\s++{gap}{0,3}(?:past|through|inside|under|over)\s++{the}(?:tape|cones?|barriers?|cordon|rope)\b',
        'a neighbor walked into the drop zone
saw that the operator stood in the swing path',
        'nobody in the landing zone
kept everyone from being inside the danger area, no one in the drop zone'),
    ('missed-person', 'place', '\b(?:(?:just|barely|narrowly|nearly|almost)\s++)?(?:miss(?:ed|es|ing)?|skimmed|grazed|brushed|clipped|bumped|nudged|swung\s++(?:at|past|into|toward)s?|came\s++(?:at|for|past|toward)s?|c[oa]me?\s++(?:round|around)\s++(?:at|to|into|past)|flew\s++(?:at|past|by)|hit|touched|trapped|pinned|squashed|pushed|knocked|shoved|crushed)\s++{the}{person}\b',
        'log swung past him at head height
it just missed the groundsman',
        'it never came at the climber
nothing touched the crew'),
    ('inches-from-person', 'place', '\b(?:inch(?:es)?|feet|foot|ft|cm|hand|hair|whisker|close|right\s++next)\s++(?:from|of|off|to|past|by)\s++{the}{person}\b',
        'it landed two foot from the operator
the tip stopped inches from his mate and a foot from the climber',
        'not within 20 feet of the crew'),
    ('got-out-of-way', 'place', '\b(?:had\s++to\s++(?:jump|duck|dive|run|bail|leap|swing\s++clear|scramble|get\s++out)|(?:bailed|ducked|dodged)\b|(?:jumped|dived|dove|leapt|leaped|scrambled|stepped)\s++(?:out\s++of|clear|aside|away|back\s++(?:just\s++)?in\s++time))',
        'had to jump clear
the trainee dodged and it went by',
        'no need to run, nobody had to jump
the needle jumped'),
    ('tied-to-piece', 'place', '\b(?:tied|clipped|hooked|attached|lanyarded|strapped)\s++(?:in|on|off)?\s*+(?:in)?to\s++{the}(?:piece|log|top|limb|load|section|pick)\b|\b(?:lanyard|flip\s?line|strop|rope|climbing\s++line|lifeline|line)\s++{gap}{0,3}(?:a?round|over|on|caught\s++(?:in|on)|under)\s++{the}(?:piece|log|limb|load|section|pick)\b',
        'he was clipped into the limb
climbing line caught on the load',
        'was never tied into the section'),
    ('wrong-place', 'place', '\b(?:(?:wrong|bad)\s++(?:side|place|spot)|no(?:where|\s++where|\s++place)\s++to\s++(?:go|move|escape)|back(?:s)?\s++(?:was\s++|were\s++)?turned|too\s++close\s++to\s++{the}(?:cut|butt|piece|load|stem)|in\s++the\s++bight)\b',
        'trainee was at the wrong side of the spar
apprentice in the bight of the tag line',
        'not on the wrong side this time'),
    ('would-have-hit', 'place', '\b(?<lack>(?:would|could|might)(?:[''’]?ve|\s++have|\s++of|a)?)\s++(?:easily\s++|well\s++)?(?:hit|killed|hurt|crushed|taken|got|had|landed\s++on|flattened|squashed|broken)\s++{the}{person}\b',
        'would of hit the groundie had he stayed
it could have killed someone',
        'would have taken two picks'),
    -- the crane
    ('side-load', 'crane', '\b(?:side|sideways|out\s++of\s++plumb|diagonal)[\s-]?+(?:load|pull|drag|draw)(?:ed|ing|s)?\b|\bdragged\s++{the}(?:boom|jib)|\bpulled\s++{the}(?:boom|jib)\s++(?:over|sideways|side\s++ways|round|around|across)',
        'bit of a side-pull when it let go
side loading on the jib tip',
        'had no side-load
without any sideways pull'),
    ('outrigger', 'crane', '\b(?:outrigg?e?rs?|out\s++rigg?ers?|stabili[sz]ers?|pads?|mats?|jacks?|rear|off\s?side|near\s?side|wheels?|(?:crane|truck|chassis|machine|base))\s++{gap}{0,3}(?:sank|sunk|sinking|lifted|lifting|light|punched|sli?pp?(?:e?d|ing|t)?|rocked|rocking|tilted|tipped|tipping|lean(?:ed|ing|t)|shook|shaking|gave\s++way|rose|came\s++up|off\s++(?:the\s++)?(?:ground|mat|pad|deck))\b',
        'stabiliser lifted a bit as he slewed
the truck rocked when the top came off',
        'the outriggers never sank
pads did not slip'),
    ('alarm', 'crane', '\b(?:alarm|buzzer|bleeper|siren|lmi|rci|rcl|lmb|asli|cut[\s-]?out|kick[\s-]?out|over[\s-]?load\w*+|limiter|indicator)\s++{gap}{0,3}(?:went|go(?:ing|es)?|sound(?:ed|ing)|tripp?(?:ed|ing)?|cut|scream(?:ed|ing)|beep(?:ed|ing)|blar(?:ed|ing)|red|lit|locked|came\s++on|kicked|stopped)\b|\bset\s++off\s++{the}(?:alarm|buzzer|lmi|rci)|\b(?:alarm|buzzer)\s++at\s++\d|\b(?:lmi|rci|rcl|load\s++moment)\s++(?:alarm|warning)\b|\boverload(?:ed|ing)?\b',
        'the buzzer sounded as we boomed out
rci tripped half way round
LMI warning on the slew',
        'alarm never went off
no overload'),
    ('two-block', 'crane', '\b(?:anti[\s-]?)?two[\s-]?block(?:ed|ing)?\b|\b(?:ball|block|hook)\s++{gap}{0,3}(?:into|against|near|touch\w*+|hit|in)\s++{the}(?:sheave|boom\s++tip|boom\s++head|jib)',
        'he nearly two-blocked it
hook block hit the boom tip',
        'no two blocking'),
    ('boom-moved', 'crane', '\b(?:boom|jib)\s++(?:tip\s++)?{gap}{0,2}(?:dipp?(?:ed|ing)?|dropped|flexed|bent|bounc(?:ed|ing)|whipp?(?:ed|ing)?|twist(?:ed|ing)|deflected|drift(?:ed|ing)|crept|sagged|jumped|nodded|came\s++down)\b|\bradius\s++{gap}{0,2}(?:crept|went|grew|drifted|opened|increased|further|longer|out)\b',
        'jib dropped a good bit at the cut
radius crept as he boomed down',
        'boom did not dip'),
    ('hoist-slip', 'crane', '\b(?:hoist|winch|drum|line|load)\s++{gap}{0,2}(?:sli?pp?(?:e?d|ing|t)?|crept|let\s++go|ran\s++(?:out|back|away)|fail(?:ed|ing)?|would(?:n[''’]?t|\s++not)\s++hold|paid\s++out)\b|\bbrake\s++{gap}{0,2}(?:sli?pp?(?:e?d|ing|t)?|fail(?:ed|ing)?|fad(?:ed|ing)|let\s++go|late)\b',
        'the winch slipped while we were lowering
brake failed to hold for a moment',
        'hoist never slipped'),
    ('hook-swung', 'crane', '\b(?:ball|block|hook|headache\s++ball)\s++{gap}{0,2}(?:swung|swing(?:ing)?|hit|struck|came\s++(?:at|past|round|around|down)|clouted|clipped|flew|missed|whacked)\b',
        'the ball swung past his ear
hook block struck the spar',
        'block did not swing'),
    ('whole-crane', 'crane', '\b(?:whole|entire|all\s++the)\s++(?:crane|truck|rig|machine|tree|spar)\s++{gap}{0,2}(?:shook|rocked|moved|jumped|shudder(?:ed)?|settled|leaned|went)\b',
        'the whole rig shuddered',
        'the whole crane never moved, the whole truck did not shake'),
    -- a house or a line near
    ('struck-structure', 'near', '\b(?:(?:just|nearly|almost|barely)\s++)?(?:hit|touch(?:ed|ing)?|brush(?:ed|ing)?|scrap(?:ed|ing|e)|clipp?(?:ed|ing)?|knock(?:ed|ing)?|bump(?:ed|ing)?|caught|struck|rubb(?:ed|ing)|bounced|snagg(?:ed|ing)|tangled|tangling|wrapp?(?:ed|ing)|graz(?:ed|ing)|kissed|tapped|dinged|leaned|miss(?:ed|ing)|clear(?:ed|ing)|swung|dropped|fell|came\s++down|landed|drifted|put)\s++{gap}{0,4}(?:{structure}|{wires})\b',
        'branch end tapped the window
she drifted over the garage
limb touched the telephone cable',
        'never touched the roof
did not come near, nothing hit the fence'),
    ('damaged-structure', 'near', '\b(?:(?:{structure}){new}\s++{gap}{0,3}(?:bent|dinged|dented|cracked|broken?|smashed|shattered|scratched|flattened|squashed|crushed|holed|torn|ripped|damaged|marked|chipped|(?:took|got|has|had)\s++a\s++(?:knock|bang|dent|ding|hole|scratch|crack|bash|clout)|knocked\s++(?:off|down|over))|(?:{wires}){new}\s++{gap}{0,2}(?:pulled\s++(?:down|off|out)|brought\s++down|snapped|torn|ripped|arced|sparked)|(?:cracked|broke|smashed|dented|dinged|dinked|bent|scratched|flattened|squashed|tore|ripped|holed|(?:put|left|knocked|made)\s++a\s++(?:dent|ding|hole|scratch|mark|crack)\s++in){new}\s++(?:off\s++|down\s++|up\s++)?{the}(?:{structure}|{wires}))\b',
        'eaves got a bash from the crown
dinged his car
the shed smashed',
        'no tiles broken
the fence was broken before
patio cracked from last winter'),
    ('near-structure', 'near', '\b(?:(?:too|very|so|pretty|bit|that|quite|awful(?:ly)?|dead)\s++(?:close|near)|(?:close|near)\s++enough|close[rd]?\s++(?:than|to)|inch(?:es)?\s++(?:from|of|off|over|above)|(?:within|only|less\s++than|under|just)\s++{far}(?:\s++(?:from|of|off|above|over|clear))?|whisker|hair|hand[''’]?s?\s++(?:width|breadth))\b\s*+{gap}{0,5}(?:{structure}|{wires})\b',
        'stopped only two feet off the gutter
far too close to the service line for my liking
inches off the chimney',
        'not too close to the wires'),
    ('over-structure', 'near', '\b(?:swung|flew|sailed|went|came|drift(?:ed|ing)|slew(?:ed)?|carried)\s++{gap}{0,2}(?:over|into|onto|at|toward|towards|against)\s++{the}(?:{structure}|{wires}|road|highway|pavement|sidewalk|street|footpath)\b',
        'top went toward the fence
load drifted into the road',
        'did not swing over the house'),
    ('would-have-hit-it', 'near', '\b(?<lack>(?:would|could|might)(?:[''’]?ve|\s++have|\s++of|a)?)\s++(?:easily\s++|well\s++)?(?:hit|killed|hurt|crushed|taken|got|had|landed\s++on|flattened|squashed|broken)\s++{the}(?:{structure}|{wires})\b',
        'one more foot and it would have flattened the shed
might have broken a skylight',
        'would have taken longer near the shed'),
    -- balance
    ('butt-moved', 'balance', '\b(?:butt|but|bottom|base|thick|heavy|tip|top|log|piece|limb|it|she|end)\s++(?:end\s++)?(?:{gap}{0,1})(?:kick(?:ed|ing)?|jump(?:ed|ing)?|fl(?:ew|y|ies)|shot|popp(?:ed|ing)|rear(?:ed|ing)|sprang|sprung|lurched|bucked|reared|leapt|whipp(?:ed|ing)|lash(?:ed|ing)|launched)\s++(?:up|out|back|over|round|around|at|off|toward\w*+|forward|side\s?ways|past|hard|straight|about|{far})',
        'bottom end shot out at him
the butt jumped up about two feet',
        'butt never kicked up'),
    ('butt-came', 'balance', '\b(?:butt|but|bottom|thick\s++end|heavy\s++end)\s++(?:end\s++)?{gap}{0,1}(?:came|come|went|rose|raised|lifted|dropped|swung)\s++(?:right\s++|straight\s++|clean\s++)?(?:up|round|around|at|out|back|toward\w*+|over|down|away|past)\b|\b(?:butt|bottom)\s++up\b',
        'butt end rose up as the tip went down
the bottom came round at the stem',
        'butt did not come up'),
    ('tip-dived', 'balance', '\b(?:tip|top|nose|head|crown|end|it|piece|limb)\s++(?:end\s++)?{gap}{0,1}(?:div(?:ed|es|ing|e)|dove|nose[\s-]?div\w*+|plunged|dipped|dropped\s++(?:down|away|like)|went\s++down\s++(?:hard|fast|first))\b|\b(?:tip|top|butt|but|head)[\s-]++heavy\b|\bnose[\s-]?div(?:ed|e|ing)\b',
        'the nose dived and the rest followed
came off very butt heavy',
        'the tip never dived'),
    ('rolled', 'balance', '\b(?:roll(?:ed|ing)?|flipp?(?:ed|ing)?|flopp?(?:ed|ing)?|tipp(?:ed|ing)|toppl(?:ed|ing)|tumbl(?:ed|ing)|twist(?:ed|ing)|spun|spinning|whipp(?:ed|ing)|turned|turning|rotat(?:ed|ing)|pivot(?:ed|ing)|laid|keeled|went)\s++(?:right\s++|clean\s++|half\s++|straight\s++|all\s++the\s++way\s++)?(?:over|round|around|upside|end\s++(?:for|over)|on\s++(?:its|me|us|the\s++sling)|out\s++of|sideways|violently|fast|hard|badly|quick(?:ly)?|sudden(?:ly)?|wild(?:ly)?)\b|\b(?:see[\s-]?saw|teeter|pendulum|cartwheel|somersault)(?:ed|ing)?\b',
        'rolled over as it came off the stub
it spun round fast and we let it settle',
        'did not flip over
never rolled over'),
    ('unbalanced', 'balance', '\b(?<lack>not|wasn[''’]?t|isn[''’]?t|never|out\s++of|off|un|poor(?:ly)?|bad(?:ly)?)[\s-]*+balanced?\b|\bupside[\s-]?down\b|\bend\s++(?:over|for)\s++end\b|\b(?:c\.?\s?o?\.?g\.?|cent(?:er|re)\s++of\s++gravity|balance\s++point)\s++{gap}{0,4}(?:above|outside|past|wrong|off|further|beyond|below)\b',
        'the load was out of balance
cg ended up outside the legs',
        'well balanced
balance was good'),
    ('slung-wrong', 'balance', '\b(?:hooked|slung|choked|rigged|picked|tied|caught|chokered|strapped|grabbed)\s++{gap}{0,2}too\s++(?:low|high|far|near|short|long)\b|\b(?:legs?|slings?)\s++(?:was|were|too|set)\s++(?:too\s++)?(?:short|long)\b|\bstood\s++(?:it\s++self\s++|itself\s++)?(?:up|on\s++end)\b',
        'choked it too high by a yard
the leg was too short for that lean',
        'not slung too low'),
    ('swung', 'balance', '\b(?:swung|swing(?:ing)?|spun|flew|slammed|smacked|banged|crashed|clouted|walloped|bashed|barrell?ed)\s++{gap}{0,2}(?:at|into|against|back|across|wild(?:ly)?|hard|round|around|violently|fast|badly)\s++{gap}{0,2}(?:{person}|stem|spar|tree|trunk|bucket|crane|truck|boom|chipper|{far}|it\b)|\bswung\s++{far}|\b(?:big|bad|huge|wild|nasty|hard|fast)\s++swing\b',
        'log slammed into the spar
it swung about eight feet',
        'did not swing into the trunk
no big swing'),
    -- slack
    ('slack', 'slack', '\b(?:line|wire|cable|rope|hook|whip|sling|leg|strop|hoist|it|was|were|still|had|with|too|much|bit\s++of|lots?\s++of|loads\s++of|some|lower|upper|tip|butt)\s++(?:was\s++|were\s++|had\s++|still\s++|too\s++|gone\s++|went\s++|a\s++bit\s++|(?:much|some|bit\s++of)\s++){0,2}(?:slack|loose|floppy)\b|\bslack\s++(?:line|leg|sling|wire|cable|rope|in|on)\b',
        'still some slack on it when the saw went through
upper leg had gone slack',
        'no slack
not any slack line'),
    ('no-tension', 'slack', '\b(?<lack>(?:no|not\s++enough|(?:to|too)\s++little|insufficient|without|lack\s++of|hardly\s++any|forgot\s++(?:to|the)|should(?:[''’]?ve|\s++have|\s++of)|never\s++(?:took|got|had)|didn[''’]?t\s++(?:take|have|get)|hadn[''’]?t\s++(?:taken|got)?)\s++{gap}{0,4}?(?:pre[\s-]?)?(?:ten[st]ion(?:ed)?|pre[\s-]?load(?:ed)?|line\s++pull|snugged(?:\s++up)?|tight(?:ened)?|taut)|(?:forgot\s++to|should(?:[''’]?ve|\s++have|\s++of)|never|didn[''’]?t|hadn[''’]?t)\s++{gap}{0,2}(?:take|took|taken|pull\w*+)\s++(?:up\s++)?{the}slack|(?:was[\s-]?n[''’]?t|were[\s-]?n[''’]?t|not)\s++(?:tight|snug|snugged|taut|tensioned|pre-?tensioned|loaded))\b',
        'there was not enough line pull on the hook
the upper leg was not tight',
        'plenty of tension
no slack at all in it'),
    ('dropped', 'slack', '\b(?:dropp(?:ed|ing)|fell|free[\s-]?fell|falling|sat\s++down|slammed|came\s++down)\s++(?:down\s++)?(?:{far}|onto\s++{the}{sling}s?|on\s++to\s++{the}{sling}s?|on\s++{the}{sling}s?|into\s++{the}{sling}s?|and\s++(?:caught|stopped)|then\s++(?:caught|stopped)|with\s++a\s++(?:bump|bang|crash|thump|thud|wallop)|like|hard|before)|\bfree[\s-]?f[ae]ll(?:ing)?\b',
        'it dropped 2ft and stopped dead
the butt fell onto the choker',
        'never dropped on the sling
did not fall a foot'),
    ('shock', 'slack', '\b(?:shock|impact|snatch|dynamic)[\s-]?(?:load|lift)?(?:ed|ing)?\b|\b(?:jerk|jolt|snatch|bounc|yank|thump|slamm|bang)(?:ed|ing|e)\b|\b(?:big|huge|hard|bad|nasty|sharp|good|heavy|a|with\s++a)\s++(?:jerk|jolt|bounce|snatch|thump|bang|shock|thud)\b',
        'a nasty jolt through the boom
shock loading on the hook',
        'no shock loading
without a jolt'),
    -- a sling
    ('sling-moved', 'sling', '\b{sling}s?\s++{gap}{0,2}(?:slid|sliding|sli?pp?(?:e?d|ing|t)?|ran|crept|creeping|roll(?:ed|ing)|let\s++go|(?:came|popped|fell|jumped|pulled|rode)\s++(?:off|up|down|loose|undone|along|out)|shift(?:ed|ing)|undone|open(?:ed)?)\b(?!\s++(?:\w++\s++){0,2}?(?:at|on|in)\s++{the}(?:truck|lorry|chipper|loader|landing|log\s?pile|deck)\b)',
        'the strap crept a few inches along the limb
round sling came off as soon as it was loaded',
        'choker never slipped
strap did not move
choker came off easily on the lorry
second strap shifted out a foot before the cut'),
    ('sling-slid-2', 'sling', '\b(?:slid|slipped|sliding|slipping|ran)\s++(?:up|down|along|off|out\s++of|toward\w*+)\s++{the}(?:{sling}|stem|limb|log|bark|taper|hook)s?\b|\bbark\s++{gap}{0,2}(?:peel|slip|strip|stripp|came|ripp|tore|slough)(?:ed|ing|s)?\b',
        'it slipped out of the choker
bark stripped under the strop',
        'nothing slid down the stem'),
    ('sling-damaged', 'sling', '\b{sling}s?\s++{gap}{0,2}(?:cut|frayed|fraying|torn|tore|snapped|broke(?:n)?|parted|glazed|melted|burnt|nicked|damaged|failed|ripped|split|jammed|snagg(?:ed|ing)|caught)\b|\b(?:frayed|torn|broken|cut|damaged|burnt|glazed|nicked|worn|bent)\s++(?:{sling}|shackle|hook|link)s?\b',
        'we saw that the eye was torn
used a damaged strap by mistake',
        'replaced the torn strop
no cut slings'),
    ('hardware', 'sling', '\b(?:shackle|shackel|shakle|pin|gate|latch|keeper|karabiner|carabiner|krab|biner|ring|snap|hook)\s++{gap}{0,2}(?:back(?:ed|ing)\s++(?:out|off)|work(?:ed|ing)\s++(?:out|loose|its\s++way\s++out)|un(?:done|screwed|did|latched|locked|hooked)|open(?:ed)?|came\s++(?:off|out|undone|open)|bent|jammed|fell\s++out|missing|loose)\b(?!\s++(?:\w++\s++){0,2}?(?:at|on|in)\s++{the}(?:truck|lorry|chipper|loader|landing|log\s?pile|deck)\b)|\bunhooked\b|\bcross[\s-]?load(?:ed|ing)\b',
        'the latch came open under load
pin fell out on the ground',
        'gate did not open'),
    ('came-loose', 'sling', '\b(?:came|come|coming|work(?:ed|ing)|shook|shaken|rattled|wriggled)\s++(?:itself\s++)?(?:loose|adrift|undone|unhitched|unclipped)\b(?!\s++(?:\w++\s++){0,2}?(?:at|on|in)\s++{the}(?:truck|lorry|chipper|loader|landing|log\s?pile|deck)\b)|\brigging\s++{gap}{0,2}(?:sli?pp?(?:e?d|ing|t)|slid|(?:shift|mov)(?:ed|ing)\b(?!\s++(?:up\s++|over\s++|across\s++)?(?:to|onto|for)\b)|let\s++go|fail(?:ed|ing)?|crept|broke|snapped|parted|undone)\b',
        'the basket came loose over the drive
half the rigging shifted when he slewed',
        'nothing came loose
rigging did not move
the rigging moved over to the oak
they came undone easily at the lorry'),
    ('not-done-up', 'sling', '\b(?:shackles?|shackels?|shakles?|pins?|gates?|latch(?:es)?|keepers?|hooks?|karabiners?|carabiners?|krabs?|biners?|hitch(?:es)?|knots?)\s++{gap}{0,4}(?:(?<lack>not|never|was\s?n[''’]?t|were\s?n[''’]?t|is\s?n[''’]?t|had\s?n[''’]?t|half|only\s++half|nor)\s++{gap}{0,2}(?:done\s++up|shut|closed|screwed|tight(?:ened)?|locked|fastened|home|seated|latched|fully|moused|tied)|left\s++(?:open|undone|loose|unlocked|unscrewed|unlatched|untied|unmoused))\b',
        'one of the shackles was not fully tightened
pin left unscrewed by the last man',
        'shackle was done up
hook gate closed and locked'),
    ('not-locked', 'sling', '\b(?<lack>no|without|missing|forgot\s++(?:the|a|to)|only\s++one|never|not)\s++{gap}{0,2}?(?:half[\s-]?hitch(?:es)?|locked\s++off|moused|back(?:ed)?[\s-]?up|keeper|latch)\b',
        'tied with only one half-hitch
hook had no latch',
        'with two half hitches on it'),
    -- the saw
    ('saw-stuck', 'saw', '\b(?:chain\s?saw|hand\s?saw|saw|bar|chain|blade|silky)\s++{gap}{0,3}(?:pinch(?:ed|ing)?|stuck|trapp?(?:ed|ing)?|jamm?(?:ed|ing)?|bound|binding|nipp(?:ed|ing)|grabb(?:ed|ing)|caught|taken|gone|ripped|yanked|snatched|lifted|hung|hanging|wedged|clamped|dropped|torn|went|pulled\s++(?:out|from|up|away|down))\b|\b(?:took|lost|ripped|pulled|left|dragged|carried)\s++{the}saw\b',
        'blade jammed and went up with the limb
lost the saw when the top moved',
        'the saw was not pinched
bar never stuck
the saw pulled well today'),
    ('pinched', 'saw', '\b(?:kerf|cut)\s++{gap}{0,3}(?:clos(?:ed|ing|es)|shut|clamped|pinch(?:ed|ing)?|open(?:ed|ing|s)|sprang|snapped|moved|sat\s++down|slamm(?:ed|ing))\b|\bpinched\b',
        'the kerf closed with an inch to go
cut was opening before I was through',
        'the kerf never closed
cut did not open'),
    ('kickback', 'saw', '\bkick(?:ed)?[\s-]?back\b|\b(?:chain|inertia)\s++brake\s++{gap}{0,2}(?:went|tripped|came|caught|kicked|locked|stopped|saved)\b|\bchain\s++(?:came\s++off|snapped|broke)\b',
        'bit of kick-back at the end
chain snapped in the cut',
        'no kickback'),
    ('split', 'saw', '\bbarber[\s-]?chair(?:ed|ing)?\b|\b(?:stem|log|butt|piece|limb|trunk|leader|wood|hinge|it|spar)\s++{gap}{0,2}(?:split|tore|torn|ripped|peeled|snapped|broke|cracked|shattered)\s++(?:early|out|off|up|down|past|before|away|through|along|out\s++of|too|with|{far})|\bhinge\s++(?:broke|snapped|tore|let\s++go|failed)\b',
        'the limb tore off before the cut was done
nearly barber chaired',
        'it never split out'),
    ('cut-line', 'saw', '\b(?:cut|nicked|touched|sliced|caught|hit)\s++(?:into\s++|through\s++|thru\s++)?{the}(?:own\s++)?(?:lanyard|flip\s?line|life\s?line|climbing\s++(?:line|rope)|rope|strop|sling|glove|trousers|pants|chaps|boot)\b(?!\s++(?:ties?|to\s++(?:length|size))\b)',
        'nicked the flip line with the chain
cut through my glove',
        'never touched the rope
cut the rope to length'),
    -- weight
    ('heavier', 'weight', '\b(?:(?:a\s++)?(?:lots?|loads?|great\s++deal|bit|fair\s++bit)|much|way|far|well|quite|miles|tons|really|seriously|twice|double|considerably|significantly)\s++{gap}{0,2}?(?:heav(?:ier|yer|y)|over\s?weight|more)\s++(?:th[ae]n|as)\b|\bheav(?:ier|yer)\s++th[ae]n\s++(?:it\s++)?{the}(?:plan|guess|estimat|expect|thought|think|call|look|figure|reckon|number|said|bargain|chart|i\b|we\b|he\b|she\b|anyone)\w*+|\btwice\s++{the}(?:weight|guess|plan|estimate)\w*+',
        'seriously heavier than the estimate
it was heavier than we reckoned
twice the weight on the slip',
        'not heavier than planned
lighter than we thought'),
    ('too-heavy', 'weight', '\b(?:to+|very|dead|bloody|damn|stupid(?:ly)?|that)\s++heavy\b|\bover[\s-]?weight\b|\b(?:under|miss?|badly)[\s-]?(?:guess|estimat|call|judg|reckon)(?:ed|ing|e|es)?\b|\b(?:guess|estimate|number|figure)\s++{gap}{0,2}(?:way|well|miles|far|badly)\s++(?:off|out|under|low|short|wrong)\b|\bw(?:ei|ie)ght\s++{gap}{0,2}(?:way|well|miles|far|badly)\s++(?:off|out|over|wrong)\b',
        'far too heavy for that radius
we misjudged it, the guess was miles out',
        'was not too heavy
weight well under the limit'),
    ('over-chart', 'weight', '\b(?:over|past|beyond|exceed(?:ed|ing)?|above|maxed(?:\s++out)?|max[''’]?d|on\s++the\s++limit\s++of|at\s++the\s++(?:limit|end)\s++of|out\s++of|off)\s++(?:the\s++|her\s++|its\s++|his\s++)?(?:load\s++)?(?:chart|rating|rated|capacity|limits?)\b|\bmaxed\s++out\b|\boverweight\b',
        'operator says it was past the chart
she was maxed out at that reach',
        'never over the chart
not beyond capacity'),
    ('percent-over', 'weight', '\b\d++\s*+(?:%|percent|per\s++cent|kg|kilos?|lbs?|pounds|t|tons?|tonnes?)\s++(?:over|heavier|more\s++than|above|too\s++much|too\s++heavy|up\s++on)\b|\b(?:half\s++an?|a)\s++(?:tonne|ton|t)\s++(?:over|heavier|more|too)\b',
        '600 lb over what the boss gave me
a ton heavier',
        'not 5 % over'),
    ('take-less', 'weight', '\b(?<lack>should(?:[''’]?ve|\s++have|\s++of|a|[''’]?d\s++have)?)\s++(?:been\s++)?(?:taken|cut|gone|made|done|split|picked|took|did|weighed)\s++(?:it\s++|that\s++|this\s++|them\s++)?(?:in(?:to)?\s++)?(?:two|half|halves|three|smaller|shorter|less)\b|\bbit(?:ten)?\s++off\s++(?:more|too\s++much)\b',
        'should have cut it shorter
bit off too much there',
        'took it in two halves'),
    -- wind
    ('gust', 'wind', '\b(?:gust|wind|breeze|squall|blow|draught)(?:s|y|ing)?\s++{gap}{0,3}(?:took|taking|caught|push(?:ed|ing)|blew|spun|swung|turn(?:ed|ing)|grabb(?:ed|ing)|carri(?:ed|es)|sail(?:ed|ing)|lift(?:ed|ing)|mov(?:ed|ing)|got\s++(?:hold|it|under|the)|threw|hit|had\s++it|came\s++in)\b',
        'the breeze pushed it round at the roof
wind had it for a second',
        'the wind never moved it'),
    ('blown', 'wind', '\b(?:blown|blew|sailed|sailing|weather[\s-]?(?:cock|vane)(?:d|ed|ing)?)\s++{gap}{0,2}(?:off|over|round|around|into|out|back|across|away|about|at|toward\w*+)\b|\blike\s++a\s++(?:kite|sail|parachute|weather\s?vane)\b|\bsail\s++(?:effect|area)\b|\bin\s++the\s++wind\b',
        'the top blew back across the drive
went up like a sail',
        'was not blown about'),
    ('windy', 'wind', '\b(?:too|very|so|really|bit|stupid(?:ly)?|mighty)\s++(?:windy|gusty|breezy|blowy)\b|\b(?:blowing|gusting|gusts?|wind|winds)\s++{gap}{0,3}(?:hard|a\s++gale|(?:2[5-9]|[3-9]\d)\b)|\b(?:gale|squall)\b|\b(?<lack>should(?:n[''’]?t|\s++not|\s++never)\s++(?:[''’]?ve|have|of))\s++{gap}{0,2}(?:flown|lifted|picked|gone\s++up|been\s++up|lift)\b',
        'gusting to 35 on the meter
way too gusty for a full crown, it was very gusty',
        'not very windy'),
    -- communication
    ('radio', 'communication', '\b(?:radios?|head\s?sets?|comms?|walkie(?:[\s-]talkie)?s?|intercom|mic|channel|battery|batteries)\s++{gap}{0,2}(?:cut|died|dying|dead|dropped|fail(?:ed|ing)?|broke(?:n)?|quit|garbled|lost|down|flat|packed|crackl(?:ed|ing)|conked|gone|went)\b|\blost\s++{the}(?:comms?|radio|contact|(?:hand\s++)?signals?|sight(?!\s++of\s++no)|line\s++of\s++sight|eye\s++contact|voice)\b|\b(?:radio|head\s?set|comms?)\s++(?:interference|static)\b',
        'comms went down as the load came round
lost sight of the signaller',
        'the radio never failed'),
    ('misheard', 'communication', '\bmi?s{1,2}[\s-]?(?:heard|hear(?:ing)?|understood|understand(?:ing)?|read|communicat(?:ed|ion)|interpreted)\b|\b(?<lack>could\s?n[''’]?t|could\s++not|can[''’]?t|cannot|did\s?n[''’]?t|did\s++not|unable\s++to|never)\s++(?:hear|heard|see|saw|make\s++out|read|understand|get|got|catch|answer)\s++{the}(?:{person}|op|signals?|call|each|what|word|hand|radio|command)\b',
        'he misunderstood the signal
the driver could not see the climber',
        'heard every call'),
    ('signal-lost', 'communication', '\b(?:signals?|calls?)\s++{gap}{0,2}(?:lost|missed|unclear|misread|misheard|mixed\s++up|confused)\b|\bmissed\s++{the}(?:hand\s++signals?|signals?|stop)\b|\bsignals?\s++{gap}{0,2}(?<lack>not|never|was\s?n[''’]?t|were\s?n[''’]?t)\s++(?:seen|clear|heard|understood|visible|picked\s++up|passed\s++on)\b',
        'one signal was not passed on
the driver missed the hand signal',
        'no signals missed
signals were never misread'),
    ('no-signaller', 'communication', '\b(?<lack>no|without\s++an?|without)\s++(?:signal\s?m[ae]n|signall?er|banksman)\b(?!\s++(?:was\s++|is\s++)?(?:needed|required|necessary))',
        'lifted with no banksman',
        'no banksman needed there'),
    ('moved-early', 'communication', '\b(?:op|operator|crane|driver|he|she|crane\s++m[ae]n|hoist)\s++{gap}{0,2}(?:boom(?:ed|ing)?|lift(?:ed|ing)?|hoist(?:ed|ing)?|slew(?:ed|ing)?|swung|swing(?:ing)?|cabled|winch(?:ed|ing)?|start(?:ed)?|mov(?:ed|ing)|pull(?:ed|ing)|took|lower(?:ed|ing)?|went|came)\s++{gap}{0,3}(?:before|without|while|when|too\s++(?:soon|early)|early)\b|\bwithout\s++(?:a|any|my|the)\s++(?:signal|call|warning|word|ok|go)\b',
        'driver lifted before the call
crane swung too early',
        'he never lifted before the call'),
    ('wrong-call', 'communication', '\bwrong\s++(?:signal|call|hand|word|channel|button|lever|direction|command|one)\b|\bmix(?:ed)?[\s-]?up\b|\bcross(?:ed)?\s++wires\b|\bconfus(?:ed|ion|ing)\b|\bmistook\b|\b(?:two|both|several|three)\s++(?:people|of\s++us|guys|m[ae]n|lads)\s++(?:were\s++)?(?:signal|call|talk|shout)\w*+|\bthought\s++{gap}{0,4}(?:said|meant|signal\w*+|ready|all[\s-]clear|go\s++ahead)\b',
        'gave the wrong signal for down
he thought I said lower',
        'no confusion about the call'),
    ('not-told', 'communication', '\b(?<lack>no\s?one|nobody|never|not|did\s?n[''’]?t|was\s?n[''’]?t|were\s?n[''’]?t|without)\s++(?:been\s++|being\s++|get\s++)?(?:told|tell|telling|warned|warning|briefed|informed|radioed)\b|\b(?:said|called|asked|signall?ed|shouted|told)\s++{gap}{1,4}(?:(?:and|but)\s++)?(?:he|she|op|operator|they|crane)\s++(?:gave|went|did|lifted|boomed|lowered|swung|took|came|kept|cabled)\b',
        'ground crew had not been told about the change
signalled stop and the operator kept going',
        'was told in good time'),
    -- close, but not said why
    ('close-call', 'unclear', '\bnear[\s-]?(?:miss|hit)\b(?!\s*+[:=-]?\s*+(?:none|nil|n/?a|zero|0|no)\s*+(?:[.,;!]|\z))|\bclose\s++(?:call|one|shave|thing)\b|\b(?:that|it|way|far|bit|very|really)\s++(?:was\s++)?(?:far\s++|bit\s++)?too\s++close\b|\bclose\s++for\s++comfort\b|\bthat\s++was\s++close\b|\bby\s++inches\b|\bhair[\s-]?raising\b|\bheart\s++(?:in|stopp|miss)\w*+',
        'bit of a close shave
calling this a near-miss
near miss: no one hurt',
        'no near misses
near miss: none
damage none, near miss n/a, wind calm'),
    ('lucky', 'unclear', '\b(?:luck(?:y|ily)|thank\s++god|thankfully|got\s++away\s++with|dodged\s++a\s++bullet|phew)\b|\b(?<lack>could(?:[''’]?ve|\s++have|\s++of|a)\s++(?:been|gone|ended))\s++{gap}{0,2}(?:bad(?:ly)?|nasty|worse|wrong|serious|ugly|fatal|either)\b|\bwon[''’]?t\s++(?:do|be\s++doing)\s++that\s++again\b|\bnever\s++again\b|\blesson\s++learn\w*+',
        'thankfully all were clear of it
could have been nasty',
        'no luck needed, not lucky but planned'),
    ('nearly', 'unclear', '\b(?:nearly|almost|just\s++about|very\s++nearly)\s++(?:had|got|lost|hit|took|came|landed|dropped|went\s++(?:over|through|into)|crushed|killed|broke|pulled|tipped)\b|\bscar(?:y|ed|ing)\b|\bfright(?:en\w*+)?\b|\bsketchy\b|\bdodgy\b|\bhairy\b|\bnasty\b',
        'almost lost it there
a bit sketchy at the end',
        'not scary at all')
), part (name, key, value) AS (
    SELECT name, 'class', class FROM phrase
    UNION ALL SELECT name, 'pattern', pattern FROM phrase
    UNION ALL SELECT name, 'find', must FROM phrase
    UNION ALL SELECT name, 'leave', must_not FROM phrase
)
INSERT INTO rule (name, key, value, shipped, reason, source)
SELECT 'phrase:' || name, key, value, value,
    CASE key
        WHEN 'class' THEN 'what the note speaks of'
        WHEN 'pattern' THEN 'PCRE2, capital and small letters alike'
        WHEN 'find' THEN 'lines it must find'
        ELSE 'lines it must leave alone'
    END,
    'words of the trade, no source'
FROM part WHERE true
ON CONFLICT (name, key) DO UPDATE SET value = excluded.value, shipped = excluded.shipped WHERE rule.value = rule.shipped;
