"""The shipped weights come from the utterances in the repository, and from nothing else."""

from __future__ import annotations

import json
from collections import Counter
from pathlib import Path

import pytest

from knowledge.reading.classifier import WEIGHTS
from knowledge.reading.corpus import NONE, STATUSES, read_corpus
from knowledge.reading.train import difference, lessons, train
from knowledge.rulebase import load_rules

SETS = Path(__file__).parents[1] / "quality" / "sets"


def test_training_again_gives_the_shipped_weights():
    """Same predictions, weights to 1e-4."""
    assert difference(train()) <= 1e-4


def test_the_weights_are_small():
    assert WEIGHTS.stat().st_size < 3_000_000


def test_there_are_enough_utterances_of_every_fault_and_of_none():
    counted = Counter(each.fault for each in read_corpus())
    faults = set(load_rules().faults)
    assert set(counted) == faults | {NONE}
    assert min(counted[fault] for fault in faults) >= 60
    assert counted[NONE] >= 2000
    assert {each.status for each in read_corpus()} == set(STATUSES)


def test_no_development_text_is_learnt():
    learnt = {each.text.strip().casefold() for each in lessons()}
    held = []
    for path in SETS.glob("*.jsonl"):
        for line in path.read_text(encoding="utf-8").splitlines():
            text = json.loads(line).get("text")
            if text and path.name not in ("spoken.jsonl", "ordinary.jsonl"):
                held.append(text.strip().casefold())
    assert held
    assert not learnt & set(held)


def test_an_unknown_mark_in_the_corpus_is_named(tmp_path):
    (tmp_path / "x.notes").write_text("Z head.lifts|up again\n")
    with pytest.raises(ValueError, match=r"x\.notes:1"):
        read_corpus(tmp_path)
