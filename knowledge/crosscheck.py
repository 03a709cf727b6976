"""What must hold between entries: every id that is named exists and is of the right kind."""

from __future__ import annotations

import re
from collections.abc import Iterator, Mapping
from typing import NamedTuple

from rapidfuzz import process

from knowledge.entries import (
    COMMON_PRACTICE,
    FROM_MEMORY,
    Cause,
    Caution,
    Check,
    Checkpoint,
    Dilemma,
    Drill,
    Entry,
    Fault,
    Ruling,
    Source,
)
from knowledge.yamlfile import Problem

PREFIX: dict[str, type[Entry]] = {
    "cause": Cause,
    "check": Check,
    "drill": Drill,
    "checkpoint": Checkpoint,
    "dilemma": Dilemma,
    "ruling": Ruling,
    "source": Source,
}


class Where(NamedTuple):
    """The file and the lines of one entry's values."""

    file: str
    lines: dict[tuple[str | int, ...], int]


class Link(NamedTuple):
    """An id named inside an entry, where it stands, and the kinds it may be of."""

    path: tuple[str | int, ...]
    target: str
    kinds: tuple[type[Entry], ...]


def cross_check(entries: Mapping[str, Entry], where: Mapping[str, Where]) -> list[Problem]:
    """Dangling ids, links to the wrong kind, sources that do not exist, and patterns that cannot be used."""
    problems = []
    for id_, entry in entries.items():
        for link in links_of(entry):
            target = entries.get(link.target)
            if target is None or not isinstance(target, link.kinds):
                problems.append(_dangling(id_, link, entries, where[id_]))
        for number, source in enumerate(entry.source):
            if source not in (COMMON_PRACTICE, FROM_MEMORY) and not isinstance(entries.get(source), Source):
                link = Link(("source", number), source, (Source,))
                problems.append(_dangling(id_, link, entries, where[id_]))
        problems.extend(_own_prefix(id_, entry, where[id_]))
        problems.extend(_patterns(id_, entry, where[id_]))
        problems.extend(_parts_that_go_together(id_, entry, where[id_]))
        if id_ in getattr(entry, "see_also", ()):
            problems.append(
                Problem(
                    where[id_].file,
                    _line(where[id_], ("see_also",)),
                    id_,
                    "see_also names the entry itself",
                    "Remove it.",
                )
            )
    return problems


def links_of(entry: Entry) -> Iterator[Link]:
    """Every id that an entry names."""
    simple: tuple[tuple[str, tuple[type[Entry], ...]], ...] = (
        ("causes", (Cause,)),
        ("checks", (Check,)),
        ("drills", (Drill,)),
        ("checkpoints", (Checkpoint,)),
        ("faults", (Fault,)),
        ("see_also", (Fault, Dilemma, Ruling, Drill, Check)),
        ("trial_refs", (Drill, Check)),
    )
    for name, kinds in simple:
        named = getattr(entry, name, ())
        for number, target in enumerate(named):
            yield Link((name, target if isinstance(named, dict) else number), target, kinds)
    if isinstance(entry, Check):
        for number, outcome in enumerate(entry.outcomes):
            for target in outcome.signs:
                yield Link(("outcomes", number, "signs", target), target, (Cause,))
        if entry.drawn is not None:
            yield Link(("drawn",), entry.drawn, (Drill, Checkpoint))
    if isinstance(entry, Fault):
        for number, pair in enumerate(entry.inseparable):
            for target in pair:
                yield Link(("inseparable", number), target, (Cause,))


def _own_prefix(id_: str, entry: Entry, where: Where) -> list[Problem]:
    prefix = id_.split(".", 1)[0]
    if prefix in PREFIX and not isinstance(entry, PREFIX[prefix]):
        return [
            Problem(
                where.file,
                _line(where, ()),
                id_,
                f"an id of {prefix}s on a {type(entry).__name__.lower()}",
                "Use the entry's own kind as prefix.",
            )
        ]
    return []


def _patterns(id_: str, entry: Entry, where: Where) -> Iterator[Problem]:
    for number, pattern in enumerate(entry.patterns if isinstance(entry, Caution) else ()):
        try:
            re.compile(pattern)
        except (re.error, OverflowError, RecursionError) as error:
            line = _line(where, ("patterns", number))
            mend = "Write plain words, or escape ( ) [ ] ? * + . with a backslash."
            yield Problem(where.file, line, id_, f"the pattern is no regular expression: {error}", mend)


def _parts_that_go_together(id_: str, entry: Entry, where: Where) -> Iterator[Problem]:
    if isinstance(entry, Check) and entry.balls and entry.drawn is not None:
        mend = "Keep the balls of its own, or the drill or checkpoint that shows it."
        yield Problem(where.file, _line(where, ("drawn",)), id_, "names both balls and drawn", mend)
    if isinstance(entry, Dilemma) and (entry.settings or entry.hit):
        names = {name.casefold() for name in entry.settings}
        if entry.hit is None or not 2 <= len(names) == len(entry.settings):
            mend = "Name two or three different settings, and in hit what counts as a hit."
            line = _line(where, ("settings",))
            yield Problem(where.file, line, id_, "a trial at the table is half described", mend)


def _dangling(id_: str, link: Link, entries: Mapping[str, Entry], where: Where) -> Problem:
    fitting = [other for other, entry in entries.items() if isinstance(entry, link.kinds)]
    best = process.extractOne(link.target, fitting, score_cutoff=55)
    mend = (
        f"Did you mean {best[0]}?" if best else f"Add the {link.kinds[0].__name__.lower()}, or name another."
    )
    kind = " or ".join(kind.__name__.lower() for kind in link.kinds[:2])
    return Problem(
        where.file, _line(where, link.path), id_, f'{kind} "{link.target}" is not in the rules', mend
    )


def _line(where: Where, path: tuple[str | int, ...]) -> int:
    return next((where.lines[path[:end]] for end in range(len(path), -1, -1) if path[:end] in where.lines), 1)
