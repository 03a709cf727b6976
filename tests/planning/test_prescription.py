"""Drills and checkpoints for one player."""

from __future__ import annotations

from dataclasses import replace
from datetime import date, timedelta

import pytest

from journal.errors import UnknownEntry
from journal.prescription import fault_weights, pain_since, prescribe, strongest_fault
from journal.records import Player, Polarity, RecordId, SeenBy, Sighting, SightingStatus
from knowledge.rulebase import RuleBase

TODAY = date(2026, 5, 4)


def seen(fault: str, ago: int = 0, polarity: Polarity = Polarity.PRESENT, **more: object) -> Sighting:
    more = {"status": SightingStatus.CONFIRMED, **more}
    return Sighting(
        "p", RecordId(f"{fault}{ago}{polarity}"), None, TODAY - timedelta(days=ago), fault, polarity, **more
    )  # type: ignore[arg-type]


def test_every_fault_but_pain_gets_drills_at_the_players_level(rules: RuleBase, player: Player) -> None:
    for fault in rules.faults.values():
        got = prescribe(fault.id, rules, replace(player, level="beginner"))
        assert bool(got.drills) == bool(fault.drills)
        for dose in got.drills:
            assert dose.target == rules.drills[dose.drill].target.beginner.text


def test_pain_gets_a_referral_and_no_drill_even_when_asked(rules: RuleBase, player: Player) -> None:
    got = prescribe("stance.strain", rules, player, drills=["drill.easy_body_stance"])
    assert got.drills == ()
    assert got.caution is not None
    assert "physician or physiotherapist" in got.caution


def test_own_measures_beat_the_book(rules: RuleBase, player: Player) -> None:
    fault = next(
        f
        for f in rules.faults.values()
        for c in f.checkpoints
        if rules.checkpoints[c].value.of == "hand length"
    )
    ratio = next(
        rules.checkpoints[c].value.ratio
        for c in fault.checkpoints
        if rules.checkpoints[c].value.of == "hand length"
    )
    measured = prescribe(fault.id, rules, replace(player, hand_mm=200.0))
    assert ratio is not None
    assert any(
        f"about {200 * ratio:.0f} mm" in c.value and "measured" in c.value for c in measured.checkpoints
    )
    by_height = prescribe(fault.id, rules, replace(player, height_mm=1750.0))
    assert any("estimated from your height" in c.value for c in by_height.checkpoints)
    unknown = prescribe(fault.id, rules, player)
    assert any("measure that once" in c.value for c in unknown.checkpoints)


def test_an_unknown_fault_is_told(rules: RuleBase, player: Player) -> None:
    with pytest.raises(UnknownEntry):
        prescribe("head.missing", rules, player)


def test_only_confirmed_sightings_weigh() -> None:
    assert (
        fault_weights(
            [seen("a.b", status=SightingStatus.SUGGESTED), seen("c.d", status=SightingStatus.DROPPED)], TODAY
        )
        == {}
    )


@pytest.mark.parametrize(
    ("heavier", "lighter"),
    [
        (seen("x.one", 1), seen("x.two", 30)),
        (seen("x.one", 1, count=8), seen("x.two", 1)),
        (seen("x.one", 1, seen_by=SeenBy.COACH), seen("x.two", 1)),
        (seen("x.one", 1, Polarity.WORSE), seen("x.two", 1)),
        (seen("x.one", 1), seen("x.two", 1, Polarity.BETTER)),
    ],
)
def test_what_makes_a_fault_weigh_more(heavier: Sighting, lighter: Sighting) -> None:
    assert list(fault_weights([lighter, heavier], TODAY)) == ["x.one", "x.two"]


def test_pain_is_never_the_fault_to_work_on() -> None:
    assert strongest_fault([seen("stance.strain", count=9), seen("head.lifts", 20)], TODAY) == "head.lifts"


def test_pain_counts_even_while_only_suggested() -> None:
    suggested = seen("stance.strain", 2, status=SightingStatus.SUGGESTED)
    assert pain_since([suggested]) == TODAY - timedelta(days=2)
    assert pain_since([replace(suggested, status=SightingStatus.DROPPED)]) is None
