"""The shipped weights come from the utterances in the repository, and from nothing else."""

from __future__ import annotations

import json
import re
from collections import Counter
from pathlib import Path

import pytest

from knowledge.reading.context import ENCODER, ContextEncoder, context_encoder
from knowledge.reading.corpus import NONE, STATUSES, read_corpus, read_notes
from knowledge.reading.encoder import EncoderDamaged
from knowledge.reading.recogniser import WEIGHTS
from knowledge.reading.train import difference, singles, train
from knowledge.rulebase import load_rules

SETS = Path(__file__).parents[1] / "quality" / "sets"


def test_training_again_gives_the_shipped_weights():
    """To 1e-4 of the largest weight; the encoder under them is fixed by its hash."""
    assert difference(train(context_encoder())) <= 1e-4


def test_weights_and_encoder_are_small():
    assert WEIGHTS.stat().st_size < 3_000_000
    assert ENCODER.stat().st_size < 25_000_000


def test_an_encoder_of_other_bytes_is_refused(tmp_path):
    (tmp_path / "encoder.onnx").write_bytes(ENCODER.read_bytes()[:-1] + b"x")
    with pytest.raises(EncoderDamaged, match=r"encoder\.onnx"):
        ContextEncoder(tmp_path / "encoder.onnx", context_encoder().sha256)


def test_there_are_enough_utterances_of_every_fault_and_of_none():
    counted = Counter(each.fault for each in read_corpus())
    faults = set(load_rules().faults)
    assert set(counted) == faults | {NONE}
    assert min(counted[fault] for fault in faults) >= 60
    assert counted[NONE] >= 2000
    assert {each.status for each in read_corpus()} == set(STATUSES)


def test_no_development_text_is_learnt():
    """Neither a whole text nor as many as nine words in a row."""
    learnt = [each.text for each in singles()[0]] + [" ".join(c.text for c in note) for note in read_notes()]
    held = [
        json.loads(line)["text"]
        for path in SETS.glob("*.jsonl")
        if not path.name.startswith(("spoken", "ordinary", "queries"))
        for line in path.read_text(encoding="utf-8").splitlines()
        if line
    ]
    assert len(held) > 800
    assert not {text.strip().casefold() for text in learnt} & {text.strip().casefold() for text in held}
    assert not {run for text in learnt for run in runs(text)} & {run for text in held for run in runs(text)}


def runs(text: str, length: int = 9) -> set[tuple[str, ...]]:
    """Every run of so many words."""
    words = re.findall(r"[a-z0-9']+", text.lower())
    return {tuple(words[at : at + length]) for at in range(len(words) - length + 1)}


def test_an_unknown_mark_in_the_corpus_is_named(tmp_path):
    (tmp_path / "x.notes").write_text("Z head.lifts|up again\n")
    with pytest.raises(ValueError, match=r"x\.notes:1"):
        read_corpus(tmp_path)
