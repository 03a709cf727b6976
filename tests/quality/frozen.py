"""For comparison: a linear classifier over the general encoder as it comes, and n-grams: ``python -m tests.quality.frozen``.

What the fine-tuned encoder of ``knowledge.reading`` is measured against, on the same complaints and from the same
training utterances (the clauses of the reflections out of their context). Also the nearest fault description by the bare
encoder alone, which says how hard the complaints are.
"""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray
from scipy import sparse
from sklearn.feature_extraction.text import TfidfVectorizer
from sklearn.pipeline import make_union
from sklearn.svm import LinearSVC

from knowledge.reading.corpus import NONE, read_notes
from knowledge.reading.encoder import base_encoder
from knowledge.reading.lessons import split_notes
from knowledge.reading.train import singles
from knowledge.rulebase import load_rules
from tests.quality.reading import load

COST = 0.5


def places(scores: NDArray[np.float64], classes: list[str]) -> tuple[float, float]:
    """How often a fair fault comes first, and in the first three."""
    items = load("complaints")
    first = third = 0
    for item, row in zip(items, scores, strict=True):
        fair = {item["fault"], *item.get("also", [])}
        ranked = [classes[n] for n in np.argsort(-row) if classes[n] != NONE][:3]
        first += ranked[0] in fair
        third += bool(fair & set(ranked))
    return first / len(items), third / len(items)


def main() -> None:
    """Print both."""
    encoder, texts = base_encoder(), [item["text"] for item in load("complaints")]
    asked = encoder.embed(texts)
    faults = load_rules().faults
    described = encoder.embed([f"{fault.name}. {fault.meaning}" for fault in faults.values()])
    shown = "{:.3f} first, {:.3f} in three"
    bare = places(asked @ described.T, [*faults])
    print("bare encoder, nearest description:", shown.format(*bare))
    learnt = singles()[0] + [clause for note in split_notes(read_notes())[0] for clause in note]
    grams = make_union(
        TfidfVectorizer(ngram_range=(1, 2), sublinear_tf=True),
        TfidfVectorizer(analyzer="char_wb", ngram_range=(2, 5), sublinear_tf=True, min_df=2),
    )
    words = [each.text for each in learnt]
    rows = sparse.hstack([encoder.embed(words), grams.fit_transform(words)]).tocsr()
    machine = LinearSVC(C=COST, random_state=0).fit(rows, [each.fault for each in learnt])
    scores = machine.decision_function(sparse.hstack([asked, grams.transform(texts)]).tocsr())
    print("frozen encoder and n-grams, linear:", shown.format(*places(scores, list(machine.classes_))))


if __name__ == "__main__":
    main()
