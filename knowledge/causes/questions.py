"""Which questions back would change the answer most, for a pupil nobody has seen.

Same measure as for checks: bits of information about the causes in question. Two kinds of question can be
asked in words: whether another fault shows too, and whether a deciding circumstance applies. Answers are
taken as right nine times in ten; a circumstance applies with chance 0.15 to somebody with none of its
causes (both common practice, no source).
"""

from __future__ import annotations

from collections.abc import Collection
from dataclasses import dataclass

import numpy as np

from knowledge.causes.deciding import LOWERED_BITS, RAISED_BITS, WORDS, DecidingWord
from knowledge.causes.network import Floats
from knowledge.causes.next_check import candidates, information
from knowledge.causes.posterior import Posterior
from knowledge.rulebase import RuleBase

RIGHT = 0.9
APPLIES = 0.15
MOST = 3
LEAST_BITS = 0.01


@dataclass(frozen=True, slots=True)
class Question:
    """about: a fault's id or "words.…". bits: expected information a reply brings."""

    about: str
    text: str
    bits: float


def questions_back(
    rules: RuleBase, post: Posterior, told: Collection[str] = (), most: int = MOST
) -> list[Question]:
    """At most ``most`` questions, the most telling first, no two about the same causes.

    told: faults and deciding words that were mentioned already.
    """
    about = candidates(post)
    known = {*post.findings.faults, *post.findings.reasons, *told}
    wanted: list[tuple[str, str, tuple[str, ...], Floats]] = []
    for fault in rules.faults.values():
        group = tuple(cause for cause in fault.causes if cause in about)
        if group and fault.id not in known:
            text = f"Does this happen too: {fault.name}? ({fault.meaning})"
            wanted.append((fault.id, text, group, _shows(post, fault.id, group)))
    for word in WORDS:
        group = tuple(cause for cause in post.linked if cause in about)
        if group and f"words.{word.id}" not in known and set(word.causes) & set(post.linked):
            wanted.append((f"words.{word.id}", _circumstance(word), group, _applies(word, group)))
    joints = post.joints([group for _, _, group, _ in wanted])
    rated = [
        (information(table, joint), id_, text, group)
        for (id_, text, group, table), joint in zip(wanted, joints, strict=True)
    ]
    rated.sort(key=lambda row: (-round(row[0], 6), row[1]))
    chosen: list[Question] = []
    covered: list[set[str]] = []
    for bits, id_, text, group in rated:
        if len(chosen) < most and bits >= LEAST_BITS and set(group) not in covered:
            chosen.append(Question(id_, text, bits))
            covered.append(set(group))
    return chosen


def _circumstance(word: DecidingWord) -> str:
    said = "since a new tip was put on" if word.id == "tip" else word.says
    return f"Is it so all the time, or {said}?"


def _shows(post: Posterior, fault: str, group: tuple[str, ...]) -> Floats:
    """P(no, yes | states of the group): the fault's other causes are averaged out at their own chances."""
    network = post.network
    row = network.fault_at[fault]
    quiet = np.full((2,) * len(group), 1 - network.leak[row])
    for cause in network.causes_of(fault):
        strength = network.strength[row, network.cause_at[cause]]
        if cause in group:
            shape = [1] * len(group)
            shape[group.index(cause)] = 2
            quiet = quiet * np.array([1.0, 1 - strength]).reshape(shape)
        else:
            quiet = quiet * (1 - post.chance[cause] * strength)
    yes = RIGHT * (1 - quiet) + (1 - RIGHT) * quiet
    return np.stack([1 - yes, yes])


def _applies(word: DecidingWord, group: tuple[str, ...]) -> Floats:
    yes = np.full((2,) * len(group), APPLIES)
    for axis, cause in enumerate(group):
        shape = [1] * len(group)
        shape[axis] = 2
        bits = RAISED_BITS if cause in word.causes else LOWERED_BITS
        yes = yes * np.array([1.0, 2.0**bits]).reshape(shape)
    yes = np.clip(yes, 0.01, 0.95)
    return np.stack([1 - yes, yes])
