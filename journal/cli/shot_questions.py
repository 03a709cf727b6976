"""The questions that ``plainball shot`` knows, one row each: options and the function that answers."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

Kind = Literal["length", "speed", "angle", "time", "number", "count", "words"]


@dataclass(frozen=True, slots=True)
class Option:
    """One option of a question; default None and not needed means "may be left out"."""

    flag: str
    kind: Kind
    text: str
    default: str | None = None
    needed: bool = False

    @property
    def name(self) -> str:
        """The name under which the answering function takes it."""
        return self.flag.replace("-", "_")


@dataclass(frozen=True, slots=True)
class Question:
    """A sub-command. answer: "module:function" in knowledge.mechanics, loaded only when asked."""

    name: str
    text: str
    options: tuple[Option, ...]
    answer: str


FRACTION = Option("fraction", "number", "ball fraction, 1 full to 0 a graze", needed=True)
RESTITUTION = Option("restitution", "number", "liveliness of the balls, 1 is ideal", "1")
SPEED = Option("speed", "speed", 'speed of the white: m/s, "7 mph" or a word such as medium', needed=True)
DISTANCE = Option("distance", "length", "distance of the object ball to the pocket", needed=True)
CUT = Option("angle", "angle", "cut angle", "0")
OPENING = Option("opening", "length", "width of the pocket's opening (default: the cloth preset's corner)")
SPREAD = Option("spread", "angle", "scatter of the direction, one standard deviation", needed=True)
BETWEEN = Option(
    "cue-distance", "length", "white to object ball; the spread is then the white's, else the object ball's"
)
ROLL = Option("roll", "number", "spin along the way: 1 rolling, 0 stun, below 0 screw", "1")
HEIGHT = Option("height", "number", "tip height over the ball's radius, + above the middle", "0")
SIDE = Option("side", "number", "tip offset over the ball's radius, + to the right", "0")
BUTT = Option("butt", "angle", "slope of the cue", "0")

QUESTIONS: tuple[Question, ...] = (
    Question(
        "contact",
        "angles and speeds directly after a contact",
        (FRACTION, RESTITUTION),
        "answers:contact_answer",
    ),
    Question(
        "natural",
        "where a rolling white goes, and both speeds once rolling",
        (FRACTION, RESTITUTION),
        "answers:natural_answer",
    ),
    Question(
        "pot",
        "margin and chance of a pot",
        (
            DISTANCE,
            CUT,
            SPREAD,
            OPENING,
            BETWEEN,
            Option("approach", "angle", "off the pocket's middle line", "0"),
            Option("pocket", "words", "corner or middle, for the opening when it is not given", "corner"),
        ),
        "answers:pot_answer",
    ),
    Question(
        "along-cushion",
        "a ball running along a cushion to a corner, touching it or not",
        (DISTANCE, Option("gap", "length", "gap to the cushion, 0 touching", "0"), OPENING, SPREAD),
        "answers:along_answer",
    ),
    Question(
        "spread",
        "the scatter behind a result",
        (
            Option("hits", "count", "pots", needed=True),
            Option("of", "count", "tries", needed=True),
            *(DISTANCE, OPENING, CUT, BETWEEN),
        ),
        "answers:spread_answer",
    ),
    Question(
        "roll",
        "how far a rolling ball goes, or the speed for a distance, or the cloth from a timed roll",
        (
            Option("speed", "speed", "rolling speed"),
            Option("distance", "length", "distance to go"),
            Option("time", "time", "with --distance: seconds until the ball stopped"),
        ),
        "answers:roll_answer",
    ),
    Question("slide", "when a struck ball begins to roll", (SPEED, HEIGHT), "answers:slide_answer"),
    Question(
        "draw",
        "where screw wears off, and what is left at the ball",
        (
            SPEED,
            Option("low", "number", "tip below the middle over the ball's radius, 0 to 0.5", needed=True),
            Option("distance", "length", "distance to the object ball"),
        ),
        "answers:draw_answer",
    ),
    Question(
        "cushion",
        "off a cushion with running or check side",
        (
            Option("angle", "angle", "way in, from the square line", needed=True),
            *(SPEED, ROLL, Option("side", "number", "tip offset over the radius, + running, - check", "0")),
        ),
        "answers:cushion_answer",
    ),
    Question(
        "side",
        "squirt against swerve at a distance",
        (
            Option("side", "number", "tip offset over the ball's radius, + to the right", needed=True),
            *(BUTT, SPEED, Option("distance", "length", "how far away to look", needed=True)),
            Option("end-mass", "number", "ball's mass over the cue's end mass", "30"),
        ),
        "cue_answers:side_answer",
    ),
    Question(
        "close",
        "close balls: would it be a push stroke",
        (
            Option("gap", "length", "gap between the balls", needed=True),
            Option("speed", "speed", "speed of the cue at the hit", needed=True),
            Option("follow", "length", "follow-through", needed=True),
            *(BUTT, Option("fraction", "number", "ball fraction", "1")),
        ),
        "cue_answers:close_answer",
    ),
    Question(
        "rail",
        "what can be seen and struck of the white from the cushion",
        (
            Option("gap", "length", "white to cushion", "0"),
            Option("butt", "angle", "slope of the cue (default: the least for --height)"),
            Option("height", "number", "tip height wanted over the radius", "0.4"),
        ),
        "cue_answers:rail_answer",
    ),
    Question(
        "travel",
        "cue travel from arm lengths",
        (
            Option("upper-arm", "length", "shoulder point to elbow", needed=True),
            Option("forearm", "length", "elbow to fingertip", needed=True),
            Option("bend", "angle", "bend of the bridge arm, 0 straight", "30"),
            Option("backswing", "length", "length of the backswing", "250"),
            Option("bridge", "length", "V to white", "300"),
            Option("grip", "length", "grip hand to bridge hand", "1000"),
        ),
        "cue_answers:travel_answer",
    ),
    Question("pack", "into a flat tight pack and into a loose one", (SPEED, ROLL), "answers:pack_answer"),
    Question(
        "arc",
        "the white's curve after a contact",
        (FRACTION, SPEED, ROLL, Option("distance", "length", "how far away the pack lies", "500")),
        "answers:arc_answer",
    ),
    Question(
        "throw",
        "throw of the object ball by friction between the balls",
        (SPEED, CUT, ROLL, Option("side", "number", "spin about the upright over speed, + outside", "0")),
        "answers:throw_answer",
    ),
    Question(
        "sides",
        "right and wrong side of the blue: the white's way to the reds",
        (
            Option("angle", "angle", "cut angle", "35"),
            Option("distance", "length", "white to ghost ball", "300"),
        ),
        "table_answers:sides_answer",
    ),
    Question(
        "escape",
        "ways out from the wrong side of the blue",
        (
            Option("angle", "angle", "cut angle", "30"),
            Option("distance", "length", "white to ghost ball", "400"),
        ),
        "table_answers:escape_answer",
    ),
    Question(
        "play",
        "one shot on the table: paths, travel and chance",
        (
            Option("white", "words", "place of the white as X,Y in mm", needed=True),
            Option("ball", "words", "a colour on its spot, or NAME:X,Y", needed=True),
            Option("pocket", "words", '"top left", "middle right" …', needed=True),
            *(SPEED, HEIGHT, SIDE, BUTT, Option("bridge", "length", "V to white", "280")),
            Option("spread", "angle", "scatter of the cue's direction", "0.1"),
            Option("others", "words", 'other balls: "spots" or NAME:X,Y;NAME:X,Y'),
        ),
        "table_answers:play_answer",
    ),
)
