"""Places, distances as players say them, and units."""

from __future__ import annotations

import math
from dataclasses import replace

import pytest
from hypothesis import given
from hypothesis import strategies as st

from knowledge.mechanics import table
from knowledge.mechanics.conditions import PRESETS, STANDARD, preset
from knowledge.mechanics.inputs import ImpossibleInput
from knowledge.mechanics.potting import along_cushion, pocket_margin
from knowledge.mechanics.units import feet_said, read_quantity


@pytest.mark.parametrize(
    ("metres", "said"),
    [(0.3048 * 4, "4 ft"), (1.37, "4½ ft"), (4.9, "16 ft"), (0.15, "6 in"), (0.3, "1 ft"), (0.0, "0 in")],
)
def test_distances_as_players_say_them(metres: float, said: str) -> None:
    assert feet_said(metres) == said


def test_spot_to_spot_in_feet() -> None:
    """Blue to pink is a quarter of 3569 mm: 2.93 ft, said as 3."""
    assert table.distance_said(table.SPOTS["blue"], table.SPOTS["pink"]) == "3 ft"


def test_a_ball_in_hand_goes_inside_the_d() -> None:
    brown = table.SPOTS["brown"]
    assert table.in_the_d(brown)
    assert table.in_the_d(table.SPOTS["yellow"])
    assert table.in_the_d(brown - 0.291j)
    assert not table.in_the_d(brown + 0.01j)
    assert not table.in_the_d(brown + 0.293)


def test_corner_pockets_face_the_diagonal_and_middles_face_across() -> None:
    for name, place in table.POCKETS.items():
        inward = complex(
            math.copysign(1, 0.889 - place.real),
            0 if "middle" in name else math.copysign(1, 1.7845 - place.imag),
        )
        assert table.approach_angle(place + 0.3 * inward, name) == pytest.approx(0.0, abs=1e-9)


def test_a_slanting_approach_narrows_the_pocket_until_it_is_shut() -> None:
    angles = [math.radians(a) for a in (0, 20, 40, 50, 60)]
    margins = [pocket_margin(1.0, 0.085, 0.0525, a) for a in angles]
    assert margins == sorted(margins, reverse=True)
    assert margins[-1] == 0.0


@given(st.floats(0.0, 0.1), st.floats(0.2, 3.0))
def test_along_the_cushion_the_window_only_moves(gap: float, distance: float) -> None:
    """Touching or not, the window of directions is as wide; off the cushion it lies farther inward."""
    touching, clear = (along_cushion(distance, g, 0.085, 0.01, 0.0525, 0.75) for g in (0.0, gap))
    widths = [math.tan(a.inward) + math.tan(a.outward) for a in (touching, clear)]
    assert widths[0] == pytest.approx(widths[1], rel=1e-9)
    assert clear.aim >= touching.aim
    assert touching.inward > touching.outward


@given(st.floats(-1e6, 1e6), st.sampled_from(["mm", "cm", "m", "in", "ft"]))
def test_lengths_keep_their_value(value: float, unit: str) -> None:
    size = {"mm": 1e-3, "cm": 1e-2, "m": 1.0, "in": 0.0254, "ft": 0.3048}[unit]
    assert read_quantity("x", f"{value!r} {unit}", "length", "mm") == pytest.approx(value * size)


@pytest.mark.parametrize("text", ["", "mm", "12 cubits", "1 2 mm", "one", "5 deg"])
def test_unknown_units_and_words_are_refused(text: str) -> None:
    with pytest.raises(ImpossibleInput, match="reach"):
        read_quantity("reach", text, "length", "mm")


def test_presets_are_named_and_differ_the_way_they_say() -> None:
    slow, fast = preset("slow club cloth"), preset("fast match cloth")
    assert slow.rolling > STANDARD.rolling > fast.rolling
    assert slow.corner_opening > fast.corner_opening
    assert set(PRESETS) == {"standard", "slow club cloth", "fast match cloth"}


@pytest.mark.parametrize(
    "wrong",
    [
        {"sliding": 0.9},
        {"rolling": -0.01},
        {"corner_opening": 0.04},
        {"ball_restitution": 1.2},
        {"nose_height": 0.02},
    ],
)
def test_impossible_conditions_are_refused(wrong: dict[str, float]) -> None:
    with pytest.raises(ImpossibleInput):
        replace(STANDARD, **wrong)
