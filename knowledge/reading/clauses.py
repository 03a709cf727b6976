"""Cutting a text into atoms: the smallest pieces that may speak of one matter.

Stops, commas, dashes and joining words are possible cuts, so that dictation without punctuation is cut too.
Which atoms belong together is decided later by what the classifier makes of them.
"""

from __future__ import annotations

import re
from dataclasses import dataclass

_SENTENCE_END = re.compile(r"(?<=[.!?…])[\"')\]]*\s+|\n+|(?<=[.!?])(?=[A-Z])|\s+[-–—]{1,2}\s+|;\s*|•\s*")
_SOFT = re.compile(
    r",\s*|:\s+|\(|\)\s*|/\s|"
    r"\s(?=(?:and|but|then|so|because|cause|cos|although|though|tho|while|whereas|plus|also|except|yet|or|nor|"
    r"anyway|anyways|apart|besides|otherwise|instead|um+|uh+|er+m?|well|okay|ok|oh)\b)",
    re.IGNORECASE,
)
_SUBJECT = re.compile(
    r"\s(?=(?:i|i'm|im|i've|ive|my|me|he|she|his|her|we|they|you|your|it|its|it's|the|that|this|there|both|every|each|one|two|three|last|next|today|tonight|got|kept|keep)\b)",
    re.IGNORECASE,
)
_WORD = re.compile(r"[^\W_]+(?:['’][^\W_]+)*")
_TIMES = re.compile(r"\b(?:times?|occasions?|once|twice|thrice|in all)\b", re.IGNORECASE)
_COUNT_ALONE = re.compile(
    r"\W*(?:and )?(?:about |around |maybe |roughly |at least |only |like |or )*(?:a |the )?"
    r"(?:couple|few|dozen|once|twice|thrice|once or twice|[\w-]+(?: or [\w-]+)?) ?(?:of )?(?:times?|occasions?|x|in all)?(?: or so)?\W*",
    re.IGNORECASE,
)
LONG = 12
"""Words from which an uncut run is also cut before a new subject."""


@dataclass(frozen=True, slots=True)
class Atom:
    """A piece of text: its span, its sentence's number, and its words' count."""

    start: int
    end: int
    sentence: int
    words: int


def atoms_of(text: str) -> list[Atom]:
    """The text's atoms in order; pieces without a word are left out."""
    atoms: list[Atom] = []
    for number, (start, end) in enumerate(_pieces(text, _SENTENCE_END, 0, len(text))):
        for soft_start, soft_end in _joined(text, list(_pieces(text, _SOFT, start, end))):
            cuts = [(soft_start, soft_end)]
            if _count(text, soft_start, soft_end) > LONG:
                cuts = _joined(text, list(_pieces(text, _SUBJECT, soft_start, soft_end)), least=5)
            for a, b in (_trimmed(text, *cut) for cut in cuts):
                if a < b:
                    atoms.append(Atom(a, b, number, _count(text, a, b)))
    return atoms


def _pieces(text: str, pattern: re.Pattern[str], start: int, end: int) -> list[tuple[int, int]]:
    pieces, at = [], start
    for match in pattern.finditer(text, start, end):
        if match.start() > at:
            pieces.append((at, match.start()))
        at = max(at, match.end())
    if at < end:
        pieces.append((at, end))
    return [piece for piece in pieces if _WORD.search(text, *piece)]


def _joined(text: str, pieces: list[tuple[int, int]], least: int = 2) -> list[tuple[int, int]]:
    """Pieces of fewer than ``least`` words are joined to the one before, or after at the beginning."""
    result: list[tuple[int, int]] = []
    for start, end in pieces:
        tells_how_often = (
            bool(result) and _TIMES.search(text, start, end) and _COUNT_ALONE.fullmatch(text, start, end)
        )
        if result and (
            tells_how_often or _count(text, start, end) < least or _count(text, *result[-1]) < least
        ):
            result[-1] = (result[-1][0], end)
        else:
            result.append((start, end))
    return result


def _count(text: str, start: int, end: int) -> int:
    return sum(1 for _ in _WORD.finditer(text, start, end))


def _trimmed(text: str, start: int, end: int) -> tuple[int, int]:
    while start < end and not (text[start].isalnum() or text[start] in "'\"£$("):
        start += 1
    while end > start and text[end - 1] in " \t\n,;:-–—(":
        end -= 1
    return start, end
