"""A ball's run over the table, and a whole shot."""

from __future__ import annotations

import math
from dataclasses import replace

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy.integrate import solve_ivp

from knowledge.mechanics.conditions import PRESETS, STANDARD
from knowledge.mechanics.inputs import ImpossibleInput
from knowledge.mechanics.motion import Ball, roll_distance
from knowledge.mechanics.run import pocket_entered, run
from knowledge.mechanics.shot import Stroke, play, scatter_gain
from knowledge.mechanics.table import LENGTH, SPOTS, WIDTH

BLUE = {**SPOTS, "white": 1.2 + 1.95j}


@settings(max_examples=60, deadline=None)
@given(
    st.floats(0.05, 1.7),
    st.floats(0.05, 3.5),
    st.floats(0.1, 6),
    st.floats(-3.1, 3.1),
    st.floats(-2, 2),
    st.floats(-3, 3),
)
def test_a_run_stays_on_the_table_and_ends(
    x: float, y: float, speed: float, way: float, spin: float, side: float
) -> None:
    v = speed * complex(math.cos(way), math.sin(way))
    found = run(Ball(complex(x, y), v, spin * v, side), STANDARD)
    r = STANDARD.radius
    for place in found.points():
        assert r - 1e-6 <= place.real <= WIDTH - r + 1e-6
        assert r - 1e-6 <= place.imag <= LENGTH - r + 1e-6
    assert found.pocket is not None or abs(found.end.velocity) < 1e-5 or len(found.cushions) >= 12


def test_a_run_is_unbroken() -> None:
    found = run(Ball(0.4 + 0.5j, 3 + 2j, -1j, 1.0), STANDARD)
    ends = [leg.place(t) for leg, t in found.legs]
    for end, (leg, _) in zip(ends, found.legs[1:], strict=False):
        assert leg.start.place == pytest.approx(end)
    assert len(found.cushions) >= 2


def test_a_free_run_against_integration() -> None:
    """scipy on sliding then rolling friction over the whole run, no cushion: end within 1 mm."""
    start = Ball(0.5 + 0.4j, 0.2 + 0.9j, -0.6 + 0.3j)
    found = run(start, STANDARD)

    def push(_t: float, y: np.ndarray) -> list[float]:
        v, w = complex(y[2], y[3]), complex(y[4], y[5])
        slip = v - w
        slide = -STANDARD.slide_deceleration * slip / max(abs(slip), 1e-5)
        roll = -STANDARD.roll_deceleration * v / max(abs(v), 1e-5)
        sliding = min(1.0, abs(slip) / 1e-3)
        a = sliding * slide + (1 - sliding) * roll
        b = -2.5 * sliding * slide + (1 - sliding) * roll
        return [v.real, v.imag, a.real, a.imag, b.real, b.imag]

    y0 = [start.place.real, start.place.imag, 0.2, 0.9, -0.6, 0.3]
    y = solve_ivp(push, (0, found.time), y0, method="LSODA", rtol=1e-8, atol=1e-9, max_step=0.02).y[:, -1]
    assert not found.cushions
    assert abs(complex(y[0], y[1]) - found.end.place) < 1.5e-3


def test_a_rolling_ball_goes_as_far_as_the_formula_says() -> None:
    found = run(Ball(0.9 + 0.5j, 0.6j, 0.6j), STANDARD)
    assert found.travel == pytest.approx(roll_distance(0.6, STANDARD))
    assert found.end.place.imag - 0.5 == pytest.approx(found.travel)


def test_a_ball_in_the_way_ends_the_run_where_they_touch() -> None:
    found = run(Ball(0.9 + 0.5j, 2j, 0j), STANDARD, {"red": 0.92 + 2j})
    assert found.meets == "red"
    assert abs(found.end.place - (0.92 + 2j)) == pytest.approx(STANDARD.diameter, abs=1e-6)


def test_a_ball_rolled_at_a_corner_goes_in() -> None:
    found = run(Ball(0.4 + 0.4j, -1 - 1j, -1 - 1j), STANDARD)
    assert found.pocket == "bottom left"


@pytest.mark.parametrize(
    ("place", "cushion", "pocket"),
    [
        (0.026 + (LENGTH / 2 + 0.044) * 1j, "left", "middle left"),
        (0.026 + (LENGTH / 2 + 0.046) * 1j, "left", None),
        (0.059 + 0.026j, "baulk", "bottom left"),
        (0.061 + 0.026j, "baulk", None),
        (WIDTH - 0.059 + 3.54j, "top", "top right"),
        (WIDTH - 0.026 + (LENGTH - 0.059) * 1j, "right", "top right"),
    ],
)
def test_a_mouth_is_as_wide_as_its_opening(place: complex, cushion: str, pocket: str | None) -> None:
    """Middle 90 mm along the cushion; corner 85 mm across its mouth, so 60.1 mm along either cushion."""
    assert pocket_entered(place, cushion, STANDARD) == pocket  # type: ignore[arg-type]


def test_a_fast_cloth_carries_the_white_farther() -> None:
    near, far = (
        play(BLUE, "blue", "middle left", Stroke(1.5, 0.2), PRESETS[name]).travel
        for name in ("slow club cloth", "fast match cloth")
    )
    assert far > near * 1.2


def test_the_white_leaves_on_the_right_angle_line_at_stun() -> None:
    """Stun at contact, restitution 1: white and blue part at 90 degrees, within 0.2."""
    cloth = replace(STANDARD, ball_restitution=1.0)
    played = play(
        {"white": 1.0 + 2.0j, "blue": SPOTS["blue"]}, "blue", "middle left", Stroke(4.0, -0.01), cloth
    )
    assert played.white is not None
    assert played.ball is not None
    white, ball = played.white.legs[0][0].start.velocity, played.ball.legs[0][0].start.velocity
    angle = abs(math.degrees(np.angle(white / ball)))
    assert angle == pytest.approx(90.0, abs=0.2)


def test_the_white_meets_the_ghost_ball_even_with_swerve() -> None:
    for stroke in (
        Stroke(2.5),
        Stroke(2.5, 0.2, 0.3, math.radians(12)),
        Stroke(2.0, -0.3, -0.3, math.radians(6)),
    ):
        played = play(BLUE, "blue", "middle left", stroke, STANDARD)
        assert played.white is not None
        start = played.white.legs[0][0].start.place
        assert abs(start - played.aim.ghost) < 1e-4


def test_the_chance_moves_with_everything_the_player_changes() -> None:
    base = Stroke(2.3, spread=math.radians(0.3))
    long_pot = {"white": 0.889 + 0.5j, "red": 1.2 + 2.4j}
    played = [
        play(long_pot, "red", "top right", s, STANDARD).chance
        for s in (
            base,
            replace(base, butt=math.radians(12)),
            replace(base, side=0.3, butt=math.radians(8)),
            replace(base, bridge=0.45),
            replace(base, speed=4.0, butt=math.radians(12)),
            replace(base, spread=math.radians(0.6)),
            replace(base, height=0.3, butt=math.radians(12)),
        )
    ]
    assert len({round(c, 6) for c in played}) == len(played)
    assert played[5] < played[0]
    assert played[1] < played[0]


@pytest.mark.parametrize(("white_x", "outside"), [(1.2, -0.2), (0.578, 0.2)])
def test_outside_side_takes_the_throw_away(white_x: float, outside: float) -> None:
    """Gearing side is the outside one (Alciatore TP A.14): left side when the blue goes to the right."""
    pocket = "middle left" if white_x > 0.889 else "middle right"
    layout = {"white": white_x + 1.95j, "blue": SPOTS["blue"]}
    geared, plain, inside = (
        abs(math.degrees(play(layout, "blue", pocket, Stroke(2.5, -0.1, s), STANDARD).throw))
        for s in (outside, 0.0, -outside)
    )
    assert geared < 0.1
    assert plain > 1.0
    assert inside > 0.5


def test_level_plain_cueing_has_its_scatter_eased_by_squirt() -> None:
    """Turning the cue about the bridge moves the tip sideways, and squirt takes some of the error back."""
    assert scatter_gain(Stroke(3.0), 1.5, STANDARD) < 1.0
    assert scatter_gain(Stroke(3.0, butt=math.radians(20)), 1.5, STANDARD) > scatter_gain(
        Stroke(3.0), 1.5, STANDARD
    )


@pytest.mark.parametrize(
    ("stroke", "words"),
    [(Stroke(2.0, 0.5, 0.4), "slip"), (Stroke(0.05), "stops before"), (Stroke(0.8), "does not reach")],
)
def test_what_goes_wrong_is_said_and_the_chance_is_nil(stroke: Stroke, words: str) -> None:
    played = play({"white": 0.889 + 0.5j, "blue": SPOTS["blue"]}, "blue", "top left", stroke, STANDARD)
    assert any(words in problem for problem in played.problems)
    assert played.chance == 0.0


def test_a_ball_between_blocks_the_pot() -> None:
    between = {"white": 0.889 + 0.5j, "red": 0.889 + 1.2j, "blue": SPOTS["blue"]}
    played = play(between, "blue", "top left", Stroke(2.5), STANDARD)
    assert played.chance == 0.0
    assert any("red is in the white's way" in p for p in played.problems)


@pytest.mark.parametrize(
    ("layout", "pocket", "name"),
    [
        ({"white": 1 + 1j, "red": 1.03 + 1j}, "top left", "overlaps"),
        ({"white": 1 + 1j, "red": 1.0 + 4j}, "top left", "off the table"),
        ({"white": -0.2 + 1j, "red": 1.0 + 2j}, "top left", "off the table"),
        ({"white": 1 + 1j, "red": 1.0 + 2j}, "upper left", "no pocket is called"),
        ({"white": 1 + 2.5j, "red": 1.0 + 2j}, "top left", "cannot be cut"),
        ({"white": 1 + 1j}, "top left", "there is no red"),
    ],
)
def test_impossible_layouts_are_refused_by_name(layout: dict[str, complex], pocket: str, name: str) -> None:
    with pytest.raises(ImpossibleInput, match=name):
        play(layout, "red", pocket, Stroke(2.0), STANDARD)


@pytest.mark.parametrize(
    "wrong",
    [{"speed": -1}, {"speed": math.nan}, {"speed": 1, "height": math.nan}, {"speed": 1, "side": 1.2},
     {"speed": 1, "height": 0.8, "side": 0.8}, {"speed": 1, "butt": 2.0}, {"speed": 1, "bridge": -0.1}],
)  # fmt: skip
def test_impossible_strokes_are_refused(wrong: dict[str, float]) -> None:
    with pytest.raises(ImpossibleInput):
        Stroke(**wrong)
