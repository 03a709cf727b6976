"""The types of the rule base. Everything is frozen; unknown keys are refused.

Numbers in a text are starting points of the trade unless the entry's ``source`` names a publication.
Lengths are millimetres on the cushion-face rectangle: x 0-1778 from the left seen from baulk,
y 0-3569 from the baulk cushion. Times are minutes.
"""

from __future__ import annotations

from typing import Annotated, Literal

from pydantic import BaseModel, ConfigDict, Field, StringConstraints

Text = Annotated[str, StringConstraints(strip_whitespace=True, min_length=1, max_length=4000)]
Id = Annotated[str, StringConstraints(pattern=r"^[a-z]+(\.[a-z0-9_]+)+$", max_length=80)]
SourceRef = Annotated[str, StringConstraints(min_length=1, max_length=200)]
Strength = Literal["mostly", "often", "sometimes", "rare"]
Sign = Literal["++", "+", "-", "--"]
Need = Literal["alone", "partner", "phone", "coach"]
Pocket = Literal["bottom left", "bottom right", "middle left", "middle right", "top left", "top right"]
Setting = Annotated[str, StringConstraints(strip_whitespace=True, min_length=1, max_length=20)]
"""One thing to try in a trial, short enough to be read from two metres away."""

COMMON_PRACTICE = "common practice, no source"
FROM_MEMORY = "from memory"

STRENGTH: dict[str, float] = {"mostly": 0.80, "often": 0.55, "sometimes": 0.30, "rare": 0.10}
"""Chance that a cause alone makes the fault show (noisy-OR link). Common practice, no source."""

LIKELIHOOD_RATIO: dict[str, float] = {"++": 5.0, "+": 2.0, "-": 0.5, "--": 0.2}
"""Likelihood ratio of a check outcome for a cause. Common practice, no source."""


class Part(BaseModel):
    """A frozen piece of an entry that refuses keys it does not know."""

    model_config = ConfigDict(frozen=True, extra="forbid")


class Entry(Part):
    """Something with an id of its own.

    source: source ids, "common practice, no source" or "from memory"; needed where a number is stated.
    own: set by the loader when the entry comes from a coach's own folder.
    """

    id: Id
    source: tuple[SourceRef, ...] = ()
    own: bool = False


class Fault(Entry):
    """A symptom a player can notice or a fault a coach can see.

    says: how players put it, each a recognised example. not_this: close, but another fault or none.
    causes: cause id to strength. drills: drill id to why. inseparable: pairs of causes that no check separates.
    """

    name: Text
    meaning: Text
    says: tuple[Text, ...] = Field(min_length=8)
    not_this: tuple[Text, ...] = ()
    coach_sees: Text | None = None
    causes: dict[Id, Strength] = {}
    checks: tuple[Id, ...] = ()
    drills: dict[Id, Text] = {}
    checkpoints: tuple[Id, ...] = ()
    goal: Text | None = None
    caution: Text | None = None
    see_also: tuple[Id, ...] = ()
    inseparable: tuple[tuple[Id, Id], ...] = ()
    evidence: Text | None = None

    @property
    def area(self) -> str:
        """First part of the id: stance, head, eyes, bridge …"""
        return self.id.split(".", 1)[0]


class Cause(Entry):
    """A guess until a check has confirmed it.

    base: rough chance in [0, 1] that it is present in a club player who asks for help.
    group: eyes, stance, bridge, grip, delivery, contact, tactics, mind or equipment.
    """

    name: Text
    what: Text
    base: float = Field(gt=0, lt=1)
    group: Text
    first_fix: Text
    drills: tuple[Id, ...] = ()


class Outcome(Part):
    """One result of a check: what happened and what it says about causes."""

    id: Annotated[str, StringConstraints(pattern=r"^[a-z0-9_]+$", max_length=40)]
    result: Text
    signs: dict[Id, Sign] = {}
    note: Text | None = None


class Ball(Part):
    """A ball or mark on the table; x, y in millimetres, see the module's note on the frame."""

    role: Literal[
        "white", "object", "red", "yellow", "green", "brown", "blue", "pink", "black", "mark", "block"
    ]
    x: float = Field(ge=0, le=1778)
    y: float = Field(ge=0, le=3569)
    label: str | None = None


class Check(Entry):
    """Something to do for at most ten minutes or so that moves causes apart.

    balls, pocket: the table as the check lays it out. drawn: a drill with the same layout, or a checkpoint that
    has a picture; never both.
    """

    name: Text
    do: Text
    minutes: float = Field(gt=0, le=60)
    needs: tuple[Need, ...] = Field(min_length=1)
    at_table: bool = True
    balls: tuple[Ball, ...] = ()
    pocket: Pocket | None = None
    drawn: Id | None = None
    outcomes: tuple[Outcome, ...] = Field(min_length=1)


class Target(Part):
    """What to reach at one level: words, and hits of tries where it can be counted."""

    text: Text
    hits: int | None = Field(default=None, ge=0)
    of: int | None = Field(default=None, ge=1)


class Levels(Part):
    """Targets for best breaks under 20, 20 to 49, and 50 or more (common practice, no source)."""

    beginner: Target
    club: Target
    strong: Target


class Drill(Entry):
    """A practice task with its positions and three levels of target."""

    name: Text
    purpose: Text
    setup: Text
    balls: tuple[Ball, ...] = ()
    pocket: Pocket | None = None
    steps: tuple[Text, ...] = Field(min_length=1)
    score: Text
    target: Levels
    minutes: float = Field(gt=0, le=60)
    people: Literal["solo", "partner", "either"]
    phone: bool = False
    people_note: Text | None = None
    equipment: Text | None = None
    at_table: bool = True
    faults: tuple[Id, ...] = ()
    caution: Text | None = None
    evidence: Text | None = None


class Value(Part):
    """A checkpoint's number: a ratio of a body measure, or a plain range with its unit."""

    ratio: float | None = Field(default=None, gt=0)
    of: Literal["hand length", "shoulder breadth", "height", "forearm length"] | None = None
    low: float | None = None
    high: float | None = None
    unit: Literal["mm", "deg", "s", "count", "percent"] | None = None
    text: Text | None = None


class Checkpoint(Entry):
    """A quantity to hold: its value, and how to measure it with a tape, a phone or a partner."""

    quantity: Text
    value: Value
    when: Text | None = None
    measure: Text


class Dilemma(Entry):
    """Advice that pulls two ways, the condition that decides and the trial that settles it.

    settings, hit: what is tried at the table in shuffled order, and what counts as a hit; neither where the
    trial takes weeks or is not counted try by try.
    """

    name: Text
    one: Text
    other: Text
    decides: tuple[Literal["shot", "body", "level", "test", "time", "false"], ...] = Field(min_length=1)
    condition: Text
    trial: Text
    trial_refs: tuple[Id, ...] = ()
    settings: tuple[Setting, ...] = Field(default=(), max_length=3)
    hit: Text | None = None
    faults: tuple[Id, ...] = ()


class Ruling(Entry):
    """A rule in plain words; certainty tells how far it was verified. Not the official text."""

    question: Text
    answer: Text
    rule: Text
    certainty: Text
    penalty: Text | None = None
    ask_back: Text | None = None
    faults: tuple[Id, ...] = ()


class Term(Entry):
    """A word of the trade, its meaning, its synonyms and its usual mis-hearings in dictation."""

    term: Text
    also: tuple[Text, ...] = ()
    meaning: Text
    misheard: tuple[Text, ...] = ()


class Caution(Entry):
    """A sign in somebody's words that calls for a stop and a referral; patterns are regular expressions."""

    name: Text
    level: Literal["emergency", "doctor", "physiotherapist", "mind", "watch"]
    patterns: tuple[Text, ...] = Field(min_length=1)
    advice: Text


class Source(Entry):
    """A publication: author, title, year, place, and what it says with its limit."""

    author: Text
    title: Text
    year: int | None = None
    place: Text
    says: Text | None = None
    limit: Text | None = None


KINDS: dict[str, type[Entry]] = {
    "fault": Fault,
    "cause": Cause,
    "check": Check,
    "drill": Drill,
    "checkpoint": Checkpoint,
    "dilemma": Dilemma,
    "ruling": Ruling,
    "term": Term,
    "caution": Caution,
    "source": Source,
}
