"""How a clause speaks of its matter: words that decide over the trained status, and whose matter it is.

A rule returns a factor for each status; the classifier's probabilities are multiplied by it. Order of the numbers:
present, absent, better, worse, void (a plan, a question, advice, somebody else).
"""

from __future__ import annotations

import re
from dataclasses import dataclass

STATUSES = ("present", "absent", "better", "worse", "void")
Factors = tuple[float, float, float, float, float]


@dataclass(frozen=True, slots=True)
class StatusRule:
    """A pattern of words and what it says about the status."""

    name: str
    pattern: re.Pattern[str]
    factors: Factors


def _rule(name: str, pattern: str, *factors: float) -> StatusRule:
    present, absent, better, worse, void = factors
    return StatusRule(name, re.compile(pattern, re.IGNORECASE), (present, absent, better, worse, void))


RULES = (
    _rule(
        "plan",
        r"\b(?:will|i'll|ill|gonna|going to|want to|wanna|plan(?:ning)? to|aim(?:ing)? to|hope to|hoping to|next time|next week|tomorrow|from now on|try(?:ing)? to|must|need to|needs to|have to work|ought to|let's|to do|homework|to work on|work(?:ing)? on)\b",
        0.35,
        0.5,
        0.6,
        0.6,
        4,
    ),
    _rule(
        "advice",
        r"\b(?:should i|do i|does (?:he|she|it|anyone|anybody)|is it|are you|can you|could you|how (?:do|can|should|long|far|many|much)|what (?:is|should|do)|which|would it)\b.*\?",
        0.3,
        0.4,
        0.4,
        0.4,
        4,
    ),
    _rule(
        "told",
        r"\b(?:told me (?:not )?to|tells me (?:not )?to|said (?:not )?to|says (?:not )?to|says don'?t|said don'?t|says never|remind(?:ed|s)? me (?:not )?to|advice|advised|tip (?:was|from)|the book|video says|recommends?|warn(?:ed|s|ing))\b",
        0.4,
        0.6,
        0.7,
        0.7,
        3.5,
    ),
    _rule(
        "denied",
        r"\b(?:didn'?t|did not|didnt|don'?t|wasn'?t|wasnt|weren'?t|haven'?t|hasn'?t|hadn'?t|not once|never once|no sign of|without (?:a|any|one|moving|lifting)|zero|free of|not a single|nothing like|no more|no longer|not any ?more|any ?more|neither|nor)\b",
        0.7,
        2.0,
        1.0,
        0.7,
        1.0,
    ),
    _rule(
        "cured",
        r"\b(?:gone (?:away|now)|has gone|cured|sorted|fixed|solved|in the past|a thing of the past|used to|over and done|for once|behaved|behaving|no trouble|no problems?|no issues?|no bother|spot on|was fine|were fine|is fine|all fine|steady|solid)\b",
        0.6,
        2.5,
        1.2,
        0.6,
        0.8,
    ),
    _rule(
        "better",
        r"\b(?:better|improv\w*|less|fewer|reduced|down from|calmer|coming along|progress|not as (?:bad|often|much)|cleaner|tidier|straighter|smoother|milder|softer)\b",
        0.6,
        0.9,
        2.5,
        0.5,
        0.9,
    ),
    _rule(
        "worse",
        r"\b(?:worse|worsen\w*|more (?:often|than)|getting bad|deteriorat\w*|backwards|creeping back|crept back|increasing\w*|up from|dafter|than ever)\b",
        0.8,
        0.5,
        0.8,
        2.5,
        0.9,
    ),
    _rule(
        "fine",
        r"(?<!no )(?<!not )(?<!any )(?<!too )\b(?:good|fine|great|lovely|exact|perfect\w*|spot on|brilliant|nicely|properly|behaved|went in|flew in|fell in|dropped|calm|wasn'?t nervous|trouble[- ]free|clean(?:ly)?|every (?:snooker|one) (?:went|he|she|out)|(?:six|seven|eight|nine|ten) (?:of|out of|from) ten|five out of five)\b",
        0.7,
        1.8,
        1.1,
        0.7,
        1.0,
    ),
    _rule(
        "went badly",
        r"\b(?:every single|every one of|shame|nowhere|awful|dreadful|terrible|shocking|poor(?:ly)?|rubbish|bad(?:ly)?|useless|never (?:settles?|settled|go|goes|went)|stuck|only \w+ (?:of|out of|from)|each time|hurried|fat)\b",
        1.7,
        0.6,
        0.7,
        1.2,
        1.0,
    ),
    _rule(
        "used to",
        r"\b(?:used to|before it|weren'?t in|was .{0,30} in (?:spring|autumn|summer|winter|january|march|september)|any ?more|at christmas|where it used|these days|is now|works now|now it'?s)\b",
        0.5,
        1.1,
        2.2,
        0.9,
        0.9,
    ),
    _rule(
        "gone down",
        r"\b(?:gone to the dogs|gone backwards|uglier|less good|dafter|slipping|got(?:ten)? bad)\b",
        0.8,
        0.4,
        0.4,
        4.0,
        0.9,
    ),
    _rule(
        "keeps doing",
        r"\b(?:kept|keeps?|keep) (?:on )?(?!feeling|my|his|her|it|still|steady|down|straight|everything)\w+ing?\b",
        4,
        0.25,
        0.5,
        1.0,
        0.8,
    ),
    _rule(
        "straight",
        r"\b(?:dead|nice and|perfectly|lovely and|bolt|so) (?:straight|still|steady|quiet|level)\b",
        0.4,
        3,
        1.2,
        0.4,
        1.0,
    ),
    _rule(
        "still",
        r"\b(?:still|again|keeps?|kept|always|every time|as usual|as ever|constantly|back again)\b",
        1.6,
        0.7,
        0.8,
        1.0,
        0.8,
    ),
)

OTHER = re.compile(
    r"\b(?:(?:my|his|her|the|our|an?|their|me|this|some|one|another) (?:[\w-]+ ){0,2}?(?:opponent|opp|mate|pal|buddy|friend|team ?mates?|partner|captain|skipper|brother|sister|uncle|cousin|"
    r"neighbou?r|colleague|boss|barman|landlord|dad|father|mum|mother|wife|husband|girlfriend|boyfriend|grandad|grandfather|lad|bloke|guy|fella|chap|kid|boy|girl|man|woman|lady|gent|player|youngster|"
    r"champion|pro)s?(?: (?:on|at|from|next|i played|we played|opposite|across|in|who|with)\b)?|opponent|the other (?:lad|bloke|guy|fella|chap|player|side|team|one|kid|girl|man|woman)|"
    r"(?:on|at) (?:the )?next table|everybody else|everyone else|the pros?|on (?:the )?(?:telly|tv|a video|a clip)|somebody|someone(?: else)?|their (?:number|captain|best|man|lad))\b",
    re.IGNORECASE,
)
OPENER = re.compile(
    r"\b(?:read(?:ing)? (?:a|the|about|that|in)|chapter|book (?:says|warns)|article|video (?:on|about|says)|it warns|explained|demonstrated|demonstrating|"
    r"theme (?:was|is)|topic (?:was|is)|we(?:'ll| will| shall)? (?:look|work|talk|discuss)\w*|talked (?:about|through|us)|went (?:round|through|over)|common faults|taught|teach(?:es|ing)?|"
    r"i(?:'m| am|'ve been| was| have been)? (?:told|asked|advised|reminded|supposed|meant|trying)|(?:told|asked|reminds?|reminded|shouted at|nags?|nagged|warns?|warned) me|"
    r"coach (?:says|said|wants|wanted|told|asked)|captain (?:says|said|wants)|says? (?:to|never|always|keep|don'?t|not)|said (?:to|never|always|keep|don'?t|not)|"
    r"(?:plan|plans|homework|goal|goals|aim|list|resolution|to-?do|next (?:time|week|session|month)|for (?:next|the) (?:time|week|session))\s*(?::|is|are|was|will)|"
    r"remember(?:ing)? to|must remember|note to self|when i was a (?:kid|boy|girl|lad|child|teenager)|years ago|back in|last (?:year|season|winter|summer)'?s?)\b",
    re.IGNORECASE,
)
"""Words that open advice, a lesson, a plan or an old story: what follows in the sentence is no sighting."""
HYPOTHETICAL = re.compile(
    r"^\W*(?:and |but |so )?(?:if|suppose|imagine|whether|unless|had i|were i|can|could|may|must|shall|should|is it|are you|do you|does it|what if)\b",
    re.IGNORECASE,
)
WHY = re.compile(
    r"\b(?:why|how come|what (?:am i|is happening|is going|'s going|causes|makes)|what's (?:wrong|going|happening|causing))\b",
    re.IGNORECASE,
)
FIRST = re.compile(r"\b(?:i|i'm|im|i've|ive|i'd|id|me|my|mine|myself|we|our)\b", re.IGNORECASE)
THIRD = re.compile(r"\b(?:he|she|his|her|him|he's|she's|hes|shes|they|their)\b", re.IGNORECASE)
PUPIL = re.compile(
    r"\b(?:pupil|student|my (?:son|daughter|lad|lass|boy|girl|nephew|niece|grandson|granddaughter|junior|learner|youngest|eldest)|our (?:\w+ )?(?:junior|lad|lass)|p\d{1,3}|lesson with|session with|coaching|coached)\b",
    re.IGNORECASE,
)
SEEN_BY_OTHER = re.compile(
    r"\b(?:says|said|reckons|noticed|told me|tells me|pointed out|spotted|caught|saw|spots|filmed|showed me|counted)\b[^.]{0,40}\b(?:i|i'm|im|my|me|you|you're|youre|your)\b",
    re.IGNORECASE,
)
HEDGE = re.compile(
    r"\b(?:might|maybe|perhaps|possibly|i think|not sure|could be|seems?|a bit|bit|slightly|probably|i guess|suspect|feels? like|sort of|kind of|kinda)\b",
    re.IGNORECASE,
)


def factors_for(words: str) -> Factors:
    """The product of every rule that fits the words."""
    product = [1.0] * len(STATUSES)
    for rule in RULES:
        if rule.pattern.search(words):
            product = [a * b for a, b in zip(product, rule.factors, strict=True)]
    return (product[0], product[1], product[2], product[3], product[4])


class Voided:
    """Follows through a note whether the words are a question, advice, a lesson or a plan."""

    def __init__(self, text: str) -> None:
        self._text = text
        self._sentence = -1
        self._open = False

    def is_void(self, words: str, sentence: int, sentence_text: str) -> bool:
        """Whether this clause is no report; call in the text's order. sentence_text: the clause's whole sentence."""
        if sentence != self._sentence:
            self._sentence, self._open = sentence, False
        if (
            sentence_text.rstrip().endswith("?")
            and not WHY.search(sentence_text)
            and len(sentence_text.split()) > 3
        ):
            return True
        if HYPOTHETICAL.search(words):
            self._open = True
            return True
        if SEEN_BY_OTHER.search(words) and not re.search(
            r"\b(?:to|don'?t|not to|never|should|must)\b", words
        ):
            self._open = False
            return False
        if OPENER.search(words):
            self._open = True
        elif re.match(
            r"\W*(?:but|so|then|today|tonight|still|yet|instead)\b", words, re.IGNORECASE
        ) and FIRST.search(words):
            self._open = False
        return self._open


class Whose:
    """Follows through a note whose play is told: the writer's (or pupil's), or somebody else's."""

    def __init__(self, text: str) -> None:
        first, third = len(FIRST.findall(text)), len(THIRD.findall(text))
        self.of_pupil = bool(PUPIL.search(text[:400])) or (third > 2 and third > 2 * first)
        self._other = False

    def is_other(self, words: str) -> bool:
        """Whether this clause tells of somebody whose faults are not kept; call in the text's order."""
        if SEEN_BY_OTHER.search(words):
            self._other = False
            return False
        other = OTHER.search(words)
        mine = FIRST.search(words)
        if other and not (self.of_pupil and PUPIL.search(words)):
            before = FIRST.search(words[: other.start()])
            own_subject = before and not re.match(r"my|our|me", before[0], re.IGNORECASE)
            self._other = not own_subject
        elif mine and not re.match(r"\s*(?:against|beat|beating)\b", words, re.IGNORECASE):
            self._other = False
        elif not THIRD.search(words) and not self.of_pupil:
            # a clause with no person in it goes on about the writer
            self._other = self._other and len(words.split()) < 4
        return self._other
