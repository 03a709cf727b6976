"""Train the recogniser's heads from the utterances in the repository: ``python -m knowledge.reading.train``.

The encoder under them is fine-tuned by ``knowledge.reading.finetune``; the heads are refitted here in closed form,
and their sharpness and thresholds on the reflections that neither of them learns from. The same utterances give the
same weights; ``--check`` trains again and compares with the shipped files to 1e-4.
"""

from __future__ import annotations

import argparse
import json
import random
from dataclasses import replace
from pathlib import Path
from typing import Any

import numpy as np

from knowledge.reading.calibration import calibrate
from knowledge.reading.context import ContextEncoder, context_encoder
from knowledge.reading.corpus import Utterance, read_corpus, read_notes
from knowledge.reading.heads import Lessons, collect, fit_heads
from knowledge.reading.lessons import HELD_OUT_SINGLES, JOINTS, document, mixed, split_notes
from knowledge.reading.recogniser import CALIBRATION, WEIGHTS
from knowledge.rulebase import load_rules

SEED = 5
"""Of the draw of who stands beside whom among the single utterances."""
CUT_FROM = 4
"""Every fourth reflection teaches where clauses begin: every word is a lesson there, and a quarter is plenty."""


def singles() -> tuple[list[Utterance], list[Utterance]]:
    """The single utterances learnt from and those held out; the rules' own examples, which stay a test, in neither."""
    examples = {says for fault in load_rules().faults.values() for says in fault.says}
    alone = [u for u in read_corpus() if u.text not in examples and not u.hand.startswith("reflections")]
    held = alone[::HELD_OUT_SINGLES]
    return [u for number, u in enumerate(alone) if number % HELD_OUT_SINGLES], held


def train(encoder: ContextEncoder) -> dict[str, Any]:
    """Everything that the weights file holds."""
    learnt, _ = split_notes(read_notes())
    lessons = Lessons()
    rng = random.Random(SEED)
    among = mixed(singles()[0], learnt, rng)
    collect([document(group, rng.choice(JOINTS)) for group in among], encoder, lessons, ("topic", "status"))
    documents = [document(note) for note in learnt]
    collect(
        [each if n % CUT_FROM == 0 else replace(each, words=()) for n, each in enumerate(documents)],
        encoder,
        lessons,
    )
    return fit_heads(lessons)


def difference(trained: dict[str, Any], path: Path = WEIGHTS) -> float:
    """The largest difference between freshly trained weights and the shipped ones, relative to the largest weight."""
    worst = 0.0
    with np.load(path) as shipped:
        for name, fresh in trained.items():
            if name.endswith("_classes"):
                if str(fresh) != str(shipped[name]):
                    return float("inf")
            else:
                worst = max(worst, float(np.abs(fresh - shipped[name]).max() / np.abs(shipped[name]).max()))
    return worst


def main() -> None:
    """Command line of the script."""
    parser = argparse.ArgumentParser(
        description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter
    )
    parser.add_argument(
        "--check", action="store_true", help="train again and compare with the shipped weights"
    )
    args = parser.parse_args()
    encoder = context_encoder()
    trained = train(encoder)
    if args.check:
        worst = difference(trained)
        print(f"largest difference to the shipped weights: {worst:.2e}")
        raise SystemExit(worst > 1e-4)
    np.savez_compressed(WEIGHTS, **trained)
    _, held = split_notes(read_notes())
    CALIBRATION.write_text(json.dumps(calibrate(encoder, held, singles()[1])) + "\n")
    print(
        f"{WEIGHTS.name}: {WEIGHTS.stat().st_size:,} bytes; {CALIBRATION.name} from {len(held)} reflections"
    )


if __name__ == "__main__":
    main()
