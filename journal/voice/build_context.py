"""Make ``context.json.gz``: how the trade speaks, and how words sound. Run by hand: ``python -m
journal.voice.build_context``.

Needs espeak-ng on the path (only its pronunciations are kept) and the bundled speech model's word list.
The trade's sentences are those of the rule base and of the recogniser's training utterances.
"""

from __future__ import annotations

import gzip
import json
import re
import subprocess
from collections import Counter
from collections.abc import Iterable, Iterator
from itertools import pairwise
from pathlib import Path
from typing import Any

import knowledge
from journal.voice.context import DATA, split_words
from journal.voice.model import bundled_folder
from journal.voice.sounds import from_espeak

_KNOWLEDGE = Path(knowledge.__file__).parent
_PREFIX = re.compile(r"^[ABWV]\|\s*")
_STATED = {"source", "id", "ref", "patterns", "author", "title", "place", "misheard"}


def sentences() -> Iterator[str]:
    """Every sentence of the trade that the project holds."""
    for path in sorted((_KNOWLEDGE / "reading" / "corpus").glob("*.txt")):
        for line in path.read_text("utf-8").splitlines():
            if line and line[0] not in "#[":
                yield _PREFIX.sub("", line)
    yield from DATA.with_name("talk.txt").read_text("utf-8").splitlines()
    import yaml

    for path in sorted((_KNOWLEDGE / "rules").rglob("*.yaml")):
        for text in _texts(yaml.safe_load(path.read_text("utf-8"))):
            yield from re.split(r"(?<=[.!?;])\s+", text)


def _texts(value: Any) -> Iterator[str]:
    if isinstance(value, str):
        yield value
    elif isinstance(value, list):
        for item in value:
            yield from _texts(item)
    elif isinstance(value, dict):
        for key, item in value.items():
            if key not in _STATED:
                yield from _texts(item)


def ordinary_words(folder: Path) -> list[str]:
    """Whole words of the model's own word list, the most frequent first."""
    pieces = (folder / "vocabulary.txt").read_text("utf-8").splitlines()
    return [piece[1:] for piece in pieces if re.fullmatch("Ġ[a-z]{2,}|Ġ[ai]", piece)]


def pronounce(words: Iterable[str]) -> dict[str, str]:
    """Each word's sounds, one letter a sound (see sounds.py)."""
    listed = list(words)
    spoken = subprocess.run(
        ["espeak-ng", "-v", "en-gb", "-x", "--sep=_", "-q"],
        input="".join(f"{word}.\n" for word in listed),
        capture_output=True,
        text=True,
        check=True,
    ).stdout.splitlines()
    if len(spoken) != len(listed):
        raise SystemExit(f"{len(listed)} words gave {len(spoken)} pronunciations")
    return {word: from_espeak(line) for word, line in zip(listed, spoken, strict=True)}


def count(texts: Iterable[str]) -> tuple[Counter[str], Counter[str], Counter[str]]:
    """How often words, pairs and triples occur; ``<`` and ``>`` are a sentence's ends."""
    ones: Counter[str] = Counter()
    twos: Counter[str] = Counter()
    threes: Counter[str] = Counter()
    for text in texts:
        words = ["<", *split_words(text), ">"]
        ones.update(words)
        twos.update(" ".join(pair) for pair in pairwise(words))
        threes.update(" ".join(three) for three in zip(words, words[1:], words[2:], strict=False))
    return ones, twos, threes


def main() -> None:
    """Write the file and say what is in it."""
    ones, twos, threes = count(sentences())
    ordinary = [w for w in ordinary_words(bundled_folder()) if len(w) > 1 or w in "ai"]
    known = dict.fromkeys([*ordinary, *(w for w in ones if re.fullmatch("[a-z']+", w))])
    found = {
        "ordinary": ordinary,
        "sounds": pronounce(known),
        "ones": dict(ones),
        "twos": dict(twos),
        "threes": {three: n for three, n in threes.items() if n > 1},
    }
    packed = gzip.compress(json.dumps(found, separators=(",", ":")).encode(), 9, mtime=0)
    DATA.write_bytes(packed)
    print({name: len(part) for name, part in found.items()}, f"{len(packed):,} bytes")


if __name__ == "__main__":
    main()
