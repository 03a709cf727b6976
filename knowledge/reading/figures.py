"""Scores and measures told in a text: "7 out of 10", "line-up 34", "a break of thirty one", "bridge about 35 cm"."""

from __future__ import annotations

import re
from collections.abc import Iterator

from knowledge.reading.numbers import NUMBER, value_of
from knowledge.reading.types import Measure, Score

_ABOUT = (
    r"(?:(?:about|around|roughly|maybe|nearly|almost|some|call it|say|approx\.?|approximately|circa)\s+)?"
)
_UNIT = {
    "mm": r"mm|mil|mils|millimet(?:re|er)s?",
    "cm": r"cms?|centimet(?:re|er)s?|centis?",
    "m": r"met(?:re|er)s?",
    "in": r"in(?:ch(?:es)?)|inch(?:es)?|\"|″",
    "ft": r"ft|foot|feet|'(?!\w)|′",
    "deg": r"deg(?:rees?)?|°",
    "min": r"mins?|minutes?|minits",
    "h": r"hrs?|hours?|h",
    "s": r"secs?|seconds?",
    "hands": r"hands?(?: lengths?| spans?)?|hand-?(?:lengths?|spans?)",
}
_UNIT_WORD = "|".join(f"(?P<{name}>{pattern})" for name, pattern in _UNIT.items())
_HALF = r"(?:\s+and\s+a\s+(?P<part>half|quarter|bit))?"
_MEASURES = (
    re.compile(
        rf"\b{_ABOUT}(?P<ft5>\d)\s?(?:ft|foot|feet|')\s?(?P<in5>\d{{1,2}})(?:\s?(?:in(?:ch(?:es)?)?|\"))?\b"
    ),
    re.compile(
        rf"\b{_ABOUT}(?:(?P<three>three[ -]quarters)|(?P<half>half)|(?:a )?(?P<quarter>quarter))\s+(?:of\s+)?an?\s+(?:{_UNIT_WORD})\b"
    ),
    re.compile(rf"\b(?P<one>an?|one|1)\s+hour{_HALF}(?:\s+and\s+(?P<minutes>{NUMBER})\s+minutes?)?\b"),
    re.compile(rf"(?<![\w/.:-])(?P<number>{NUMBER}){_HALF}\s?-?(?:{_UNIT_WORD})(?![\w°])"),
    re.compile(rf"\b(?P<article>an?)\s+(?:{_UNIT_WORD}){_HALF}\b"),
    re.compile(
        r"\b(?P<article>(?=foot|inch))(?:(?P<ft>foot)|(?P<in>inch))\s+and\s+a\s+(?P<part>half|quarter)\b"
    ),
)
_CONTEXT_ONLY = ("hands", "s", "m", "h")
_PARTS = {"half": 0.5, "quarter": 0.25, "bit": 0.0, None: 0.0}
_NOT_A_LENGTH = re.compile(
    r"^\s*(?:work|wrong|off the (?:floor|ground|table)|down|on the (?:floor|ground)|forward|placement|position|of the (?:table|bed))"
)
_HAND_MEASURE = re.compile(
    r"(bridge|white|cue ball|behind|from|away|apart|gap|between|off|length|further|nearer|closer|back|about)"
)

_OF = r"(?:out\s+of(?:\s+the)?|outta|times\s+out\s+of|of\s+the|of|from|/|for|in|-|–|ouf of)"
_PAIR = re.compile(
    rf"(?<![\w/.,:-])(?:(?:made|got|potted|managed|hit|took|scored|only)\s+)?(?P<hits>{NUMBER})(?P<tight>\s*)(?P<of>{_OF})\s*(?P<total>{NUMBER})(?![\w/:]|[.,]\d|\s?%)"
)
_SINGLE = (
    (
        r"(?:high(?:est)?|best|top|biggest|good|nice|little|first|last|decent)?\s*(?:break|run|visit)s?\s+(?:of|was|is|were|with|:)\s*(?:an?\s+)?(?P<n>{N})",
        None,
    ),
    (
        r"(?:high|best|top)\s+(?:break|run)\s+(?:this season\s+|today\s+|tonight\s+)?(?:is\s+|was\s+|of\s+)?(?:an?\s+)?(?P<n>{N})",
        None,
    ),
    (
        r"(?:high(?:est)?|best|top|series|record)(?:\s+(?:break|run|visit|effort|series|score|of the (?:night|day|evening)|tonight|today|went|was|is|only|being|so far|came|to))*\s*(?:from|[:,-])?\s*(?:an?\s+)?(?P<n>{N})(?!\s*(?:out|of|from|/|ball|red|frame|min|hour|year|day|week))",
        None,
    ),
    (r"(?:high(?:est)?|best|top)\s+(?:\w+\s+){{0,2}}from\s+{N}\s+to\s+(?P<n>{N})", None),
    (r"(?P<n>{N})\s+(?:was|is)\s+(?:the|my)\s+(?:best|highest|top|high)", None),
    (
        r"(?:last|this|previous)\s+(?:week|season|month|year|time)\s*(?:it was|was|were|:)?\s*(?:an?\s+)?(?P<n>{N})(?!\s*(?:out|of|from|/|in\b|times?|min|hour|frame|inch|foot|cm|mm|ball|red|match|night)\w*)",
        None,
    ),
    (
        r"(?:had|made|got)[^.;,]{{0,20}}\band\s+a\s+(?P<n>{B})(?!\s*(?:out|of|from|/|times?|min|hour|frame|inch|foot|cm|mm)\w*)(?!\s+\w*(?:year|minute|ball))",
        None,
    ),
    (r"the break,\s*(?P<n>{N})", None),
    (
        r"\bi\s+(?:had|got|made)\s+(?P<n>{B})(?!\s*(?:out|of|from|/|in\b|for|balls?|reds?|pots?|shots?|times?|min|frames?|off|cm|mm|inch|foot|feet|hour|year|point|%)\w*)",
        None,
    ),
    (r"(?:got|made|potted|had|knocked in)\s+(?P<n>{N})\s+in\s+a\s+row", None),
    (r"(?P<n>{N})\s+on\s+(?:the|my)\s+(?:\w+\s+){{0,2}}ladder", None),
    (r"ladder\s*[:,-]\s*(?P<n>{N})", None),
    (r"up\s+from\s+(?P<n>{N})(?!\s*(?:out|of|/|min|cm|mm|inch|foot))", None),
    (
        r"line[\s-]?up[^.;]{{0,40}}?(?:best|got|was|made|reached|scored|:)\s+(?:of the (?:night|day) was\s+)?(?:an?\s+)?(?P<n>{N})(?!\s*(?:out|of|from|/))",
        "drill.line_up",
    ),
    (r"an?\s+(?P<n>{N})\s+(?:break|run|visit|clearance)\b", None),
    (r"(?P<n>{N})\s+break\b", None),
    (
        r"(?:made|knocked in|rattled in|ran|compiled|scored|had|got|hit|managed|with|stopped on|ended on|finished on)\s+(?:myself\s+)?an?\s+(?P<n>{B})(?!\s+(?:ball|red|of|out|from|per|min|inch|foot|hour|point|frame|times?|nil)|[-\w])",
        None,
    ),
    (
        r"(?:made|ran|compiled|scored|rolled in)\s+(?:a\s+)?(?P<n>{B})\b(?!\s*(?:out|of|from|/|in\b|for|balls?|reds?|pots?|shots?|times?|min|frames?|off|on|blacks?|blues?|pinks?|long|rest)\w*)",
        None,
    ),
    (
        r"line[\s-]?ups?\s+(?:of\s+|was\s+|score\s+|again[^,.]{{0,20}},?\s*|:\s*|-\s*|got\s+|made\s+|got to\s+)?(?:an?\s+|only\s+)?(?P<n>{N})",
        "drill.line_up",
    ),
    (r"(?P<n>{N})\s+(?:on|in|at|with)\s+(?:the\s+|my\s+)?line[\s-]?up", "drill.line_up"),
    (
        r"(?:t|drill|routine|exercise|spot shots?)\s+(?:drill|score|routine)\s*(?:was\s+|:\s*)?(?P<n>{N})",
        None,
    ),
    (
        r"(?:got|climbed|made it|reached|up|stuck)\s+(?:up\s+)?(?:to|at)?\s*(?:rung|level|step|stage|station)?\s*(?P<n>{N})\s+(?:on|of|in|up)\s+(?:the\s+|my\s+)?(?:\w+\s+){{0,2}}ladder",
        None,
    ),
    (r"(?:rung|level|stage|station)\s+(?P<n>{N})", None),
    (
        r"ladder[^.;]{{0,24}}?(?:got to|to|reached|rung|level|climbed to|stopped at|stuck (?:at|on))\s+(?:rung\s+|level\s+)?(?P<n>{N})",
        None,
    ),
    (r"(?:i\s+)?climbed\s+to\s+(?P<n>{N})", None),
)
_BIG = r"(?:\d{2,3}|(?:twenty|thirty|forty|fifty|sixty|seventy|eighty|ninety)(?:[ -](?:one|two|three|four|five|six|seven|eight|nine))?|ten|eleven|twelve|thirteen|fourteen|fifteen|sixteen|seventeen|eighteen|nineteen|(?:a|one)[ -]hundred)"
_SINGLES = tuple(
    (
        re.compile(
            r"\b" + p.replace("{N}", NUMBER).replace("{B}", _BIG).replace("{{", "{").replace("}}", "}")
        ),
        about,
    )
    for p, about in _SINGLE
)
_NEXT = re.compile(
    rf"(?:\s*,\s*(?:then\s+|and\s+)?|\s+then\s+|\s+and\s+)(?:an?\s+)?(?P<n>{_BIG})(?![\w%]|\s*(?:out|of|from|/|min|hour|inch|foot|cm|mm|frames?|times?|reds?|balls?))"
)


def scores_in(text: str, taken: list[tuple[int, int]]) -> list[Score]:
    """Every score; ``taken`` are spans that are measures already and is added to."""
    lower = text.lower()
    found = list(_pairs(text, lower, taken))
    for pattern, about in _SINGLES:
        for match in pattern.finditer(lower):
            start, end = match.span("n")
            value = value_of(match["n"])
            if value is None or value > 600 or _overlaps(start, end, taken):
                continue
            taken.append((start, end))
            found.append(Score(value, None, text[start:end], start, end, about))
            if after := _NEXT.match(lower, end):
                s, e = after.span("n")
                more = value_of(after["n"])
                if more is not None and not _overlaps(s, e, taken):
                    taken.append((s, e))
                    found.append(Score(more, None, text[s:e], s, e, about))
    return sorted(found, key=lambda score: score.start)


def _pairs(text: str, lower: str, taken: list[tuple[int, int]]) -> Iterator[Score]:
    for match in _PAIR.finditer(lower):
        hits, total = value_of(match["hits"]), value_of(match["total"])
        if hits is None or total is None or not 2 <= total <= 400 or hits > total or hits % 1 or total % 1:
            continue
        of = match["of"]
        if of in ("-", "–") and (total < 5 or not match["tight"]):
            continue
        if of in ("in", "for") and total < 5:
            continue
        if of == "from" and total < 3:
            continue
        if of == "of" and hits == 1 and total < 5 and not lower[match.start("hits")].isdigit():
            continue
        start, end = match.start("hits"), match.end("total")
        if _overlaps(start, end, taken):
            continue
        taken.append((start, end))
        yield Score(hits, total, text[start:end], start, end)


def measures_in(text: str, taken: list[tuple[int, int]]) -> list[Measure]:
    """Every measure; its span is added to ``taken``."""
    lower = text.lower()
    found = []
    for pattern in _MEASURES:
        for match in pattern.finditer(lower):
            start, end = match.span()
            if _overlaps(start, end, taken):
                continue
            read = _measure(match, lower)
            if read is None:
                continue
            taken.append((start, end))
            found.append(Measure(read[0], read[1], text[start:end], start, end))
    return sorted(found, key=lambda measure: measure.start)


def _measure(match: re.Match[str], lower: str) -> tuple[float, str] | None:
    named = match.groupdict()
    if named.get("ft5"):
        inches = float(named["in5"])
        return (round(float(named["ft5"]) + inches / 12, 2), "ft") if inches < 12 else None
    if named.get("one"):
        if named.get("minutes"):
            return 60 + (value_of(named["minutes"]) or 0), "min"
        return 1 + _PARTS[named.get("part")], "h"
    unit = next(name for name in _UNIT if named.get(name))
    if named.get("half") or named.get("quarter") or named.get("three"):
        value = 0.75 if named.get("three") else 0.5 if named.get("half") else 0.25
        return value, unit
    if named.get("article") is not None:
        value = 1.0
    else:
        read = value_of(named["number"])
        if read is None:
            return None
        value = read
    value += _PARTS[named.get("part")]
    return (value, unit) if _fits(match, lower, unit, bool(named.get("article"))) else None


def _fits(match: re.Match[str], lower: str, unit: str, article: bool) -> bool:
    """Whether the words round a unit make it a measure ("foot work", "both hands" and "a second" are none)."""
    after = lower[match.end() : match.end() + 24]
    if unit in ("ft", "in") and _NOT_A_LENGTH.match(after):
        return False
    if unit == "s" and (article or "one" in match[0]):
        return False
    if unit == "min" and article:
        return False
    if unit == "hands":
        around = lower[max(0, match.start() - 30) : match.end() + 30]
        return bool(_HAND_MEASURE.search(around)) and not re.match(
            r"\s+(?:on|in|of|over|up|down|to|at|gripp|feel|felt|free)", after
        )
    return not (unit == "h" and match[0].rstrip().endswith(" h") and article)


def _overlaps(start: int, end: int, taken: list[tuple[int, int]]) -> bool:
    return any(start < e and s < end for s, e in taken)
