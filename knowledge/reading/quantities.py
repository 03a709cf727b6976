"""Numbers that may tell how often: "five times" 5, "three or four" 3, "a couple" 2, "about a dozen" 12.

Which of them do tell it is for the recogniser: "six of the sixty" holds two numbers and one count.
"""

from __future__ import annotations

import re
from collections.abc import Iterator

from knowledge.reading.numbers import NUMBER, Number, lowered, value_of

_FIXED = {
    r"half[ -]a[ -]dozen|half[ -]dozen": 6,
    r"a couple of dozen|two dozen": 24,
    r"(?:a |the |one )?(?:baker's )?dozen": 12,
    r"(?:a |the )?(?:couple|brace|pair)|coupla|once or twice more|both": 2,
    r"a hat-?trick|thrice": 3,
    r"once or twice|once": 1,
    r"twice": 2,
}
_ANY = re.compile(
    "|".join(
        [
            *(rf"(?P<f{n}>\b(?:{words})\b)" for n, words in enumerate(_FIXED)),
            rf"(?<![\w/:.,£$€])(?P<low>{NUMBER})(?: (?:or|to) {NUMBER}| ?[-–] ?\d+)\b(?![/:])",
            rf"(?<![\w/:.,£$€])(?:x ?|× ?)?(?P<n>{NUMBER})(?:x|×)?(?![\w:])",
        ]
    )
)
_VALUES = tuple(_FIXED.values())
MOST = 500


def quantities_in(text: str) -> Iterator[Number]:
    """Every number in a text that might be a count, in order: a whole value from 1 to 500 and its span.

    Of a range the lower end counts ("three or four": 3).
    """
    for match in _ANY.finditer(lowered(text)):
        kind = match.lastgroup or ""
        value: float | None = (
            _VALUES[int(kind[1:])] if kind[:1] == "f" else value_of(match["low"] or match["n"])
        )
        if value is not None and value % 1 == 0 and 0 < value <= MOST:
            yield Number(value, match.start(), match.end())


_WORD = re.compile(r"[^\W_]+(?:['’][^\W_]+)*")


def words_in(text: str) -> list[tuple[int, int]]:
    """The span of each word; an apostrophe stays inside its word."""
    return [match.span() for match in _WORD.finditer(text)]
