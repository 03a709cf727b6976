"""How sure a sighting is: the arithmetic against scikit-learn, and what the rest of a note does to it."""

from __future__ import annotations

import numpy as np
import pytest
from sklearn.linear_model import LogisticRegression
from sklearn.preprocessing import PolynomialFeatures

from knowledge.reading.clauses import Clause
from knowledge.reading.corpus import NONE
from knowledge.reading.evidence import FAR, NAMES, Sureness, evidence, products, shipped_sureness

TOPICS = ["head.lifts", "grip.tight", NONE]


def clause(start: int, end: int, topic: list[float], status: list[float]) -> Clause:
    return Clause(start, end, np.array(topic, np.float32), np.array(status, np.float32), None)


LIFTS = clause(0, 12, [0.8, 0.1, 0.1], [0.9, 0.04, 0.03, 0.02, 0.01])
CHAT = clause(13, 20, [0.05, 0.05, 0.9], [0.2, 0.2, 0.2, 0.2, 0.2])
GRIPS = clause(21, 30, [0.1, 0.85, 0.05], [0.1, 0.8, 0.04, 0.03, 0.03])
TEXT = "head came up good pies grip soft"


def test_products_are_the_second_degree_terms_of_scikit_learn():
    rows = np.random.default_rng(3).normal(size=(20, 5)).clip(-FAR, FAR)
    reference = PolynomialFeatures(2, include_bias=False).fit_transform(rows)
    assert np.allclose(products(rows), reference)


def test_sureness_is_the_regression_of_scikit_learn():
    rng = np.random.default_rng(5)
    rows = rng.normal(size=(200, len(NAMES)))
    right = rng.random(200) < 1 / (1 + np.exp(-2 * rows[:, 0]))
    machine = LogisticRegression(C=0.02).fit(products(rows), right)
    sure = Sureness(
        {
            "there": 0.5,
            "other": 0.4,
            "mean": [0.0] * len(NAMES),
            "scale": [1.0] * len(NAMES),
            "weights": machine.coef_[0],
            "offset": machine.intercept_[0],
        }
    )
    assert np.allclose(sure(rows), machine.predict_proba(products(rows))[:, 1])
    assert sure.tells("worse", 0.5)
    assert not sure.tells("present", 0.49)
    assert sure.tells("absent", 0.4)


def test_a_row_tells_of_its_clause_and_of_the_others():
    first, chat, last = (
        dict(zip(NAMES, row, strict=True)) for row in evidence(TEXT, [LIFTS, CHAT, GRIPS], TOPICS)
    )
    assert first["there"] == 1
    assert last["there"] == 0
    assert first["words"] == pytest.approx(np.sqrt(3))
    assert first["said elsewhere"] == pytest.approx(0.1)
    trouble = [0.9 * 0.92, 0.1 * 0.4, 0.95 * 0.13]
    assert last["trouble elsewhere"] == pytest.approx((trouble[0] + trouble[1]) / 2, abs=1e-6)
    assert last["most trouble elsewhere"] == pytest.approx(trouble[0], abs=1e-6)
    assert first["trouble next to it"] == pytest.approx(trouble[1], abs=1e-6)
    assert chat["trouble next to it"] == pytest.approx((trouble[0] + trouble[2]) / 2, abs=1e-6)


def test_a_clause_alone_has_nothing_round_it():
    (row,) = evidence(TEXT[:12], [LIFTS], TOPICS)
    shown = dict(zip(NAMES, row, strict=True))
    assert {shown[name] for name in NAMES if "else" in name or "next" in name} == {0.5}
    assert evidence("", [], TOPICS).shape == (0, len(NAMES))


def test_a_surer_topic_is_never_less_sure_by_itself():
    doubtful = clause(0, 12, [0.45, 0.4, 0.15], [0.6, 0.2, 0.1, 0.05, 0.05])
    sure = shipped_sureness()
    assert sure(evidence(TEXT[:12], [LIFTS], TOPICS))[0] > sure(evidence(TEXT[:12], [doubtful], TOPICS))[0]
