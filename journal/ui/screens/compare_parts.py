"""What the compare screen shows: one line a pair, and the selected pair drawn side by side."""

from __future__ import annotations

from dataclasses import dataclass
from itertools import zip_longest

from textual.content import Content

from journal.progress.scores import wilson
from journal.progress.side_by_side import Matchup, Side, matchups, others
from journal.records import Player
from journal.sharing.charts import Point, Row, rows_chart, series_chart
from journal.store.work import UnitOfWork
from journal.ui.words import entry_name, plural, short
from knowledge.rulebase import RuleBase

GAP = 2
"""Characters between two columns."""


@dataclass(frozen=True, slots=True)
class Compared:
    """Everything the screen shows. names: of the drills and dilemmas. against: who is compared with, in words.

    choices: how many there are to go through. nothing: what to do when pairs is empty.
    """

    pairs: tuple[Matchup, ...]
    names: dict[str, str]
    against: str
    choices: int
    nothing: str


def gather(work: UnitOfWork, rules: RuleBase, player: Player, number: int) -> Compared:
    """number: 0 for the player's own answers, cues and tables where there are any, then the other players."""
    own = matchups(work, rules, player)
    choices: list[Player | None] = [*([None] if own else []), *others(work, player)]
    if not choices:
        nothing = (
            "nothing to compare yet: play a trial, score a drill with two cues, or one somebody else did"
        )
        return Compared((), {}, "", 0, nothing)
    other = choices[number % len(choices)]
    pairs = own if other is None else matchups(work, rules, player, other)
    names = {each.ref: entry_name(rules.entries, each.ref) for each in pairs}
    against = f"with {other.name}" if other else "own answers, cues, tables"
    return Compared(tuple(pairs), names, against, len(choices), "")


def line(pair: Matchup, names: dict[str, str], room: int) -> Content:
    """What it is, the sides' figures, and whether it can be told."""
    name_room = max(16, min(36, room - 52))
    figures = ", ".join(f"{short(side.name, 14)} {side.hits}/{side.tries}" for side in pair.sides)
    told = f"better: {pair.better}" if pair.better else "cannot tell yet"
    figures_room = max(20, room - name_room - 20)
    return Content.assemble(
        short(names[pair.ref], name_room).ljust(name_room),
        "  ",
        short(figures, figures_room).ljust(figures_room),
        ("  " + short(told, 18), "$text-muted"),
    )


def picture(pair: Matchup, names: dict[str, str], width: int, height: int) -> str:
    """The sides on one axis, what can be told, and each side through time in a column of its own."""
    rows = [
        Row(side.name, *_around(side.hits, side.tries), f"{side.hits}/{side.tries}")
        for side in pair.sides
        if side.tries
    ]
    above = [
        f"{names[pair.ref]}, hits of tries, with 95 % spread",
        *rows_chart(rows, top=1.0, percent=True, width=min(width, 100)),
        _sentence(pair.told),
    ]
    room = (width - GAP * (len(pair.sides) - 1)) // len(pair.sides)
    drawn = max(
        3, min(16, height - len(above) - 5) - 1 | 1
    )  # an odd height has a middle to write at the axis
    columns = [_through_time(side, room, drawn) for side in pair.sides]
    beside = [
        (" " * GAP).join(part.ljust(room) for part in parts).rstrip()
        for parts in zip_longest(*columns, fillvalue="")
    ]
    return "\n".join([*above, "", *beside])


def _through_time(side: Side, room: int, height: int) -> list[str]:
    points = [Point(day, *_around(hits, tries)) for day, hits, tries in side.days]
    title = short(f"{side.name}, {plural(len(points), 'day')}", room)
    return [title, *series_chart(points, top=1.0, percent=True, width=room - 9, height=height)]


def _around(hits: int, tries: int) -> tuple[float, float, float]:
    low, high = wilson(hits, tries)
    return low, hits / tries, high


def _sentence(words: str) -> str:
    return f"{words[:1].upper()}{words[1:]}".rstrip(".") + "."
