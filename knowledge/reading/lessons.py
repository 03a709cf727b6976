"""The training documents of the fine-tuned encoder: texts with labelled clauses, clause starts and numbers.

A document is a whole reflection, or a few single utterances of one or several hands set one after another. Its words
come roughened, as from a phone or a dictation.
"""

from __future__ import annotations

import random
import re
from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from knowledge.reading.corpus import NONE, Utterance
from knowledge.reading.figures import lone_numbers
from knowledge.reading.quantities import quantities_in, words_in

PLAIN = "ten"
"""The hand of short, plain trade words; it comes up in every pass."""
JOINTS = (". ", " ", ", ", "; ", ", and ", " and ", ", but ", " but ", " then ")
PLAIN_JOINTS = (" ", " ", " and ", " but ", " and then ")
LONG = 6
"""Words from which a part of a clause is taken to tell the same."""
HELD_OUT, HELD_OUT_SINGLES = 8, 16
"""Every eighth reflection and every sixteenth single utterance are kept from the encoder and the heads: how sure a
sighting is and the thresholds are fitted on those."""


@dataclass(frozen=True, slots=True)
class Clause:
    """Characters [start, end) of the document, what they speak of and how."""

    start: int
    end: int
    fault: str
    status: str


@dataclass(frozen=True, slots=True)
class Mark:
    """Characters [start, end) of the document, a word or a number, and whether it is what is looked for."""

    start: int
    end: int
    holds: bool


@dataclass(frozen=True, slots=True)
class Document:
    """A text, its clauses, its words (which begin a clause?), its numbers (which tell how often?) and those without
    unit or total (which are scores?)."""

    text: str
    clauses: tuple[Clause, ...]
    words: tuple[Mark, ...]
    numbers: tuple[Mark, ...]
    scores: tuple[Mark, ...]


def split_notes(notes: Sequence[list[Utterance]]) -> tuple[list[list[Utterance]], list[list[Utterance]]]:
    """The reflections learnt from and those held out."""
    learnt = [note for number, note in enumerate(notes) if number % HELD_OUT]
    held = [note for number, note in enumerate(notes) if not number % HELD_OUT]
    return learnt, held


def document(pieces: Sequence[Utterance], joint: str = " ", parts: random.Random | None = None) -> Document:
    """One text of the pieces. parts: draws for half of the longer ones a part that tells the same too."""
    text, clauses, words, numbers, scores = "", list[Clause](), list[Mark](), list[Mark](), list[Mark]()
    for piece in pieces:
        if text:
            text += joint if joint == " " or text[-1].isalnum() else " "
        at = len(text)
        clauses.append(Clause(at, at + len(piece.text), piece.fault, piece.status))
        inner = words_in(piece.text)
        words.extend(Mark(at + a, at + b, n == 0) for n, (a, b) in enumerate(inner))
        if parts is not None and len(inner) >= LONG and parts.random() < 0.5:
            size = parts.randrange((len(inner) + 1) // 2, len(inner))
            first = parts.randrange(len(inner) - size + 1)
            start, end = inner[first][0], inner[first + size - 1][1]
            clauses.append(Clause(at + start, at + end, piece.fault, piece.status))
        numbers.extend(_numbers(piece, at))
        scores.extend(_scores(piece, at))
        text += piece.text
    return Document(text, tuple(clauses), tuple(words), tuple(numbers), tuple(scores))


def _is_note(piece: Utterance) -> bool:
    """Figures are labelled in the reflections only."""
    return piece.hand.startswith("reflections")


def _numbers(piece: Utterance, at: int) -> Iterator[Mark]:
    """The numbers of a reflection's piece; none where the count had to be worked out."""
    numbers = list(quantities_in(piece.text))
    if not _is_note(piece) or (piece.count and piece.count not in {n.value for n in numbers}):
        return
    for number in numbers:
        yield Mark(at + number.start, at + number.end, number.value == piece.count)


def _scores(piece: Utterance, at: int) -> Iterator[Mark]:
    """The lone numbers of a reflection's piece."""
    if _is_note(piece):
        for number in lone_numbers(piece.text):
            yield Mark(at + number.start, at + number.end, int(number.value) in piece.scores)


def chat_of(notes: Sequence[list[Utterance]]) -> list[Utterance]:
    """The reflections' clauses that speak of no fault, in order."""
    return [piece for note in notes for piece in note if piece.fault == NONE]


def mixed(
    singles: Sequence[Utterance], notes: Sequence[list[Utterance]], rng: random.Random
) -> Iterator[list[Utterance]]:
    """Every single utterance once, alone or with others; half of the time among clauses of reflections that speak of
    no fault: a score or a word about the weather beside it says nothing of how a fault stands.
    """
    chat = chat_of(notes)
    order = rng.sample(list(singles), len(singles))
    while order:
        size = rng.choice((1, 1, 1, 2, 3, 4, 6, 8))
        group, order = order[:size], order[size:]
        if chat and rng.random() < 0.5:
            for piece in rng.choices(chat, k=rng.randrange(1, size + 2)):
                group.insert(rng.randrange(len(group) + 1), piece)
        yield group


def epoch(
    singles: Sequence[Utterance], notes: Sequence[list[Utterance]], rng: random.Random
) -> Iterator[Document]:
    """The documents of one pass: half of the single utterances, some alone, some among others, and every reflection.

    Of three reflections in ten only a run of their clauses is taken, so that contexts vary.
    """
    order = rng.sample(list(singles), len(singles) // 2)
    order += [each for each in singles if each.hand == PLAIN] * 2
    for group in mixed(order, notes, rng):
        plain = rng.random() < 0.3
        joint = rng.choice(PLAIN_JOINTS if plain else JOINTS)
        yield document([roughened(each, rng, plain) for each in group], joint, rng)
    for note in notes:
        plain = rng.random() < 0.3
        first, last = 0, len(note)
        if rng.random() < 0.3 and len(note) > 4:
            first = rng.randrange(len(note) - 3)
            last = rng.randrange(first + 3, len(note) + 1)
        yield document([roughened(each, rng, plain) for each in note[first:last]], parts=rng)


def roughened(piece: Utterance, rng: random.Random, plain: bool) -> Utterance:
    """The same words with case and stops lost (plain), now and then a typing slip or a word lost."""
    text = re.sub(r"[.,;:!?\"]", "", piece.text.lower()).strip() if plain else piece.text
    words = text.split()
    if len(words) > 4 and rng.random() < 0.12:
        words.pop(rng.randrange(len(words)))
    if words and rng.random() < 0.12:
        at = rng.randrange(len(words))
        words[at] = _slip(words[at], rng)
    return Utterance(
        " ".join(words) or piece.text, piece.fault, piece.status, piece.hand, piece.count, piece.scores
    )


def _slip(word: str, rng: random.Random) -> str:
    if len(word) <= 3:
        return word
    spot = rng.randrange(1, len(word) - 1)
    return rng.choice(
        [
            word[:spot] + word[spot + 1] + word[spot] + word[spot + 2 :],
            word[:spot] + word[spot + 1 :],
            word[:spot] + word[spot] + word[spot:],
        ]
    )


def topics(utterances: Sequence[Utterance]) -> list[str]:
    """The classes of the topic head: every fault in order of its id, then none."""
    return [*sorted({u.fault for u in utterances if u.fault != NONE}), NONE]
