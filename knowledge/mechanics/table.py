"""The full-size table: cushion faces, spots, pockets, the D, and where a ball may lie.

Source: official rules of snooker (WPBSA), section 1 rule 1, as read in a national federation's text: 3569 x
1778 mm, baulk-line 737, D 292, black spot 324 from the top, blue and pink midway. Pockets are points: the
corners of the rectangle of cushion faces and the middles of its long sides; their shape is set by templates
that are not public.
"""

from __future__ import annotations

import math
from collections.abc import Mapping

from knowledge.mechanics.inputs import ImpossibleInput
from knowledge.mechanics.units import FOOT, feet_said

LENGTH = 3.569
WIDTH = 1.778
BAULK = 0.737
D_RADIUS = 0.292

SPOTS: dict[str, complex] = {
    "yellow": complex(WIDTH / 2 + D_RADIUS, BAULK),
    "green": complex(WIDTH / 2 - D_RADIUS, BAULK),
    "brown": complex(WIDTH / 2, BAULK),
    "blue": complex(WIDTH / 2, LENGTH / 2),
    "pink": complex(WIDTH / 2, LENGTH * 3 / 4),
    "black": complex(WIDTH / 2, LENGTH - 0.324),
}
BAULK_COLOURS = ("yellow", "green", "brown")

POCKETS: dict[str, complex] = {
    "bottom left": complex(0, 0),
    "bottom right": complex(WIDTH, 0),
    "middle left": complex(0, LENGTH / 2),
    "middle right": complex(WIDTH, LENGTH / 2),
    "top left": complex(0, LENGTH),
    "top right": complex(WIDTH, LENGTH),
}

_POCKET_AXES: dict[str, complex] = {
    "bottom left": complex(-1, -1) / math.sqrt(2),
    "bottom right": complex(1, -1) / math.sqrt(2),
    "middle left": complex(-1, 0),
    "middle right": complex(1, 0),
    "top left": complex(-1, 1) / math.sqrt(2),
    "top right": complex(1, 1) / math.sqrt(2),
}


def pocket_at(name: str) -> complex:
    """Where a pocket is. Raises: ImpossibleInput for an unknown name."""
    if name not in POCKETS:
        raise ImpossibleInput("pocket", f"no pocket is called {name!r}", f"Known: {', '.join(POCKETS)}.")
    return POCKETS[name]


def spot_at(colour: str) -> complex:
    """Where a colour's spot is. Raises: ImpossibleInput for a ball without a spot."""
    if colour not in SPOTS:
        raise ImpossibleInput("spot", f"{colour!r} has no spot", f"Known: {', '.join(SPOTS)}.")
    return SPOTS[colour]


def approach_angle(ball: complex, pocket: str) -> float:
    """Angle between the ball's line to the pocket and the pocket's own middle line, radians, 0 to pi."""
    line = pocket_at(pocket) - ball
    if line == 0:
        raise ImpossibleInput("ball", "lies in the pocket", "Place it on the table.")
    turn = line / abs(line) / _POCKET_AXES[pocket]
    return abs(math.atan2(turn.imag, turn.real))


def distance_said(one: complex, other: complex) -> str:
    """Distance between two places as players say it, in feet and halves."""
    return feet_said(abs(other - one))


def in_the_d(place: complex) -> bool:
    """Whether a ball in hand may be placed here: on or inside the D (centre of the ball counts)."""
    return place.imag <= BAULK + 1e-9 and abs(place - SPOTS["brown"]) <= D_RADIUS + 1e-9


def check_on_table(name: str, place: complex, radius: float) -> None:
    """Raise ImpossibleInput unless a whole ball fits here between the cushion faces (1 mm allowed)."""
    slack = 1e-3
    x_ok = radius - slack <= place.real <= WIDTH - radius + slack
    y_ok = radius - slack <= place.imag <= LENGTH - radius + slack
    if not (x_ok and y_ok):
        where = f"({place.real * 1e3:.0f}, {place.imag * 1e3:.0f}) mm"
        raise ImpossibleInput(
            name,
            f"{where} is off the table",
            f"A ball's centre lies between {radius * 1e3:.0f} and {(WIDTH - radius) * 1e3:.0f} across, "
            f"{radius * 1e3:.0f} and {(LENGTH - radius) * 1e3:.0f} along.",
        )


def check_layout(balls: Mapping[str, complex], radius: float) -> None:
    """Refuse a layout with a ball off the table or two overlapping by more than 1 mm. Raises:
    ImpossibleInput.
    """
    named = list(balls.items())
    for i, (name, place) in enumerate(named):
        check_on_table(name, place, radius)
        for other, there in named[:i]:
            if abs(place - there) < 2 * radius - 1e-3:
                gap = (2 * radius - abs(place - there)) * 1e3
                raise ImpossibleInput(
                    name,
                    f"overlaps {other} by {gap:.1f} mm",
                    "Move one of them; centres lie a ball apart at least.",
                )


def nearest_feet(length: float) -> float:
    """A length in feet to the nearest half, for counting travel."""
    return round(length / FOOT * 2) / 2
