"""Quantities with a unit in a text: "an hour and a half" 1.5 h, "about a foot" 1 ft, "5ft 10" 5.83 ft, "½ inch" 0.5 in.

Of a range the lower end counts, as it does for how often a fault came ("two to three inches": 2 in).
"""

from __future__ import annotations

import re

from knowledge.reading.numbers import NUMBER, lowered, value_of
from knowledge.reading.types import Measure

_SPANS = r"(?:lengths?|spans?|widths?|breadths?)"
_UNIT = {
    "mm": r"mm|mils?|millimet(?:re|er)s?",
    "cm": r"cms?|centimet(?:re|er)s?|centis?",
    "m": r"met(?:re|er)s?|(?<![a-z])m",
    "in": r"in|inch(?:es)?|\"|″|”",
    "ft": r"ft|foot(?:er)?|feet|'(?!\w)|′|’(?!\w)",
    "yd": r"yards?|yds?",
    "deg": r"deg(?:rees?|s)?|°",
    "min": r"mins?|minutes?|minits",
    "h": r"hrs?|hours?|(?<![a-z])h",
    "s": r"secs?|seconds?",
    "hands": rf"hand[- ]?{_SPANS}|hand['’]?s['’]?[- ]{_SPANS}|hands?",
}
_UNITS = "|".join(f"(?P<{name}>{pattern})" for name, pattern in _UNIT.items())
_FRACTIONS = {"½": 0.5, "¼": 0.25, "¾": 0.75, "1/2": 0.5, "1/4": 0.25, "3/4": 0.75, "1/3": 1 / 3, "⅓": 1 / 3}
_FRACTION = r"(?:[½¼¾⅓]|[13]/[234](?!\d))"
_SHARE = {
    "half": 0.5,
    "quarter": 0.25,
    "three quarters": 0.75,
    "three quarter": 0.75,
    "third": 1 / 3,
    "two thirds": 2 / 3,
    "eighth": 0.125,
    "bit": 0.0,
}
_AND = r"(?:\s+and\s+(?:a\s+)?(?P<part>half|quarter|three quarters|third|bit))?"
_AFTER = _AND.replace("part", "after")
_ODD = r"(?:[\s-]odd)?[\s-]?"
_WHOLE = r"(?:good|full|clear|bare|whole|mere|solid|decent|proper|near)"
_HOURS = r"(?:h|hrs?|hours?)"
_FIVES = r"[1-5][05]|ten|fifteen|twenty|thirty|forty|fifty|(?:twenty|thirty|forty)[ -]five"
_THINGS = r"(?:of|out|from|times|balls?|reds?|blues?|blacks?|shots?|pots?|long)"
"""What follows a number of things, not of minutes."""
_BEFORE = r"(?<![\w/.:,£$€-])"
_RANGE = (
    rf"(?:(?:(?P<from>\d+)\s?[-–]\s?|(?:between\s(?P<least>{NUMBER})\sand|(?P<low>{NUMBER})\s(?:to|or))\s))?"
)
_PATTERNS = tuple(
    re.compile(pattern)
    for pattern in (
        # 5ft 10, five foot eight, 2 ft 6 in
        rf"{_BEFORE}(?P<feet>{NUMBER})[\s-]?(?:ft|foot|feet|'|’|′)[\s-]?(?P<inches>{NUMBER})(?:[\s-]?(?:in\b|inch(?:es)?|\"|″|”))?(?![\w/]|\s+(?:of|out|times|from))",
        # 1h30, 1 hr 20, an hour and twenty minutes, two hours fifteen
        rf"{_BEFORE}(?P<hours>an|{NUMBER})\s?{_HOURS}\s?(?:and\s)?(?P<minutes>{NUMBER})\s?(?:mins?|minutes?|m)(?!\w)",
        rf"{_BEFORE}(?P<hours>an|\d|one|two|three)\s?{_HOURS}\s?(?:and\s)?(?P<minutes>{_FIVES})(?![\w/]|\s+{_THINGS})",
        # 7½ inches, 1 1/2 hours, 3/4 inch
        rf"{_BEFORE}(?:(?P<number>\d+)\s?)?(?P<fraction>{_FRACTION})\s?-?(?:of an?\s)?(?:{_UNITS})(?!\w)",
        # 35 cm, nine and a half mil, two to three inches, twenty odd minutes
        rf"{_BEFORE}{_RANGE}(?P<number>{NUMBER}){_AND}{_ODD}(?:{_UNITS}){_AFTER}(?![\w°])",
        # half an hour, three quarters of an inch, a quarter inch, half-hour, an eighth of an inch
        rf"\b(?P<share>three[ -]quarters?|two[ -]thirds|half|(?:an? )?(?:quarter|third|eighth))"
        rf"(?:\s+of)?[\s-]+(?:an?\s+)?(?:{_UNITS})(?!\w)",
        # a foot and a half, an hour, a couple of inches, hour and a half
        rf"\b(?P<pair>(?:a\s)?(?:couple\sof|couple))\s(?:{_UNITS})(?!\w)",
        rf"\b(?P<article>an?)\s+(?:{_WHOLE}\s+)?(?:{_UNITS}){_AND}(?!\w)",
        rf"\b(?P<article>(?=foot|inch|hour|yard|met|hand))(?:{_UNITS})\s+and\s+a\s+(?P<part>half|quarter)\b",
    )
)
_ABOUT = re.compile(
    r"(?:about|around|roughly|maybe|nearly|almost|some|call it|say|approx\.?|approximately|circa)\s+$"
)
_NOT_A_LENGTH = re.compile(
    r"\s*(?:work|wrong|(?:off|on) the (?:floor|ground)|off the table|down|forward|placement|position"
    r"|of the (?:table|bed))"
)
_NOT_A_HAND = re.compile(
    r"\s+(?:on|in(?! front)|of|over|up|down|to|at|gripp|feel|felt|free|for|was|were|is|are)"
)
_HAND_MEASURE = re.compile(
    r"bridge|white|cue ball|behind|from|away|apart|gap|between|off|front|further|nearer|closer|back|about|long|short"
    r"|length|width|span|breadth|and a half"
)
_QUOTED = re.compile(r"[\"'’”′″]$")


def measures_in(text: str, taken: list[tuple[int, int]]) -> list[Measure]:
    """Every measure in order; its span is added to ``taken``. Yards come as feet."""
    lower = lowered(text)
    found = list[Measure]()
    for pattern in _PATTERNS:
        for match in pattern.finditer(lower):
            start, end = match.span()
            read = None if any(start < e and s < end for s, e in taken) else _read(match, lower)
            if read is None:
                continue
            if about := _ABOUT.search(lower, 0, start):
                start = about.start()
            taken.append((start, end))
            found.append(Measure(round(read[0], 4), read[1], text[start:end], start, end))
    return sorted(found, key=lambda measure: measure.start)


def _read(match: re.Match[str], lower: str) -> tuple[float, str] | None:
    """Value and unit of a match, or None where the words are no measure."""
    named = {name: said for name, said in match.groupdict().items() if said is not None}
    if "feet" in named:
        feet, inches = value_of(named["feet"]), value_of(named["inches"])
        whole = feet is not None and inches is not None and feet < 13 and inches < 12 and inches % 1 == 0
        return (round(feet + inches / 12, 2), "ft") if whole and feet and inches else None
    if "hours" in named:
        hours = 1.0 if named["hours"] == "an" else value_of(named["hours"])
        minutes = value_of(named["minutes"])
        return None if hours is None or minutes is None else (60 * hours + minutes, "min")
    unit = next(name for name in _UNIT if name in named)
    value = _value(named)
    if value is None or not _fits(match, lower, unit, "article" in named):
        return None
    return (3 * value, "ft") if unit == "yd" else (value, unit)


def _value(named: dict[str, str]) -> float | None:
    if "share" in named:
        return _SHARE[named["share"].removeprefix("a ").removeprefix("an ").replace("-", " ")]
    if "fraction" in named:
        return float(named.get("number", 0)) + _FRACTIONS[named["fraction"]]
    part = _SHARE.get(named.get("part") or named.get("after") or "", 0.0)
    if "pair" in named:
        return 2.0
    if "article" in named:
        return 1.0 + part
    value = value_of(next(named[name] for name in ("from", "least", "low", "number") if name in named))
    return None if value is None else value + part


def _fits(match: re.Match[str], lower: str, unit: str, article: bool) -> bool:
    """Whether the words round a unit make it a measure ("foot work", "both hands" and "a second" are none)."""
    after = lower[match.end() : match.end() + 24]
    if unit in ("ft", "in") and _NOT_A_LENGTH.match(after):
        return False
    if unit == "in" and re.search(r"\bin$", match[0]) and re.match(r"\s+\w", after):
        return match[0].endswith("-in") or bool(
            re.match(r"\s+(?:long|short|bridge|behind|away|apart)", after)
        )
    if unit in ("s", "min") and ((article and "and a" not in match[0]) or re.match(r"one\b", match[0])):
        return False
    if unit == "hands":
        around = lower[max(0, match.start() - 30) : match.end() + 30]
        return bool(_HAND_MEASURE.search(around)) and not _NOT_A_HAND.match(after)
    if _QUOTED.search(match[0]):
        return match[0][0].isdigit() or match[0][0] in "½¼¾"
    return not (unit in ("h", "m") and article and len(match[0].split()[-1]) == 1)
