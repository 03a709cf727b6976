"""From faults to drills and checkpoints for one player: sized to the level, with the player's own numbers.

Pain is the exception: it gets the caution to stop and see somebody, and no drill.
"""

from __future__ import annotations

import math
from collections import defaultdict
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from datetime import date

from journal.errors import UnknownEntry
from journal.records import Player, Polarity, SeenBy, Sighting, SightingStatus
from knowledge.entries import Checkpoint, Drill, Fault
from knowledge.rulebase import RuleBase

PAIN_FAULTS = frozenset({"stance.strain"})
"""Faults that are pain or strain: a stop and a referral, never a drill."""
PAIN_CAUTION = (
    "Pain or strain was noted. Stop when something hurts and see a physician or physiotherapist; "
    "no drill is given for pain."
)
HALF_LIFE = 21.0
"""Days after which a sighting counts half. Common practice, no source."""
_SEEN = {SeenBy.PLAYER: 1.0, SeenBy.COACH: 1.5, SeenBy.FILM: 2.0}
_SAID = {Polarity.PRESENT: 1.0, Polarity.WORSE: 1.5, Polarity.BETTER: 0.5, Polarity.ABSENT: -0.5}


@dataclass(frozen=True, slots=True)
class Dose:
    """One drill for this player. minutes: of one time. target: in words, for the player's level."""

    drill: str
    name: str
    why: str
    minutes: float
    target: str
    hits: int | None
    of: int | None


@dataclass(frozen=True, slots=True)
class OwnCheckpoint:
    """A quantity to hold. value: with the player's own number where a measure is known."""

    id: str
    quantity: str
    value: str
    measure: str
    source: str


@dataclass(frozen=True, slots=True)
class Prescription:
    """What helps against one fault. caution: to be shown with it; ``drills`` is empty for pain."""

    fault: str
    name: str
    goal: str | None
    drills: tuple[Dose, ...]
    checkpoints: tuple[OwnCheckpoint, ...]
    caution: str | None


def prescribe(
    fault_id: str, rules: RuleBase, player: Player, drills: Iterable[str] | None = None
) -> Prescription:
    """Drills and checkpoints for a fault. ``drills`` chooses among the fault's drills.

    Raises: UnknownEntry.
    """
    fault = rules.faults.get(fault_id)
    if fault is None:
        raise UnknownEntry(f"there is no fault {fault_id!r}", "Find its id with: plainball lookup WORDS")
    chosen = list(fault.drills if drills is None else drills)
    if fault_id in PAIN_FAULTS:
        chosen = []
    doses = tuple(dose(rules.drills[each], player, fault) for each in chosen if each in rules.drills)
    points = tuple(
        own_checkpoint(rules.checkpoints[each], player)
        for each in fault.checkpoints
        if each in rules.checkpoints
    )
    caution = (
        fault.caution if fault_id not in PAIN_FAULTS else f"{PAIN_CAUTION} {fault.caution or ''}".strip()
    )
    return Prescription(fault_id, fault.name, fault.goal, doses, points, caution)


def dose(drill: Drill, player: Player, fault: Fault | None = None) -> Dose:
    """One drill at the player's level."""
    target = getattr(drill.target, player.level, drill.target.club)
    why = (fault.drills.get(drill.id) if fault else None) or drill.purpose
    return Dose(drill.id, drill.name, why, drill.minutes, target.text, target.hits, target.of)


def own_checkpoint(point: Checkpoint, player: Player) -> OwnCheckpoint:
    """A checkpoint with the player's own number: measured, else estimated from height, else as a ratio in
    words.
    """
    source = "; ".join(point.source) or "common practice, no source"
    return OwnCheckpoint(point.id, point.quantity, _value(point, player), point.measure, source)


def _value(point: Checkpoint, player: Player) -> str:
    value = point.value
    if value.ratio is not None and value.of is not None:
        measure, basis = own_measure(player, value.of)
        if measure is None:
            words = f"about {value.ratio:g} × your {value.of}: measure that once"
        else:
            own = round(value.ratio * measure / 5) * 5
            words = f"about {own:.0f} mm ({value.ratio:g} × your {value.of}, {basis})"
        return f"{words}; {value.text}" if value.text else words
    if value.low is not None or value.high is not None:
        unit = {"percent": "%", "deg": "°", "count": ""}.get(value.unit or "", value.unit or "")
        if value.low is not None and value.high is not None and value.low != value.high:
            words = f"{value.low:g} to {value.high:g} {unit}".strip()
        elif value.low is not None and value.high is not None:
            words = f"{value.low:g} {unit}".strip()
        else:
            edge = "at most" if value.low is None else "at least"
            words = f"{edge} {value.high if value.low is None else value.low:g} {unit}".strip()
        return f"{words}; {value.text}" if value.text else words
    return value.text or "as steady as you can"


def own_measure(player: Player, part: str) -> tuple[float | None, str]:
    """A body measure in mm, measured or else estimated from height, and which; None when neither is known."""
    own = {
        "hand length": player.hand_mm,
        "shoulder breadth": player.shoulder_mm,
        "height": player.height_mm,
        "forearm length": player.forearm_mm,
    }.get(part)
    if own is not None:
        return own, "measured"
    if player.height_mm is not None and part in ("hand length", "shoulder breadth"):
        from knowledge.body import Body, part_of

        found = part_of(Body(height=player.height_mm), part)  # type: ignore[arg-type]  # both are parts there
        if found is not None:
            return found.value, "estimated from your height"
    return None, ""


def fault_weights(sightings: Iterable[Sighting], today: date) -> dict[str, float]:
    """How much each fault matters now, strongest first, from confirmed sightings only.

    A sighting counts one, with more for larger counts (one more for each doubling), a coach's or a film's
    view, and "worse"; "better" counts half and "absent" takes half away. Everything fades with a half-life of
    three weeks.
    """
    weights: defaultdict[str, float] = defaultdict(float)
    for each in sightings:
        if each.status is not SightingStatus.CONFIRMED or each.day > today:
            continue
        amount = 1.0 + math.log2(each.count) if each.count and each.count > 1 else 1.0
        fade = 0.5 ** ((today - each.day).days / HALF_LIFE)
        weights[each.fault] += _SAID[each.polarity] * _SEEN[each.seen_by] * amount * fade
    return dict(sorted(((f, w) for f, w in weights.items() if w > 0), key=lambda item: (-item[1], item[0])))


def strongest_fault(sightings: Iterable[Sighting], today: date) -> str | None:
    """The confirmed fault to work on first; never pain."""
    return next((fault for fault in fault_weights(sightings, today) if fault not in PAIN_FAULTS), None)


def pain_since(sightings: Sequence[Sighting], hurt: Iterable[date] = ()) -> date | None:
    """The last day on which pain was noted and not said to be gone since; a suggestion counts too, to be
    careful.

    hurt: days on which a check was answered with "it hurts"; words of the same day do not undo that.
    """
    told = [
        (s.day, s.polarity is not Polarity.ABSENT)
        for s in sightings
        if s.fault in PAIN_FAULTS and s.status is not SightingStatus.DROPPED
    ]
    last: date | None = None
    for day, there in sorted((*told, *((day, True) for day in hurt)), key=lambda one: one[0]):
        last = day if there else None
    return last
