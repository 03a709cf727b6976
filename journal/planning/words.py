"""The pieces of a sentence about free time: days, clock times, lengths, dates and the small words between
them.
"""

from __future__ import annotations

import re
from collections.abc import Iterator
from dataclasses import dataclass
from datetime import date, timedelta

from knowledge.reading.numbers import WORD_NUMBER, value_of

WEEKDAYS = ("MO", "TU", "WE", "TH", "FR", "SA", "SU")
COUNTS = {"a": 1, "an": 1, "once": 1, "twice": 2, "thrice": 3}
"""Words that count without being numbers: "an hour", "twice a week"."""
MONTHS = ("jan", "feb", "mar", "apr", "may", "jun", "jul", "aug", "sep", "oct", "nov", "dec")
PARTS = {
    "morning": 540,
    "lunchtime": 750,
    "lunch": 750,
    "noon": 720,
    "midday": 720,
    "afternoon": 900,
    "evening": 1140,
    "night": 1200,
    "midnight": 0,
}

_DAY = (
    r"(mon(?:day)?|tue(?:s(?:day)?)?|wed(?:nesday)?|thu(?:r(?:s(?:day)?)?)?|fri(?:day)?|sat(?:urday)?"
    r"|sun(?:day)?)s?"
)
_MONTH = (
    r"(jan(?:uary)?|feb(?:ruary)?|mar(?:ch)?|apr(?:il)?|may|june?|july?|aug(?:ust)?|sept?(?:ember)?"
    r"|oct(?:ober)?|nov(?:ember)?|dec(?:ember)?)"
)
_NTH = r"\d{1,2}(?:st|nd|rd|th)?"
_FILLER = (
    r"about|am|and|are|around|at|can|could|each|every|for|free|from|got|have|i'm|i|im|in|is|it|like|me|my|next|of"
    r"|on|only|or|play|please|practice|practise|session|sessions|some|the|there|time|to|train|usually|want|we|week"
    r"|with|would|an|a"
)
_NUMBER = rf"(\d+(?:[.,]\d+)?|{WORD_NUMBER}|{'|'.join(sorted(COUNTS, key=len, reverse=True))})"
_CLOCK = r"(\d{1,2})(?:[:.](\d{2}))?\s*(am|pm|a\.m\.|p\.m\.|o'clock)?"
_PART = r"(mornings?|lunchtimes?|lunch|noon|midday|afternoons?|evenings?|nights?|midnight)"

_RULES: tuple[tuple[str, str], ...] = (
    ("dates_of", rf"(?:the\s+)?({_NTH}(?:\s*(?:,|and)\s*(?:the\s+)?{_NTH})+)\s+(?:of\s+)?{_MONTH}"),
    ("range", rf"(?:from\s+)?{_CLOCK}\s*(?:-|–|to|until|till)\s*{_CLOCK}(?=\W|$)(?!\s+{_MONTH})"),
    ("range", rf"between\s+{_CLOCK}\s*and\s*{_CLOCK}(?=\W|$)"),
    ("date", r"(\d{4})-(\d{2})-(\d{2})"),
    ("date_dm", rf"(?:the\s+)?(\d{{1,2}})(?:st|nd|rd|th)?\s+(?:of\s+)?{_MONTH}(?:\s+(\d{{4}}))?"),
    ("date_md", rf"{_MONTH}\s+(?:the\s+)?(\d{{1,2}})(?:st|nd|rd|th)?(?:,?\s+(\d{{4}}))?"),
    ("day_of_month", r"(?:the\s+)?(\d{1,2})(?:st|nd|rd|th)"),
    (
        "minutes",
        r"(?:for\s+)?(three quarters of an hour|quarter of an hour|half an hour|half hour|an hour and a half"
        r"|an hour and a quarter)",
    ),
    ("hours_half", rf"(?:for\s+)?{_NUMBER}\s+and a half hours?"),
    ("hour_minute", r"(?:for\s+)?(\d+)\s*h\s*(\d{2})"),
    ("length", rf"(?:for\s+)?{_NUMBER}[\s-]*(minutes?|mins?|min|hours?|hrs?|h)"),
    (
        "times",
        rf"{_NUMBER}\s+(?:times\s+|(days|evenings|mornings|afternoons|nights|lunchtimes|sessions)\s+)?"
        r"(?:a|per|each|every)\s+week",
    ),
    ("weeks", rf"(?:for\s+)(?:the next\s+)?{_NUMBER}\s+weeks?"),
    ("span", rf"{_DAY}\s*(?:-|–|to|through)\s*{_DAY}"),
    ("every_other", rf"(?:every|each)\s+(?:other|second|2nd)\s+{_DAY}"),
    ("next_day", rf"(?:next|this|coming)\s+{_DAY}"),
    ("every_day", r"every\s*day|daily|each day|all week|any day"),
    ("weekdays", r"weekdays?|working days?|workdays?"),
    ("weekend", r"weekends?"),
    ("part_day", rf"(?:every|each)\s+{_PART}"),
    ("day", rf"(?:every\s+|each\s+)?{_DAY}(?:\s+{_PART})?"),
    ("today", r"today|tonight|tomorrow"),
    ("half_past", rf"(half|quarter) (past|to) {_NUMBER}(?:\s*(am|pm))?"),
    ("clock", r"(?:at\s+|from\s+)?(\d{1,2})[:.](\d{2})\s*(am|pm|a\.m\.|p\.m\.)?"),
    ("clock_ap", r"(?:at\s+|from\s+)?(\d{1,2})()\s*(am|pm|a\.m\.|p\.m\.|o'clock)"),
    ("clock_at", rf"(?:at|from)\s+{_NUMBER}()()"),
    ("part", rf"(?:in the\s+|at\s+)?{_PART}"),
    (
        "not",
        r"but not|not on|not|except(?: on| for)?|apart from|without the"
        r"|no(?=\s+(?:mon|tue|wed|thu|fri|sat|sun))|never",
    ),
    ("until", r"until|till|up to"),
    ("starting", r"starting|beginning|as of"),
    (
        "match",
        r"(important |big |friendly |small )?(?:league |cup |club )?"
        r"(?:match|matches|tournament|competition|league night|final|friendly)",
    ),
    ("no_table", r"without (?:a )?table|no table|at home|off the table|away from the table"),
    ("partner", r"with (?:a|my) (?:partner|friend|coach|mate)|with somebody|partner(?: there| present)?"),
    ("stop", r"[;\n]|\.(?=\s|$)|\b(?:also|plus|then)\b"),
    ("comma", r","),
    ("filler", rf"\b(?:{_FILLER})\b|[-–&]"),
)


def _as_words(name: str, rule: str) -> str:
    """The rule held to whole words, where it stands for words."""
    return rule if name in ("stop", "comma", "filler") else rf"(?<![a-z0-9])(?:{rule})(?![a-z0-9])"


_SCAN = re.compile(
    "|".join(f"(?P<k{n}>{_as_words(name, rule)})" for n, (name, rule) in enumerate(_RULES)), re.IGNORECASE
)
_EACH = tuple(re.compile(rule, re.IGNORECASE) for _, rule in _RULES)


@dataclass(frozen=True, slots=True)
class Token:
    """One piece: its kind, the groups of its rule, and its words."""

    kind: str
    parts: tuple[str | None, ...]
    words: str


def tokens(text: str) -> Iterator[Token]:
    """The pieces in order; what no rule knows comes as kind "?"."""
    at = 0
    for found in _SCAN.finditer(text):
        if text[at : found.start()].strip():
            yield Token("?", (), text[at : found.start()].strip())
        rule = next(int(key[1:]) for key, value in found.groupdict().items() if value is not None)
        again = _EACH[rule].match(found.group())
        yield Token(_RULES[rule][0], again.groups() if again else (), found.group())
        at = found.end()
    if text[at:].strip():
        yield Token("?", (), text[at:].strip())


def number(word: str) -> float:
    """A figure, a number word, or a word that counts. Raises: ValueError for anything else."""
    known = COUNTS.get(word.casefold())
    value = float(known) if known is not None else value_of(word)
    if value is None:
        raise ValueError(word)
    return value


def weekday(word: str) -> int:
    """0 for Monday."""
    return ("mon", "tue", "wed", "thu", "fri", "sat", "sun").index(word.casefold()[:3])


def month(word: str) -> int:
    """1 for January."""
    return MONTHS.index(word.casefold()[:3]) + 1


def clock_minute(hour: str, minute: str | None, half: str | None, *, evening: bool = True) -> int | None:
    """A clock time in minutes; a bare 1 to 11 without minutes or am is taken as after noon when
    ``evening``.
    """
    h, m = int(number(hour)), int(minute or 0)
    mark = (half or "").replace(".", "").casefold()
    if h > 24 or m > 59 or (h == 24 and m) or (mark in ("am", "pm") and not 1 <= h <= 12):
        return None
    if mark == "pm":
        h = h % 12 + 12
    elif mark == "am":
        h %= 12
    elif evening and not minute and 1 <= h <= 11:
        h += 12
    return h * 60 + m


def next_weekday(today: date, day: int, *, weeks: int = 0) -> date:
    """The first such weekday on or after today, or ``weeks`` calendar weeks later."""
    if weeks:
        monday = today - timedelta(days=today.weekday()) + timedelta(weeks=weeks)
        return monday + timedelta(days=day)
    return today + timedelta(days=(day - today.weekday()) % 7)


def next_date(today: date, day: int, in_month: int | None = None, year: int | None = None) -> date | None:
    """The first such date on or after today; None when there is none within eight years (31 June)."""
    if year is not None and in_month is not None:
        try:
            return date(year, in_month, day)
        except ValueError:
            return None
    for ahead in range(8 * 12 + 1):
        years, month0 = divmod(today.month - 1 + ahead, 12)
        if in_month is not None and month0 + 1 != in_month:
            continue
        try:
            found = date(today.year + years, month0 + 1, day)
        except ValueError:
            continue
        if found >= today:
            return found
    return None
