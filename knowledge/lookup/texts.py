"""What of an entry can be found: its words with weights, and the sentences whose meaning is compared."""

from __future__ import annotations

import re
from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from functools import cache
from pathlib import Path

from knowledge.entries import (
    Cause,
    Check,
    Checkpoint,
    Dilemma,
    Drill,
    Entry,
    Fault,
    Ruling,
    Term,
)
from knowledge.rulebase import kind_of, title_of

ASKED = Path(__file__).parent / "asked.txt"
SEARCHED = ("fault", "dilemma", "drill", "check", "ruling", "term", "cause", "checkpoint")
"""The kinds that look-up covers."""

TITLE, SAID, CORE, BODY = 3.0, 1.6, 1.2, 0.5
"""Weights of a word by where it stands (fitted on the first half of the development queries)."""


@dataclass(frozen=True, slots=True)
class Searchable:
    """One entry as look-up sees it.

    words: (text, weight) for the word index. sentences: title first, then what else carries its meaning.
    names: every name the entry goes by, for an exact hit. faults: the faults it is linked with, either way.
    """

    kind: str
    id: str
    title: str
    names: tuple[str, ...]
    words: tuple[tuple[str, float], ...]
    sentences: tuple[str, ...]
    faults: tuple[str, ...] = ()


@cache
def asked(path: Path = ASKED) -> dict[str, tuple[str, ...]]:
    """How people ask for an entry, by id. Raises: ValueError for a line before any id."""
    found: dict[str, list[str]] = {}
    lines: list[str] | None = None
    for line in map(str.strip, path.read_text(encoding="utf-8").splitlines()):
        if line.startswith("[") and line.endswith("]"):
            lines = found.setdefault(line[1:-1], [])
        elif line and not line.startswith("#"):
            if lines is None:
                raise ValueError(f"{path.name}: {line!r} stands before any [id]")
            lines.append(line)
    return {id_: tuple(each) for id_, each in found.items()}


def searchables(entries: Mapping[str, Entry]) -> Iterator[Searchable]:
    """Each entry of the searched kinds, in file order."""
    named_by: dict[str, list[str]] = {}
    for entry in entries.values():
        if isinstance(entry, Fault):
            for target in (*entry.drills, *entry.checks, *entry.checkpoints, *entry.causes):
                named_by.setdefault(target, []).append(entry.id)
    for entry in entries.values():
        kind = kind_of(entry)
        if kind in SEARCHED:
            linked = (*getattr(entry, "faults", ()), *named_by.get(entry.id, ()))
            yield _searchable(kind, entry, tuple(dict.fromkeys(linked)))


def _searchable(kind: str, entry: Entry, faults: tuple[str, ...]) -> Searchable:
    title = title_of(entry)
    key = re.sub(r"[._]", " ", entry.id if kind == "fault" else entry.id.split(".", 1)[1])
    said, core, body = _parts(entry)
    said = (*said, *asked().get(entry.id, ()))
    names = (title, key, *(entry.also if isinstance(entry, Term) else ()))
    words = [(title, TITLE), (key, TITLE / 2)]
    words += [(text, TITLE * 0.7) for text in names[2:]]
    words += [(text, SAID) for text in said] + [(text, CORE) for text in core]
    words += [(text, BODY) for text in body if text]
    sentences = tuple(dict.fromkeys((title, *core, *said)))
    return Searchable(kind, entry.id, title, names, tuple(words), sentences, faults)


def _parts(entry: Entry) -> tuple[tuple[str, ...], tuple[str, ...], tuple[str | None, ...]]:
    """(how people say it, what it is, everything else)."""
    said: tuple[str, ...] = ()
    core: tuple[str, ...] = ()
    body: tuple[str | None, ...] = ()
    match entry:
        case Fault():
            said, core, body = entry.says, (entry.meaning,), (entry.coach_sees, entry.goal)
        case Cause():
            core, body = (entry.what,), (entry.first_fix,)
        case Check():
            core, body = (entry.do,), tuple(outcome.result for outcome in entry.outcomes)
        case Drill():
            core, body = (entry.purpose,), (entry.setup, *entry.steps, entry.score, entry.equipment)
        case Dilemma():
            said, core = (entry.one, entry.other), (f"{entry.name}: should I?",)
            body = (entry.condition, entry.trial)
        case Ruling():
            core, body = (entry.answer,), (entry.rule, entry.penalty, entry.ask_back)
        case Term():
            core = (f"what is {entry.term}? {entry.meaning}",)
        case Checkpoint():
            core, body = (f"how much {entry.quantity}",), (entry.measure, entry.when, entry.value.text)
    return said, core, body
