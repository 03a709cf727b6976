"""Right side, wrong side, ways out."""

from __future__ import annotations

import math

import pytest

from knowledge.mechanics.conditions import PRESETS, STANDARD
from knowledge.mechanics.inputs import ImpossibleInput
from knowledge.mechanics.routes import REDS_AREA, blue_sides, escapes, inside, stays_on, white_for_cut
from knowledge.mechanics.table import BAULK_COLOURS, LENGTH, SPOTS


@pytest.fixture(scope="module")
def ways() -> dict[int, list]:
    return {cut: escapes(math.radians(cut), 0.4, STANDARD) for cut in (15, 30, 45)}


@pytest.mark.parametrize("cloth", ["standard", "fast match cloth"])
def test_the_wrong_side_costs_several_times_the_travel(cloth: str) -> None:
    """Players reckon about 4 ft against about 16 ft (common practice, no source): within a factor of 1.6 of
    each.
    """
    found = blue_sides(math.radians(35), 0.3, PRESETS[cloth])
    assert found.right is not None
    assert found.wrong is not None
    assert 4 / 1.6 <= found.right.travel / 0.3048 <= 4 * 1.6
    assert 16 / 1.6 <= found.wrong.travel / 0.3048 <= 16 * 1.6


def test_both_sides_pot_the_blue_and_end_among_the_reds() -> None:
    found = blue_sides(math.radians(35), 0.3, STANDARD)
    for route in (found.right, found.wrong):
        assert route is not None
        assert route.played.ball is not None
        assert route.played.ball.pocket == "middle right"
        assert route.played.white is not None
        assert inside(route.played.white.end.place, REDS_AREA)


def test_ways_out_come_back_up_the_table_or_name_their_cannon(ways: dict[int, list]) -> None:
    for routes in ways.values():
        assert routes
        for route in routes:
            if route.cannon is None:
                assert route.played.white.end.place.imag > LENGTH / 2
                assert "baulk" in route.played.white.cushions
            else:
                assert route.cannon in BAULK_COLOURS


def test_which_way_out_depends_on_the_cut(ways: dict[int, list]) -> None:
    """Near straight only round the table is left; fuller cuts open the gap between two baulk colours."""
    assert not any("between" in r.name for r in ways[15] if r.cannon is None)
    assert any("between green and brown" in r.name for r in ways[30] if r.cannon is None)
    assert any("between brown and yellow" in r.name for r in ways[45] if r.cannon is None)
    assert any(r.name.startswith("round the table") for r in ways[30])


def test_some_strokes_of_every_wrong_side_shot_risk_a_cannon(ways: dict[int, list]) -> None:
    assert {r.cannon for r in ways[30] if r.cannon} <= set(BAULK_COLOURS)
    assert any(r.cannon for r in ways[45])


def test_a_line_along_the_zone_stays_longer_than_one_across_it() -> None:
    """The zone of 10-45 deg cuts on the black opens away from it: running along it forgives more pace."""
    middle = white_for_cut(SPOTS["black"], "top right", math.radians(28), 0.5, False, STANDARD.diameter)
    out = (middle - SPOTS["black"]) / abs(middle - SPOTS["black"])
    along = stays_on([middle - 0.3 * out, middle + 0.5 * out], SPOTS["black"], "top right", STANDARD)
    across = stays_on([middle - 0.4j * out, middle + 0.4j * out], SPOTS["black"], "top right", STANDARD)
    assert along.length > 1.5 * across.length


def test_a_line_needs_two_points() -> None:
    with pytest.raises(ImpossibleInput):
        stays_on([0j], SPOTS["black"], "top right", STANDARD)
