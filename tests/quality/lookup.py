"""How often look-up puts the right entry first: ``python -m tests.quality.lookup [--fit] [--misses]``.

The queries are the project's own, written before the rule texts were looked at and kept apart from them.
--fit reports each half with weights fitted on the other one, and then writes weights fitted on both. Further
sets can be tried with --set FILE, one {"id", "query", "want"} a line.
"""

from __future__ import annotations

import argparse
import json
from dataclasses import dataclass
from pathlib import Path
from typing import Any

import numpy as np
from numpy.typing import NDArray

from knowledge.lookup.blend import NUMBERS, WEIGHTS, Weights, rows_of, weights_from
from knowledge.lookup.search import Lookup
from knowledge.rulebase import load_rules

QUERIES = Path(__file__).parent / "sets" / "queries.jsonl"
Vector = NDArray[np.float64]
EXPECTED: dict[str, Any] = {
    "numbers": {
        "words": 3,
        "rare_covered": 2,
        "like": 5,
        "like_short": 5,
        "recognised": 4,
        "kin_recognised": 2,
        "kin": 2,
    },
    "kinds": {
        "fault": {
            "any": 1,
            "self": 1,
            "trouble": 1,
            "why": 1,
            "means": -2,
            "measure": -1,
            "practise": -1,
            "either": -2,
            "drill": -2,
            "check": -2,
        },
        "dilemma": {"either": 3.5, "should": 2, "measure": 1},
        "drill": {"drill": 5, "practise": 4},
        "check": {"check": 4, "measure": 3, "state": 2.5},
        "ruling": {"rule": 3.5, "permission": 2.5, "match": 1, "state": 0.5},
        "term": {
            "any": -2,
            "meaning": 3,
            "means": 4,
            "one": 1,
            "named": 4,
            "asks_title": 3,
            "drill": -3,
            "practise": -3,
        },
        "cause": {"any": -1, "why": 0.5},
        "checkpoint": {"any": -0.5, "measure": 3},
    },
}
"""Where the fit starts and what pulls it back: cues and kinds as common sense has them."""


@dataclass(frozen=True)
class Query:
    """A query and the entries that may fairly stand first."""

    id: str
    query: str
    want: tuple[str, ...]


@dataclass(frozen=True)
class Case:
    """A query's candidates as one row each, and which rows are wanted."""

    rows: Vector
    wanted: Vector


def read_queries(path: Path = QUERIES) -> list[Query]:
    """The development queries, in file order."""
    items = [json.loads(line) for line in path.read_text(encoding="utf-8").splitlines() if line.strip()]
    return [Query(item["id"], item["query"], tuple(item["want"])) for item in items]


def halves(queries: list[Query]) -> tuple[list[Query], list[Query]]:
    """Every other query, and the rest."""
    return queries[0::2], queries[1::2]


def make_lookup(weights: Weights | None = None) -> Lookup:
    """Look-up as the desk builds it, with the fault recogniser."""
    from knowledge.lookup.recognised import fault_chances

    return Lookup(load_rules(), fault_ranker=fault_chances, weights=weights)


def rates(lookup: Lookup, queries: list[Query], show: bool = False) -> tuple[float, float]:
    """Shares of queries with a wanted entry first, and in the first three."""
    first = three = 0
    for query in queries:
        found = [hit.id for hit in lookup.search(query.query, limit=3)]
        right = bool(found) and found[0] in query.want
        first += right
        three += any(id_ in query.want for id_ in found)
        if show and not right:
            print(f"  {query.id} {query.query!r}: wanted {', '.join(query.want)}; found {', '.join(found)}")
    return first / len(queries), three / len(queries)


def case(lookup: Lookup, query: Query) -> Case | None:
    """The numbers that the weights work on; None when nothing wanted is among the candidates."""
    found = lookup.candidates(query.query, lookup.words.ask(query.query))
    if found is None:
        return None
    wanted = np.array([lookup.items[place].id in query.want for place in found.places], float)
    if not wanted.any():
        return None
    return Case(rows_of(found.numbers, found.kinds, found.cues).astype(float), wanted)


def fit(cases: list[Case], hold_numbers: float = 1.0, hold_kinds: float = 5.0, steps: int = 500) -> Weights:
    """Weights that make the wanted entries likely: softmax over a query's candidates, Adam.

    A ridge holds them near what anybody would expect (``EXPECTED``): a few hundred queries alone cannot teach
    what "drill for" means to eight kinds of entries.
    """
    expected = weights_from(EXPECTED).values.astype(float)
    size = len(expected)
    hold = np.r_[np.full(len(NUMBERS), hold_numbers), np.full(size - len(NUMBERS), hold_kinds)]
    weights, mean, square = expected.copy(), np.zeros(size), np.zeros(size)
    for step in range(1, steps + 1):
        slope = hold * (weights - expected)
        for each in cases:
            score = each.rows @ weights
            chance = np.exp(score - score.max())
            chance /= chance.sum()
            target = chance * each.wanted
            slope += each.rows.T @ (chance - target / target.sum())
        mean = 0.9 * mean + 0.1 * slope
        square = 0.99 * square + 0.01 * slope**2
        weights -= 0.05 * (mean / (1 - 0.9**step)) / (np.sqrt(square / (1 - 0.99**step)) + 1e-8)
    return Weights(weights.astype(np.float32))


def main() -> None:
    """Report both halves; with --fit, also the halves the other way round, and write the weights."""
    parser = argparse.ArgumentParser(description="Look-up quality on the development queries.")
    parser.add_argument("--fit", action="store_true", help="fit the weights on the first half and write them")
    parser.add_argument("--set", type=Path, default=QUERIES, metavar="FILE", help="other queries")
    parser.add_argument("--misses", action="store_true", help="show every query with a wrong first entry")
    args = parser.parse_args()
    queries = read_queries(args.set)
    one, other = halves(queries)
    if args.fit:
        lookup = make_lookup(weights_from({"numbers": {}, "kinds": {}}))
        cases = {query.id: case(lookup, query) for query in queries}
        for name, learnt, tried in (("first", other, one), ("second", one, other)):
            lookup.weights = fit([found for query in learnt if (found := cases[query.id])])
            first, three = rates(lookup, tried, args.misses)
            print(f"{name} half, weights fitted on the other: first {first:.1%}, in first three {three:.1%}")
        shipped = fit([found for found in cases.values() if found])
        WEIGHTS.write_text(json.dumps(shipped.as_json(), indent=1) + "\n", encoding="utf-8")
    lookup = make_lookup()
    for name, half in (("first", one), ("second", other)):
        first, three = rates(lookup, half, args.misses and not args.fit)
        said = f"first {first:.1%}, in first three {three:.1%}"
        print(f"{name} half, shipped weights ({len(half)} queries): {said}")


if __name__ == "__main__":
    main()
