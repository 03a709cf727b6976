"""Exact sums over all sets of causes, fault by fault and without a single subtraction of chances.

Quickscore (D. Heckerman, UAI 1989) adds 2^(present faults) terms of alternating sign: slow beyond some
fifteen faults, and the digits that survive the cancellation become few when the reported faults are an
unlikely set. Here the same sum is done one cause at a time over the states "fault already set off or not
yet", keeping only the faults that still have a cause to come. Every term is positive, so the result is as
exact as the machine's numbers, and the cost is 2^width, where width (the most faults open at once) is
about 7 for 15 present faults of the shipped rules.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from functools import lru_cache

import numpy as np
from numpy.typing import NDArray

from knowledge.causes.network import Floats

Bools = NDArray[np.bool_]


@dataclass(frozen=True)
class Step:
    """Take in one cause: first open some faults, then mix the cause in, then close the faults it was the
    last of.

    cause: column; None when faults with private causes only are opened and closed. opens, closes: rows.
    """

    cause: int | None
    opens: tuple[int, ...]
    children: tuple[int, ...]
    closes: tuple[int, ...]


@dataclass(frozen=True)
class Route:
    """In which order to take the causes. width: the most faults open at once. private: row to causes it
    alone has."""

    steps: tuple[Step, ...]
    private: tuple[tuple[int, ...], ...]
    width: int


def route(strength: Floats) -> Route:
    """A greedy order of the causes that keeps few faults open; strength: (faults, causes)."""
    linked: Bools = strength > 0
    return _route(linked.tobytes(), strength.shape)


@lru_cache(maxsize=128)
def _route(links: bytes, shape: tuple[int, int]) -> Route:
    """Between two answers of one player the links stay the same, so the route is kept."""
    linked = np.frombuffer(links, dtype=np.bool_).reshape(shape)
    children = {c: set(map(int, np.flatnonzero(linked[:, c]))) for c in range(shape[1]) if linked[:, c].any()}
    private = tuple(
        tuple(c for c in map(int, np.flatnonzero(row)) if len(children[c]) == 1) for row in linked
    )
    shared = {c: faults for c, faults in children.items() if len(faults) > 1}
    waiting = {f: {c for c in shared if f in shared[c]} for f in range(shape[0])}
    steps = [Step(None, (f,), (), (f,)) for f, causes in waiting.items() if not causes]
    opened: set[int] = set()
    width = 1 if steps else 0
    while shared:
        cause = min(shared, key=lambda c: _price(shared[c], opened, waiting, c))
        faults = shared.pop(cause)
        opens = tuple(sorted(faults - opened))
        opened |= faults
        width = max(width, len(opened))
        for fault in faults:
            waiting[fault].discard(cause)
        closes = tuple(sorted(f for f in opened if not waiting[f]))
        opened -= set(closes)
        steps.append(Step(cause, opens, tuple(sorted(faults)), closes))
    return Route(tuple(steps), private, width)


def _price(
    faults: set[int], opened: set[int], waiting: dict[int, set[int]], cause: int
) -> tuple[int, int, int, int]:
    new = len(faults - opened)
    done = sum(waiting[fault] == {cause} for fault in faults)
    return new - done, new, -len(faults), cause


class Sums:
    """Weighted sums over all cause sets for a batch of priors and findings.

    strength: (faults, causes), leak: (faults,). A finding on fault f is a pair of likelihoods (when it
    shows, when not).
    """

    def __init__(self, strength: Floats, leak: Floats, way: Route | None = None) -> None:
        self.strength, self.leak = strength, leak
        self.route = way or route(strength)

    def evidence(self, prior: Floats, shows: Floats, hides: Floats) -> Floats:
        """P(findings) for each of the batch; prior: (batch, causes), shows and hides: (batch, faults)."""
        table, _ = self._forward(prior, shows, hides, keep=False)
        return table[:, 0]

    def marginals(self, prior: Floats, shows: Floats, hides: Floats) -> tuple[Floats, Floats]:
        """(P(findings) (batch,), P(cause present | findings) (batch, causes)). Arguments as for evidence."""
        table, trail = self._forward(prior, shows, hides, keep=True)
        result = prior.copy()
        slope = np.ones((len(prior), 1))
        opened: list[int] = []
        for step, before in zip(reversed(self.route.steps), reversed(trail), strict=True):
            for fault in reversed(step.closes):
                opened = sorted({*opened, fault}, key=before.axes.index)
                slope = _unclose(slope, opened.index(fault), shows[:, fault], hides[:, fault])
            if step.cause is not None:
                slope = self._unmix(step, before, slope, prior, result)
            for fault in reversed(step.opens):
                slope = self._unopen(fault, before, slope, opened, prior, result)
                opened.remove(fault)
        return table[:, 0], result

    def _forward(
        self, prior: Floats, shows: Floats, hides: Floats, *, keep: bool
    ) -> tuple[Floats, list[_Before]]:
        table = np.ones((len(prior), 1))
        axes: list[int] = []
        trail: list[_Before] = []
        for step in self.route.steps:
            bare: dict[int, Floats] = {}
            for fault in step.opens:
                bare[fault] = table
                table = _open(table, self._quiet(fault, prior))
                axes.append(fault)
            mixed = table
            if step.cause is not None:
                chance = prior[:, step.cause, None]
                mixed = table * (1 - chance) + chance * self._set_off(table, step, axes)
            if keep:
                trail.append(_Before(table, bare, tuple(axes)))
            table = mixed
            for fault in step.closes:
                table = _close(table, axes.index(fault), shows[:, fault], hides[:, fault])
                axes.remove(fault)
        return table, trail

    def _quiet(self, fault: int, prior: Floats) -> Floats:
        """(batch,): chance that neither the leak nor a private cause sets the fault off."""
        private = list(self.route.private[fault])
        rest: Floats = (1 - self.leak[fault]) * np.prod(
            1 - prior[:, private] * self.strength[fault, private], axis=1
        )
        return rest

    def _set_off(self, table: Floats, step: Step, axes: Sequence[int]) -> Floats:
        """What a present cause does: each of its faults that is not set off yet is, with the link's
        chance."""
        moved = table.copy()
        for fault in step.children:
            view = _by_axis(moved, axes.index(fault))
            link = self.strength[fault, step.cause]
            view[:, :, 1] += link * view[:, :, 0]
            view[:, :, 0] *= 1 - link
        return moved

    def _unmix(self, step: Step, before: _Before, slope: Floats, prior: Floats, result: Floats) -> Floats:
        chance = prior[:, step.cause, None]
        back = slope.copy()
        for fault in step.children:
            view = _by_axis(back, before.axes.index(fault))
            link = self.strength[fault, step.cause]
            view[:, :, 0] *= 1 - link
            view[:, :, 0] += link * view[:, :, 1]
        there = chance[:, 0] * np.einsum("bs,bs->b", back, before.table)
        gone = (1 - chance[:, 0]) * np.einsum("bs,bs->b", slope, before.table)
        result[:, step.cause] = _share(there, gone, chance[:, 0])
        mixed: Floats = (1 - chance) * slope + chance * back
        return mixed

    def _unopen(
        self, fault: int, before: _Before, slope: Floats, opened: Sequence[int], prior: Floats, result: Floats
    ) -> Floats:
        view = _by_axis(slope, opened.index(fault))
        table = before.bare[fault]
        # A newly opened fault is the last axis, so its two slopes are sums over everything before it.
        off = np.einsum("bs,bs->b", view[:, :, 0, 0], table)
        on = np.einsum("bs,bs->b", view[:, :, 1, 0], table)
        quiet = self._quiet(fault, prior)
        for cause in self.route.private[fault]:
            link, chance = self.strength[fault, cause], prior[:, cause]
            without = quiet / (1 - chance * link)
            there = chance * (off * without * (1 - link) + on * (1 - without * (1 - link)))
            gone = (1 - chance) * (off * without + on * (1 - without))
            result[:, cause] = _share(there, gone, chance)
        rest: Floats = view[:, :, 0, 0] * quiet[:, None] + view[:, :, 1, 0] * (1 - quiet[:, None])
        return rest


@dataclass(frozen=True)
class _Before:
    """table: the state before a cause is mixed in. bare: before each opening. axes: the open faults, first
    to last."""

    table: Floats
    bare: dict[int, Floats]
    axes: tuple[int, ...]


def _by_axis(table: Floats, axis: int) -> Floats:
    return table.reshape(len(table), 1 << axis, 2, -1)


def _open(table: Floats, quiet: Floats) -> Floats:
    pair = np.stack([quiet, 1 - quiet], axis=1)
    return (table[:, :, None] * pair[:, None, :]).reshape(len(table), -1)


def _close(table: Floats, axis: int, shows: Floats, hides: Floats) -> Floats:
    view = _by_axis(table, axis)
    closed: Floats = view[:, :, 0] * hides[:, None, None] + view[:, :, 1] * shows[:, None, None]
    return closed.reshape(len(table), -1)


def _unclose(slope: Floats, axis: int, shows: Floats, hides: Floats) -> Floats:
    view = slope.reshape(len(slope), 1 << axis, -1)
    pair = np.stack([view * hides[:, None, None], view * shows[:, None, None]], axis=2)
    return pair.reshape(len(slope), -1)


def _share(there: Floats, gone: Floats, before: Floats) -> Floats:
    total = there + gone
    return np.divide(there, total, out=before.copy(), where=total > 0)
