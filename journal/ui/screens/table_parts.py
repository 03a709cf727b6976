"""Situations of the what-if screen: balls, dials, and what the mechanics answer."""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import dataclass, replace

from knowledge.entries import Drill
from knowledge.mechanics.answers import Answer
from knowledge.mechanics.conditions import PRESETS
from knowledge.mechanics.cue_answers import close_answer, rail_answer
from knowledge.mechanics.inputs import ImpossibleInput
from knowledge.mechanics.scene import Scene
from knowledge.mechanics.shot import DEFAULT_SPREAD, Stroke
from knowledge.mechanics.table import POCKETS, SPOTS
from knowledge.mechanics.table_answers import shot_answer

PRESET_NAMES = tuple(PRESETS)
POCKET_NAMES = tuple(POCKETS)


@dataclass(frozen=True, slots=True)
class Dial:
    """One thing to change. value in the shown unit; scale: shown unit to inside unit."""

    name: str
    value: float
    low: float
    high: float
    step: float
    unit: str
    scale: float = 1.0

    def turned(self, steps: int) -> Dial:
        """Changed by so many steps, inside its range."""
        value = round(self.value + steps * self.step, 6)
        return replace(self, value=min(self.high, max(self.low, value)))

    @property
    def inside(self) -> float:
        """The value in inside units."""
        return self.value * self.scale

    @property
    def shown(self) -> str:
        """With its unit."""
        return f"{self.value:g} {self.unit}".rstrip()


@dataclass(frozen=True, slots=True)
class Situation:
    """balls: (name, (x, y) in mm), the white first; none when only the cue matters."""

    name: str
    kind: str
    dials: tuple[Dial, ...]
    balls: tuple[tuple[str, tuple[float, float]], ...] = ()
    target: str = ""
    pocket: str = ""
    cloth: int = 0
    drill: str = ""
    first: Situation | None = None

    def turned(self, number: int, steps: int) -> Situation:
        """One dial changed."""
        dials = tuple(dial.turned(steps) if n == number else dial for n, dial in enumerate(self.dials))
        return replace(self, dials=dials)

    def moved(self, number: int, across: float, along: float) -> Situation:
        """One ball moved, in mm."""
        balls = tuple(
            (name, (x + across, y + along) if n == number else (x, y))
            for n, (name, (x, y)) in enumerate(self.balls)
        )
        return replace(self, balls=balls)

    def with_next_target(self) -> Situation:
        """Play at the next ball that is not the white."""
        names = [name for name, _ in self.balls if name != "white"]
        return replace(self, target=names[(names.index(self.target) + 1) % len(names)])

    def with_next_pocket(self) -> Situation:
        """Into the next pocket."""
        return replace(self, pocket=POCKET_NAMES[(POCKET_NAMES.index(self.pocket) + 1) % len(POCKET_NAMES)])

    def dial(self, name: str) -> float:
        """A dial's value in inside units."""
        return next(dial.inside for dial in self.dials if dial.name == name)


@dataclass(frozen=True, slots=True)
class Outcome:
    """What happens: a scene, or only words when it cannot be."""

    scene: Scene | None
    words: tuple[str, ...]


STROKE = (
    Dial("speed", 2.0, 0.2, 9.0, 0.2, "m/s"),
    Dial("tip height", 0.0, -0.7, 0.7, 0.1, "R"),
    Dial("side", 0.0, -0.6, 0.6, 0.1, "R"),
    Dial("cue slope", 3.0, 0.0, 45.0, 1.0, "°", math.pi / 180),
    Dial("bridge", 280.0, 60.0, 500.0, 20.0, "mm", 1e-3),
    Dial("your spread", round(math.degrees(DEFAULT_SPREAD), 3), 0.02, 1.0, 0.02, "°", math.pi / 180),
)


def situations() -> list[Situation]:
    """What is offered without a drill."""
    shots = (
        ("black from its spot", ((640.0, 2880.0), "black", "top right")),
        ("blue to the middle", ((1290.0, 1500.0), "blue", "middle left")),
        ("long pot along the table", ((700.0, 700.0), "red", "top left")),
    )
    found = []
    for name, (white, target, pocket) in shots:
        spot = SPOTS.get(target, complex(0.45, 2.4))
        balls = (("white", white), (target, (round(spot.real * 1e3, 1), round(spot.imag * 1e3, 1))))
        found.append(Situation(name, "shot", STROKE, balls, target, pocket))
    rail = (
        Dial("cushion gap", 0.0, 0.0, 200.0, 5.0, "mm", 1e-3),
        Dial("cue slope", 8.0, 0.0, 45.0, 1.0, "°", math.pi / 180),
        Dial("tip height", 0.4, -0.7, 0.7, 0.1, "R"),
    )
    close = (
        Dial("gap", 40.0, 1.0, 200.0, 2.0, "mm", 1e-3),
        Dial("speed", 1.5, 0.2, 6.0, 0.1, "m/s"),
        Dial("follow", 80.0, 5.0, 300.0, 5.0, "mm", 1e-3),
        Dial("cue slope", 5.0, 0.0, 60.0, 1.0, "°", math.pi / 180),
    )
    found += [
        Situation("white on the cushion: why raise the butt", "rail", rail),
        Situation("close balls: push stroke or not", "close", close),
    ]
    return [replace(each, first=each) for each in found]


def from_drill(drill: Drill) -> Situation | None:
    """A drill's shot; None when it has no white with a ball to pot."""
    balls: list[tuple[str, tuple[float, float]]] = []
    for ball in drill.balls:
        if ball.role in ("mark", "block"):
            continue
        known = [name for name, _ in balls]
        count = sum(name.split()[0] == ball.role for name in known)
        balls.append((ball.role if not count else f"{ball.role} {count + 1}", (ball.x, ball.y)))
    names = [name for name, _ in balls]
    targets = [name for name in names if not name.startswith("white")]
    if "white" not in names or not targets:
        return None
    place = complex(*dict(balls)[targets[0]])
    pocket: str = drill.pocket or min(POCKETS, key=lambda each: abs(POCKETS[each] * 1e3 - place))
    ordered = [each for each in balls if not each[0].startswith("white") or each[0] == "white"]
    ordered.sort(key=lambda each: each[0] != "white")
    found = Situation(drill.name, "shot", STROKE, tuple(ordered), targets[0], pocket, drill=drill.id)
    return replace(found, first=found)


def answer(situation: Situation) -> Outcome:
    """What the mechanics say; what cannot be is said in words."""
    try:
        found = _ANSWERS[situation.kind](situation)
    except ImpossibleInput as error:
        return Outcome(None, (f"! {error.message}", error.hint))
    return Outcome(found.scene, found.scene.words if found.scene else ())


def _shot(situation: Situation) -> Answer:
    layout = {name: complex(x, y) * 1e-3 for name, (x, y) in situation.balls}
    names = ("speed", "tip height", "side", "cue slope", "bridge", "your spread")
    stroke = Stroke(*(situation.dial(name) for name in names))
    return shot_answer(
        layout, situation.target, situation.pocket, stroke, PRESETS[PRESET_NAMES[situation.cloth]]
    )


def _rail(situation: Situation) -> Answer:
    cloth = PRESETS[PRESET_NAMES[situation.cloth]]
    return rail_answer(
        cloth=cloth,
        gap=situation.dial("cushion gap"),
        butt=situation.dial("cue slope"),
        height=situation.dial("tip height"),
    )


def _close(situation: Situation) -> Answer:
    gap, speed, follow = situation.dial("gap"), situation.dial("speed"), situation.dial("follow")
    return close_answer(gap=gap, speed=speed, follow=follow, butt=situation.dial("cue slope"))


_ANSWERS: dict[str, Callable[[Situation], Answer]] = {"shot": _shot, "rail": _rail, "close": _close}
