"""Reading 300 words against the bare vector inference of the same clauses: ``python -m tests.bench.reading_speed``."""

from __future__ import annotations

import json
import resource
import statistics
import time

from knowledge.reading.clauses import clauses_in
from knowledge.reading.encoder import base_encoder
from knowledge.reading.reader import Reader
from knowledge.reading.recogniser import shipped_recogniser
from knowledge.rulebase import load_rules
from tests.quality.reading import SETS


def main() -> None:
    """Print the ratio, pair by pair, and the peak memory."""
    reader = Reader(load_rules())
    texts = [json.loads(line)["text"] for line in (SETS / "reflections.jsonl").read_text().splitlines()]
    text = " ".join(" ".join(texts).split()[:300])
    encoder = base_encoder()
    clauses = [text[each.start : each.end] for each in clauses_in(text, shipped_recogniser())]
    ratios, whole = [], []
    for _ in range(15):
        start = time.perf_counter()
        encoder.embed(clauses)
        bare = time.perf_counter() - start
        start = time.perf_counter()
        reader.read(text)
        whole.append(time.perf_counter() - start)
        ratios.append(whole[-1] / bare)
    peak = resource.getrusage(resource.RUSAGE_SELF).ru_maxrss / 1024
    print(f"ratio median {statistics.median(ratios):.2f}, range {min(ratios):.2f} to {max(ratios):.2f}")
    print(
        f"300 words read in {statistics.median(whole):.2f} s, {len(clauses)} clauses; peak memory {peak:.0f} MB"
    )


if __name__ == "__main__":
    main()
