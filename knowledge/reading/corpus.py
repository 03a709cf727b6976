"""The training utterances: what people write, by fault and status, one file a hand (a group of voices).

A section ``[fault.id]`` or ``[none]`` is followed by one utterance a line. A prefix gives the status:
``A|`` absent, ``B|`` better, ``W|`` worse, ``V|`` void (a plan, a question, advice, somebody else); none: present.

A ``.notes`` file holds whole reflections cut into clauses, one a line as ``LABEL|words``, with a blank line between
notes; LABEL is ``-`` for no fault, or a fault's id with the same letters before it and, where the words say how
often it happened, ``#`` and the count after it. ``=`` and a number after either: the words tell that figure as a
score without a total (a break, a high run, a line-up).
"""

from __future__ import annotations

import re
from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path

CORPUS = Path(__file__).parent / "corpus"
STATUSES = ("present", "absent", "better", "worse", "void")
NONE = "none"
_MARKS = {"A": "absent", "B": "better", "W": "worse", "V": "void"}


@dataclass(frozen=True, slots=True)
class Utterance:
    """One line: its words, the fault spoken of (or "none"), how it is spoken of, and the hand that wrote it."""

    text: str
    fault: str
    status: str
    hand: str
    count: int | None = None
    scores: tuple[int, ...] = ()


def read_corpus(folder: Path = CORPUS) -> list[Utterance]:
    """Every utterance of every hand, in file order.

    Raises: ValueError naming file and line where a line cannot be understood.
    """
    found: list[Utterance] = []
    for path in sorted(folder.glob("*.txt")):
        found.extend(_sections(path))
    for note in read_notes(folder):
        found.extend(note)
    return found


def read_notes(folder: Path = CORPUS) -> list[list[Utterance]]:
    """Every whole reflection, as its clauses in order. Raises: ValueError as ``read_corpus``."""
    notes: list[list[Utterance]] = []
    for path in sorted(folder.glob("*.notes")):
        notes.extend(note for note in _notes(path) if note)
    return notes


def _sections(path: Path) -> Iterator[Utterance]:
    fault = ""
    for number, raw in enumerate(path.read_text(encoding="utf-8").splitlines(), 1):
        line = raw.strip()
        if not line or line.startswith("#"):
            continue
        if line.startswith("[") and line.endswith("]"):
            fault = line[1:-1]
            continue
        if not fault:
            raise ValueError(f"{path.name}:{number}: an utterance before any [fault] section")
        mark, bar, rest = line.partition("|")
        status = _MARKS.get(mark) if bar else None
        yield Utterance(rest.strip() if status else line, fault, status or "present", path.stem)


_LABEL = re.compile(
    r"(?:(?P<mark>[ABVW]) )?(?P<fault>-|[a-z_]+\.[a-z_]+)(?: #(?P<count>\d+))?(?P<scores>(?: =\d+)*)"
)


def _notes(path: Path) -> Iterator[list[Utterance]]:
    note: list[Utterance] = []
    for number, raw in enumerate(path.read_text(encoding="utf-8").splitlines(), 1):
        line = raw.strip()
        if line.startswith("#"):
            continue
        if not line:
            yield note
            note = []
            continue
        label, bar, words = line.partition("|")
        match = _LABEL.fullmatch(label.strip())
        if not bar or not match:
            raise ValueError(f"{path.name}:{number}: a clause is written LABEL|words")
        fault = NONE if match["fault"] == "-" else match["fault"]
        count = int(match["count"]) if match["count"] else None
        status = _MARKS.get(match["mark"] or "", "present")
        scores = tuple(int(each) for each in match["scores"].replace("=", " ").split())
        note.append(Utterance(words.strip(), fault, status, path.stem, count, scores))
    yield note
