"""How likely each outcome of a check is, for every state of the causes it tells about.

The rule base gives likelihood ratios only: P(outcome | cause) / P(outcome | no such cause). The chances
behind them are P(outcome | states) = share(outcome) · ∏ ratio(outcome, present cause) / norm(states),
where norm makes the outcomes add up to 1. The shares are the chances when none of the causes is there,
chosen (least squares) so that norm is as near to 1 as the table of ratios allows whenever a single cause
is there: a check with the outcomes ++ and −− then is right five times in six both ways, and its ratios are
exactly 5 and 0.2. Outcomes that say nothing ("unclear") have a tenth.
"""

from __future__ import annotations

from functools import lru_cache

import numpy as np

from knowledge.causes.network import Floats
from knowledge.entries import LIKELIHOOD_RATIO, Check

UNCLEAR = 0.10
"""Share of outcomes that say nothing. Common practice, no source."""
_LEAST = 0.03


def told_causes(check: Check) -> tuple[str, ...]:
    """The causes that some outcome of the check speaks for or against, in the order of the rules."""
    return tuple(dict.fromkeys(cause for outcome in check.outcomes for cause in outcome.signs))


@lru_cache(maxsize=512)
def _table(signs: tuple[tuple[tuple[str, str], ...], ...], causes: tuple[str, ...]) -> Floats:
    ratio = np.array([[LIKELIHOOD_RATIO.get(dict(of).get(c, ""), 1.0) for c in causes] for of in signs])
    share = _shares(ratio, np.array([not of for of in signs]))
    table = np.zeros((len(signs), *(2,) * len(causes)))
    for state in np.ndindex(*(2,) * len(causes)):
        weight = share * np.prod(np.where(np.array(state, dtype=bool), ratio, 1.0), axis=1)
        table[(slice(None), *state)] = weight / weight.sum()
    return table


def outcome_table(check: Check) -> Floats:
    """P(outcome | states of told_causes): shape (outcomes, 2, 2, …), index 1 for present."""
    return _table(tuple(tuple(sorted(o.signs.items())) for o in check.outcomes), told_causes(check))


def _shares(ratio: Floats, silent: np.typing.NDArray[np.bool_]) -> Floats:
    """The outcomes' chances when no cause is there; ratio: (outcomes, causes), silent: outcomes without a
    sign."""
    share = np.zeros(len(ratio))
    if silent.all():
        return np.full(len(ratio), 1 / len(ratio))
    if silent.any():
        share[silent] = UNCLEAR / silent.sum()
    told = np.flatnonzero(~silent)
    rest = 1 - share.sum()
    even = rest / len(told)
    free = list(told)
    while free:
        # Rows: everything adds up (heavy), each cause's norm is 1, and a slight pull towards even shares.
        fixed = [n for n in range(len(ratio)) if n not in free]
        rows = np.vstack([100 * np.ones(len(free)), ratio[free].T, 0.05 * np.eye(len(free))])
        norm = 1 - ratio[fixed].T @ share[fixed]
        goal = np.concatenate([[100 * (1 - share[fixed].sum())], norm, np.full(len(free), 0.05 * even)])
        share[free] = np.linalg.lstsq(rows, goal, rcond=None)[0]
        low = [n for n in free if share[n] < _LEAST * rest]
        if not low:
            break
        share[low] = _LEAST * rest
        free = [n for n in free if n not in low]
    even_out: Floats = share / share.sum()
    return even_out
