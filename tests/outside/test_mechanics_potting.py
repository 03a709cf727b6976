"""Potting geometry against worked figures, scipy's error function and a simulation with the exact geometry.

Sources: D. G. Alciatore, TP 3.4 and the margin-for-error page (a straight shot is hardest half-way); the
formulas are plain geometry, so the figures were worked out in double precision. Pocket openings are worked
inputs: the templates of the governing body are not public. Body lines: ANSUR II, C. C. Gordon et al.,
NATICK/TR-15/007 (2014).
"""

from __future__ import annotations

import math

import numpy as np
import pytest
from scipy.special import erf
from scipy.stats import norm

from knowledge.body import estimate
from knowledge.mechanics import potting
from knowledge.mechanics.table import LENGTH, POCKETS, SPOTS, WIDTH
from knowledge.mechanics.units import read_quantity

D = 0.0525
DISTANCES = (0.3, 0.5, 1.0, 1.5, 2.0, 3.0)


@pytest.mark.parametrize(
    ("opening", "angles"),
    [
        (80, (2.6242, 1.5752, 0.7878, 0.5252, 0.3939, 0.2626)),
        (85, (3.1005, 1.8615, 0.9310, 0.6207, 0.4655, 0.3103)),
        (90, (3.5763, 2.1476, 1.0742, 0.7162, 0.5371, 0.3581)),
    ],
)
def test_half_angle_of_the_pocket(opening: float, angles: tuple[float, ...]) -> None:
    """atan((P - d)/(2 D)); abs 6e-5 deg."""
    found = [math.degrees(potting.pocket_margin(s, opening * 1e-3, D)) for s in DISTANCES]
    assert found == pytest.approx(angles, abs=6e-5)


@pytest.mark.parametrize(
    ("spread", "chances"),
    [
        (0.5, (1.0, 0.9998, 0.9374, 0.7855, 0.6482, 0.4652)),
        (1.0, (0.9981, 0.9373, 0.6481, 0.4652, 0.3584, 0.2437)),
        (2.0, (0.8789, 0.6480, 0.3584, 0.2437, 0.1841, 0.1233)),
    ],
)
def test_chance_for_a_scatter_of_the_object_ball(spread: float, chances: tuple[float, ...]) -> None:
    """erf(δ/(σ√2)) at P = 85; abs 6e-5; and scipy.special.erf to 1e-12."""
    for distance, chance in zip(DISTANCES, chances, strict=True):
        found = potting.pot(distance, 0.085, math.radians(spread), D)
        assert found.chance == pytest.approx(chance, abs=6e-5)
        assert found.chance == pytest.approx(
            float(erf(found.margin / math.radians(spread) / math.sqrt(2))), abs=1e-12
        )


@pytest.mark.parametrize(("distance", "gains"), [
    (250, (3.762, 3.923, 4.468, 5.660, 8.365)), (500, (8.524, 8.856, 9.982, 12.432, 17.969)),
    (1000, (18.048, 18.718, 20.987, 25.919, 37.056)), (1500, (27.571, 28.578, 31.986, 39.394, 56.117)),
    (2000, (37.095, 38.438, 42.985, 52.866, 75.171))])  # fmt: skip
def test_a_contact_enlarges_the_error(distance: float, gains: tuple[float, ...]) -> None:
    """L cos α0/(d cos φ) - 1; abs 6e-4."""
    found = [potting.amplification(distance * 1e-3, math.radians(c), D) for c in (0, 15, 30, 45, 60)]
    assert found == pytest.approx(gains, abs=6e-4)


@pytest.mark.parametrize(("distance", "cut", "thin", "thick"), [
    (1000, 0, 1.8051, -1.8051), (1000, 30, 2.1241, -2.0754), (1000, 45, 2.6593, -2.5324),
    (1000, 60, 3.9576, -3.5111), (2000, 30, 4.4053, -4.2091), (2000, 60, 8.7272, -6.8126)])  # fmt: skip
def test_thinner_errors_grow_more_than_thicker_ones(
    distance: float, cut: float, thin: float, thick: float
) -> None:
    """Exact change for an aim off by ±0.1 deg; abs 5e-4 deg. And the aim found back from the direction."""
    length = distance * 1e-3
    middle = math.asin(D * math.sin(math.radians(cut)) / length)
    base = potting.object_direction(middle, length, D)
    assert base is not None
    for error, change in ((0.1, thin), (-0.1, thick)):
        found = potting.object_direction(middle + math.radians(error), length, D)
        assert found is not None
        assert math.degrees(found - base) == pytest.approx(change, abs=5e-4)
        assert potting.aim_for(found, length, D) == pytest.approx(middle + math.radians(error), abs=1e-12)


@pytest.mark.parametrize(
    ("spread", "between", "distance", "cut", "gain", "margin", "allowed", "chance"),
    [
        (0.10, 500, 500, 0, 8.524, 1.8615, 0.2184, 0.9710),
        (0.10, 1000, 500, 0, 18.048, 1.8615, 0.1031, 0.6977),
        (0.10, 1000, 1000, 0, 18.048, 0.9310, 0.0516, 0.3940),
        (0.10, 1000, 1000, 30, 20.987, 0.9310, 0.0444, 0.3427),
        (0.10, 1000, 1000, 45, 25.919, 0.9310, 0.0359, 0.2805),
        (0.10, 1000, 1000, 60, 37.056, 0.9310, 0.0251, 0.1984),
        (0.20, 1000, 1000, 30, 20.987, 0.9310, 0.0444, 0.1755),
        (0.05, 2000, 1500, 30, 42.985, 0.6207, 0.0144, 0.2273),
    ],
)
def test_whole_pot_from_the_scatter_of_the_cue(
    spread: float,
    between: float,
    distance: float,
    cut: float,
    gain: float,
    margin: float,
    allowed: float,
    chance: float,
) -> None:
    """erf(δ/(A σ √2)) at P = 85; angles abs 6e-5 deg, chance abs 6e-5."""
    found = potting.pot(
        distance * 1e-3, 0.085, math.radians(spread), D, cut=math.radians(cut), cue_distance=between * 1e-3
    )
    assert found.amplification == pytest.approx(gain, abs=6e-4)
    assert found.aim_margin is not None
    assert (math.degrees(found.margin), math.degrees(found.aim_margin)) == pytest.approx(
        (margin, allowed), abs=6e-5
    )
    assert found.chance == pytest.approx(chance, abs=6e-5)


def test_exact_chance_against_a_simulation() -> None:
    """400 000 aims drawn at random with the exact geometry, row L 1000, D 1000, 30 deg: 0.3423 was published
    for it; 4 sigma.
    """
    aims = np.random.default_rng(7).normal(0, math.radians(0.1), 400_000)
    middle = math.asin(D * 0.5)
    reach = np.sin(middle + aims) / D
    direction = np.arcsin(np.clip(reach, -1, 1)) - (middle + aims)
    margin = potting.pocket_margin(1.0, 0.085, D)
    rate = float(np.mean((np.abs(direction - (math.radians(30) - middle)) < margin) & (np.abs(reach) <= 1)))
    found = potting.pot(1.0, 0.085, math.radians(0.1), D, cut=math.radians(30), cue_distance=1.0)
    assert found.exact_chance == pytest.approx(rate, abs=4 * math.sqrt(rate * (1 - rate) / 400_000))
    assert found.exact_chance == pytest.approx(0.3423, abs=1e-3)


def test_straight_shot_is_hardest_half_way() -> None:
    """Alciatore, margin-for-error page; L + D = 3 m, σ 0.1 deg, P 85: 0.5355, 0.2445, 0.1781, 0.2332, 0.4613;
    abs 6e-5.
    """
    found = [
        potting.pot(3 * s, 0.085, math.radians(0.1), D, cue_distance=3 * (1 - s)).chance
        for s in (0.9, 0.75, 0.5, 0.25, 0.1)
    ]
    assert found == pytest.approx([0.5355, 0.2445, 0.1781, 0.2332, 0.4613], abs=6e-5)
    assert min(found) == found[2]


@pytest.mark.parametrize(
    ("hits", "ratio"), [(50, 1.4826), (70, 0.9648), (80, 0.7803), (90, 0.6080), (95, 0.5102)]
)
def test_spread_from_results(hits: int, ratio: float) -> None:
    """σ over δ from the success rate: scipy.stats.norm.ppf; abs 6e-5, and scipy itself to 1e-9."""
    found = potting.spread_from_results(hits, 100, 0.01).likely
    assert found == pytest.approx(ratio * 0.01, abs=6e-7)
    assert found == pytest.approx(0.01 / float(norm.ppf((1 + hits / 100) / 2)), abs=1e-11)


def test_spread_goes_there_and_back() -> None:
    """The spread found from a chance gives the chance again."""
    margin = potting.pocket_margin(1.2, 0.085, D)
    found = potting.spread_from_results(13, 20, margin)
    assert found.likely is not None
    assert potting.chance(margin, found.likely) == pytest.approx(0.65)


@pytest.mark.parametrize(("rate", "row"), [(0.5, 1), (0.7, 2.3333), (0.8, 4), (0.9, 9), (0.95, 19)])
def test_pots_in_a_row(rate: float, row: float) -> None:
    """Geometric law, exact: p/(1 - p)."""
    assert potting.pots_in_a_row(rate) == pytest.approx(row, abs=6e-5)


def test_ghost_ball() -> None:
    """Worked example: ball (2000, 900), target (3569, 1778), white (1000, 600); abs 0.01 mm and 0.01 deg."""
    found = potting.aim_at(1.0 + 0.6j, 2.0 + 0.9j, 3.569 + 1.778j, D)
    assert (found.ghost.real * 1e3, found.ghost.imag * 1e3) == pytest.approx((1954.186, 874.363), abs=0.01)
    assert math.degrees(found.cut) == pytest.approx(13.189, abs=0.01)
    assert (found.offset * 1e3, found.travel * 1e3) == pytest.approx((11.979, 992.85), abs=0.01)
    assert found.fraction == pytest.approx(0.7718, abs=6e-5)


@pytest.mark.parametrize(("colour", "top", "baulk", "middle", "angle"), [
    ("brown", 2968.3, 1154.8, 1373.9, 17.43), ("yellow", 2894.2, 948.5, 1205.7, 11.90),
    ("green", 2894.2, 948.5, 1205.7, 11.90), ("blue", 1993.7, 1993.7, 889.0, 26.48),
    ("pink", 1259.5, 2820.5, 1259.5, 44.90), ("black", 946.2, 3364.6, 1709.8, 69.98)])  # fmt: skip
def test_spots_to_pockets(colour: str, top: float, baulk: float, middle: float, angle: float) -> None:
    """From the measures of the official rules of snooker, section 1 rule 1; abs 0.1 mm, 0.01 deg."""
    spot = SPOTS[colour]
    found = [
        min(abs(POCKETS[f"{row} {side}"] - spot) * 1e3 for side in ("left", "right"))
        for row in ("top", "bottom", "middle")
    ]
    assert found == pytest.approx([top, baulk, middle], abs=0.1)
    near = min((POCKETS["top left"], POCKETS["top right"]), key=lambda p: abs(p - spot))
    assert math.degrees(math.atan2(abs((near - spot).real), (near - spot).imag)) == pytest.approx(
        angle, abs=0.01
    )


def test_table_measures_against_the_rules_in_inches() -> None:
    """Official rules, section 1 rule 1: 11 ft 8½ in, 5 ft 10 in, 29 in, 11½ in, 12¾ in; the rounded metric
    may be 0.5 mm off.
    """
    assert math.hypot(LENGTH, WIDTH) * 1e3 == pytest.approx(3987.4, abs=0.1)
    for metres, inches in (
        (LENGTH, 140.5),
        (WIDTH, 70),
        (SPOTS["brown"].imag, 29),
        (SPOTS["brown"].real - SPOTS["green"].real, 11.5),
        (LENGTH - SPOTS["black"].imag, 12.75),
    ):
        assert metres == pytest.approx(read_quantity("x", f"{inches} in", "length", "mm"), abs=5e-4)
    assert SPOTS["blue"].imag * 1e3 == pytest.approx(1784.5)
    assert (LENGTH - SPOTS["pink"].imag) * 1e3 == pytest.approx(892.25)
    assert SPOTS["yellow"].real > SPOTS["green"].real  # yellow on the right from the baulk end


@pytest.mark.parametrize(
    ("part", "table", "height", "value", "spread"),
    [
        ("hand length", "men", 1750, 192.7, 7.36),
        ("hand length", "women", 1630, 181.2, 7.68),
        ("forearm with hand", "men", 1750, 478.5, 14.36),
        ("forearm with hand", "women", 1630, 440.3, 15.37),
        ("shoulder breadth", "men", 1750, 414.7, 16.23),
        ("shoulder breadth", "women", 1630, 365.6, 15.09),
    ],
)
def test_body_estimates(part: str, table: str, height: float, value: float, spread: float) -> None:
    """Least-squares lines on the public ANSUR II files (Gordon et al. 2014); abs 0.15 mm."""
    found = estimate(part, height, table)  # type: ignore[arg-type]
    assert found.value == pytest.approx(value, abs=0.15)
    assert found.spread == spread
