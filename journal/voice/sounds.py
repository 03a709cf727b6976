"""How alike two words sound.

A word's sounds are a string with one letter a sound, so that a fast edit distance can search them. Costs of
taking one sound for another are own judgement (common practice, no source).
"""

from __future__ import annotations

import re
from functools import lru_cache

_LETTERS = {
    "p": "p",
    "b": "b",
    "t": "t",
    "d": "d",
    "k": "k",
    "x": "k",
    "g": "g",
    "f": "f",
    "v": "v",
    "T": "T",
    "D": "D",
    "s": "s",
    "z": "z",
    "S": "S",
    "Z": "Z",
    "h": "h",
    "tS": "C",
    "dZ": "J",
    "m": "m",
    "n": "n",
    "N": "N",
    "l": "l",
    "r": "r",
    "w": "w",
    "j": "j",
    "I": "i",
    "I2": "i",
    "i": "i",
    "i:": "I",
    "E": "e",
    "a": "a",
    "aa": "A",
    "A:": "A",
    "A@": "A",
    "V": "u",
    "0": "o",
    "O:": "O",
    "O@": "O",
    "o@": "O",
    "U": "y",
    "u:": "U",
    "3:": "3",
    "3": "@",
    "@": "@",
    "a#": "@",
    "@-": "@",
    "eI": "1",
    "aI": "2",
    "OI": "4",
    "oU": "5",
    "aU": "6",
    "i@": "7",
    "i@3": "7",
    "e@": "8",
    "U@": "9",
    "aI@": "2@",
    "@L": "@l",
    "r-": "",
    "!": "",
    "": "",
}

_VOWELS = frozenset("iIeaAuoOyU3@1245678 9".replace(" ", ""))

_NEAR = {
    0.25: [
        "iI",
        "yU",
        "O o",
        "aA",
        "u@",
        "i@",
        "e@",
        "a@",
        "3@",
        "y@",
        "nN",
        "td",
        "pb",
        "kg",
        "sz",
        "fv",
        "SZ",
        "CJ",
        "TD",
        "Tf",
        "Dv",
        "Td",
        "Dd",
        "o@",
        "O5",
        "OA",
        "ou",
    ],
    0.45: [
        "mn",
        "mN",
        "ei",
        "ae",
        "au",
        "oA",
        "uA",
        "o5",
        "5U",
        "15",
        "1e",
        "12",
        "26",
        "4O",
        "65",
        "7i",
        "8e",
        "7I",
        "9U",
        "O3",
        "u3",
        "e3",
        "A3",
        "5y",
        "5u",
        "1i",
        "2A",
        "2a",
        "6a",
        "SC",
        "ZJ",
        "JC",
        "sS",
        "zZ",
        "sT",
        "zD",
        "wv",
        "rw",
        "lr",
        "lw",
        "tC",
        "dJ",
        "tk",
        "pk",
        "pt",
        "bd",
        "dg",
        "bv",
        "pf",
        "ks",
        "hk",
        "dn",
        "bm",
        "gN",
        "kt",
        "uy",
        "ea",
    ],
}
_COST = {frozenset(pair.replace(" ", "")): cost for cost, pairs in _NEAR.items() for pair in pairs}
_DROP = {
    "@": 0.35,
    "h": 0.4,
    "t": 0.5,
    "d": 0.5,
    "r": 0.6,
    "l": 0.6,
    "i": 0.6,
    "j": 0.5,
    "w": 0.6,
    "n": 0.7,
    "k": 0.8,
}

_SPELT = [
    ("tch", "C"),
    ("igh", "2"),
    ("augh", "O"),
    ("ough", "O"),
    ("eigh", "1"),
    ("qu", "kw"),
    ("ck", "k"),
    ("sh", "S"),
    ("ch", "C"),
    ("th", "T"),
    ("ph", "f"),
    ("ng", "N"),
    ("wh", "w"),
    ("kn", "n"),
    ("wr", "r"),
    ("dge", "J"),
    ("ee", "I"),
    ("ea", "I"),
    ("oo", "U"),
    ("ai", "1"),
    ("ay", "1"),
    ("oa", "5"),
    ("ow", "6"),
    ("ou", "6"),
    ("oi", "4"),
    ("oy", "4"),
    ("au", "O"),
    ("aw", "O"),
    ("al", "O"),
    ("ew", "jU"),
    ("ue", "jU"),
    ("ar", "A"),
    ("or", "O"),
    ("er", "@"),
    ("ir", "3"),
    ("ur", "3"),
    ("a", "a"),
    ("b", "b"),
    ("c", "k"),
    ("d", "d"),
    ("e", "e"),
    ("f", "f"),
    ("g", "g"),
    ("h", "h"),
    ("i", "i"),
    ("j", "J"),
    ("k", "k"),
    ("l", "l"),
    ("m", "m"),
    ("n", "n"),
    ("o", "o"),
    ("p", "p"),
    ("q", "k"),
    ("r", "r"),
    ("s", "s"),
    ("t", "t"),
    ("u", "u"),
    ("v", "v"),
    ("w", "w"),
    ("x", "ks"),
    ("y", "i"),
    ("z", "z"),
]
_SPELLING = dict(_SPELT)
_SPELT_PARTS = re.compile("|".join(part for part, _ in _SPELT))
_DOUBLED = re.compile(r"([b-df-hj-np-tv-z])\1")
_LONG = re.compile(r"([aeiou])([bcdfgklmnprstvz])e$")
_LONG_VOWEL = {"a": "1", "e": "I", "i": "2", "o": "5", "u": "jU"}


def from_espeak(line: str) -> str:
    """Sounds from espeak-ng's phoneme names (``-x --sep=_``)."""
    names = (name.strip("',%=|;") for name in re.split(r"[_ ]+", line.strip()))
    return "".join(_LETTERS.get(name, "") for name in names)


def from_spelling(word: str) -> str:
    """A guess for a word that no list holds; good enough to find what it stands for."""
    plain = _DOUBLED.sub(r"\1", re.sub("[^a-z]", "", word.lower()))
    silent = _LONG.search(plain)
    if silent:
        head, vowel, after = plain[: silent.start()], silent[1], silent[2]
        return (
            from_spelling(head) + _LONG_VOWEL[vowel] + _SPELLING[after]
            if head
            else _LONG_VOWEL[vowel] + after
        )
    return "".join(_SPELLING[part] for part in _SPELT_PARTS.findall(plain))


def cost(one: str, other: str) -> float:
    """Cost of hearing one sound for another, 0 to 1."""
    if one == other:
        return 0.0
    near = _COST.get(frozenset((one, other)))
    if near is not None:
        return near
    return 0.7 if (one in _VOWELS) == (other in _VOWELS) else 1.2


def drop(sound: str) -> float:
    """Cost of a sound lost or added."""
    return _DROP.get(sound, 0.85)


@lru_cache(maxsize=20_000)
def distance(heard: str, meant: str) -> float:
    """Least total cost of turning one string of sounds into the other (weighted edit distance)."""
    row = [0.0]
    for sound in meant:
        row.append(row[-1] + drop(sound))
    for a in heard:
        last, row = row, [row[0] + drop(a)]
        for j, b in enumerate(meant):
            row.append(min(last[j] + cost(a, b), last[j + 1] + drop(a), row[j] + drop(b)))
    return row[-1]
