"""What a figure speaks of: the drill of a score, the checkpoint of a measure, when the words nearby say so."""

from __future__ import annotations

import re
from dataclasses import replace

from knowledge.reading.types import Measure, Score
from knowledge.rulebase import RuleBase

REACH = 40
"""Letters before and after a figure that are looked at."""

_DRILL_WORDS = (
    (r"line[\s-]?up", "drill.line_up"),
    (r"long pots? ladder|long[- ]pot", "drill.long_pot_ladder"),
    (r"bottle", "drill.bottle_neck"),
    (r"up and down (?:over )?the spots|over the spots|spots up", "drill.spots_up_down"),
    (r"black off (?:its|the) spot|blacks? off (?:its|the)? ?spot", "drill.black_off_spot"),
    (r"pace (?:steps|ladder)", "drill.pace_ladder"),
    (r"screw[^.]{0,12}ladder|stop[^.]{0,8}stun", "drill.stop_stun_screw_ladder"),
    (r"straight (?:ones|pots?)", "drill.straight_pot_ladder"),
    (r"rest pots?|with the rest", "drill.rest_pot_row"),
    (r"twenty sitters|sitters", "drill.easy_twenty"),
    (r"middle pockets?", "drill.middle_pocket_fan"),
    (r"break[- ]?offs?", "drill.break_off_target"),
)
_CHECKPOINT_WORDS = (
    (r"bridge", ("bridge_distance", "bridge_plain")),
    (r"backswing|draw ?back", ("cue_travel_back", "backswing_length", "cue_travel")),
    (r"\bbutt\b", ("butt_height",)),
    (r"\bfeet\b|\bfoot spacing\b|between (?:my |the )?feet|stance", ("foot_spacing",)),
    (r"\bchin\b", ("chin_gap",)),
    (r"follow[- ]through|through the ball", ("cue_travel_through", "follow_through")),
    (r"look(?:ed|ing)? (?:at|on)|\beyes?\b", ("eyes_rest", "last_look")),
)
_LENGTHS = ("mm", "cm", "m", "in", "ft", "hands")


def attach_scores(text: str, scores: list[Score], rules: RuleBase) -> tuple[Score, ...]:
    """The scores with the drill they speak of, where the words near them name one."""
    lower = text.lower()
    named = [(re.compile(pattern), drill) for pattern, drill in _DRILL_WORDS if drill in rules.drills]
    result = []
    for score in scores:
        near = _clause_round(lower, score.start, score.end)
        about = score.about or next((drill for pattern, drill in named if pattern.search(near)), None)
        result.append(replace(score, about=about if about in rules.drills else None))
    return tuple(result)


def attach_measures(text: str, measures: list[Measure], rules: RuleBase) -> tuple[Measure, ...]:
    """The measures with the checkpoint they speak of, where the words near them name one."""
    lower = text.lower()
    result = []
    for measure in measures:
        near = _clause_round(lower, measure.start, measure.end)
        result.append(replace(measure, about=_checkpoint(near, measure.unit, rules)))
    return tuple(result)


def _checkpoint(near: str, unit: str, rules: RuleBase) -> str | None:
    if unit not in (*_LENGTHS, "deg", "s"):
        return None
    for pattern, names in _CHECKPOINT_WORDS:
        if re.search(pattern, near):
            for name in names:
                fits = [id_ for id_ in rules.checkpoints if id_ == f"checkpoint.{name}"] or [
                    id_ for id_ in rules.checkpoints if name in id_
                ]
                if fits:
                    return fits[0]
    return None


def _clause_round(lower: str, start: int, end: int) -> str:
    left = max(lower.rfind(stop, max(0, start - REACH), start) for stop in (". ", "; ", "\n", ", "))
    left = max(left + 1, start - REACH, 0)
    ends = [at for stop in (". ", "; ", "\n", ", ") if (at := lower.find(stop, end, end + REACH)) >= 0]
    return lower[left : min(ends, default=min(len(lower), end + REACH))]
