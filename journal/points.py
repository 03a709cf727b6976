"""Drills whose target is in points: one key press for each point that could be won, so that hits and tries agree
with the target."""

from __future__ import annotations

import re

from knowledge.entries import Drill

_POINTS = re.compile(r"\bpoints?\b", re.IGNORECASE)
_OUT_OF = re.compile(r"points out of \d+", re.IGNORECASE)
_IN_SHOTS = re.compile(r"\b(\d+) points in (\d+) (?:shots|turns)\b", re.IGNORECASE)
_TAKEN_OFF = re.compile(r"\btake \d+ off\b", re.IGNORECASE)


def in_points(drill: Drill, level: str) -> bool:
    """Whether the drill's target at this level (beginner, club or strong) counts points rather than shots."""
    target = getattr(drill.target, level, drill.target.club)
    counted = target.of is not None and _POINTS.search(target.text)
    return bool(counted or _OUT_OF.match(drill.score))


def how_to_score(drill: Drill, level: str) -> str | None:
    """How the two keys score a drill in points; None for a drill of hits and misses."""
    if not in_points(drill, level):
        return None
    a_shot = ""
    found = _IN_SHOTS.search(drill.score)
    if found and int(found[1]) % int(found[2]) == 0:
        a_shot = f", {int(found[1]) // int(found[2])} a shot"
    return f"one key press for each point that could be won{a_shot}: h won, m not won"


def taken_off(drill: Drill) -> str | None:
    """How points that a drill takes off again are scored; None when it takes none off."""
    return "A point that is taken off is scored as not won." if _TAKEN_OFF.search(drill.score) else None


def for_two(drill: Drill) -> bool:
    """Whether two play the drill against each other for points; a partner who only watches or helps wins none."""
    return drill.people == "partner" and bool(_POINTS.search(drill.score))
