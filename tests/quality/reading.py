"""How well words are read, on the development sets: ``python -m tests.quality.reading [--fresh] [--errors]``.

The sets are never trained on. A mention counts as found when fault and polarity agree. Pairs that words leave open
(see the sets' "also") are fair either way for the first place.
"""

from __future__ import annotations

import argparse
import json
from collections import Counter
from collections.abc import Sequence
from dataclasses import dataclass, field, replace
from pathlib import Path
from typing import Any

import numpy as np

from knowledge.reading.reader import Reader
from knowledge.reading.types import Mention
from knowledge.rulebase import load_rules

SETS = Path(__file__).parent / "sets"
HERE = ("present", "worse")


def load(name: str) -> list[dict[str, Any]]:
    """One development set; empty where there is none of this name."""
    path = SETS / f"{name}.jsonl"
    lines = path.read_text(encoding="utf-8").splitlines() if path.exists() else []
    return [json.loads(line) for line in lines if line]


@dataclass
class Tally:
    """Found, wanted and told."""

    found: int = 0
    wanted: int = 0
    told: int = 0

    @property
    def recall(self) -> float:
        return self.found / max(1, self.wanted)

    @property
    def precision(self) -> float:
        return self.found / max(1, self.told)

    @property
    def f1(self) -> float:
        return 2 * self.found / max(1, self.wanted + self.told)


@dataclass
class Report:
    """Every figure of a run."""

    top1: float = 0
    top3: float = 0
    complaint_read: float = 0
    fault: Tally = field(default_factory=Tally)
    mention: Tally = field(default_factory=Tally)
    here: Tally = field(default_factory=Tally)
    polarity: Tally = field(default_factory=Tally)
    counts: Tally = field(default_factory=Tally)
    scores: Tally = field(default_factory=Tally)
    measures: Tally = field(default_factory=Tally)
    clean_false: int = 0
    clean_notes: int = 0
    sure: list[tuple[float, bool]] = field(default_factory=list)
    confused: Counter[tuple[str, str]] = field(default_factory=Counter)

    def ece(self, bins: int = 10) -> float:
        """Expected calibration error of the mentions' confidence, equal-width bins."""
        if not self.sure:
            return 0.0
        p, right = np.array([s for s, _ in self.sure]), np.array([r for _, r in self.sure], float)
        place = np.minimum((p * bins).astype(int), bins - 1)
        gaps = [
            abs(p[place == b].mean() - right[place == b].mean()) * (place == b).mean()
            for b in range(bins)
            if (place == b).any()
        ]
        return float(sum(gaps))


def overlap(tally: Tally, wanted: list[Any], told: list[Any]) -> None:
    """Add a multiset comparison."""
    left = list(wanted)
    for item in told:
        if item in left:
            left.remove(item)
            tally.found += 1
    tally.wanted += len(wanted)
    tally.told += len(told)


def complaints(reader: Reader, report: Report, errors: bool, items: list[dict[str, Any]]) -> None:
    """First and third place of the ranked faults, and whether the reading holds the fault."""
    first = third = read = 0
    for item in items:
        fair = {item["fault"], *item.get("also", [])}
        ranked = [guess.fault for guess in reader.guesses(item["text"], 3)]
        first += ranked[0] in fair
        third += bool(fair & set(ranked))
        mentions = reader.read(item["text"]).mentions
        hit = any(m.fault in fair and m.polarity in HERE for m in mentions)
        read += hit
        if ranked[0] not in fair:
            report.confused[item["fault"], ranked[0]] += 1
        if errors and (ranked[0] not in fair or not hit):
            shown = [(m.fault, m.polarity, m.confidence) for m in mentions]
            print(f"{item['id']} {item['fault']} ranked {ranked} read {shown}: {item['text']}")
    count = max(1, len(items))
    report.top1, report.top3, report.complaint_read = first / count, third / count, read / count


def reflections(reader: Reader, report: Report, errors: bool, items: list[dict[str, Any]]) -> None:
    """Mentions, polarity, counts, scores and measures of annotated notes."""
    for item in items:
        reading = reader.read(item["text"])
        overlap(
            report.scores,
            [(s["value"], s.get("of")) for s in item["scores"]],
            [(s.value, s.of) for s in reading.scores],
        )
        overlap(
            report.measures,
            [(round(m["value"], 2), m["unit"]) for m in item["measures"]],
            [(round(m.value, 2), m.unit) for m in reading.measures],
        )
        if "mentions" not in item:
            continue
        want = {(m["fault"], m["polarity"]) for m in item["mentions"]}
        told = {(m.fault, m.polarity) for m in fair(reading.mentions, item["mentions"])}
        overlap(report.mention, sorted(want), sorted(told))
        overlap(report.fault, sorted({f for f, _ in want}), sorted({f for f, _ in told}))
        overlap(
            report.here, sorted({f for f, p in want if p in HERE}), sorted({f for f, p in told if p in HERE})
        )
        both = {f for f, _ in want} & {f for f, _ in told}
        report.polarity.wanted += len(both)
        report.polarity.found += sum(
            bool({p for f, p in want if f == b} & {p for f, p in told if f == b}) for b in both
        )
        judged = fair(reading.mentions, item["mentions"])
        report.sure += [(m.confidence, (m.fault, m.polarity) in want) for m in judged]
        _counts(item, reading.mentions, report, errors)
        if errors and want != told:
            print(
                f"{item['id']} missed {sorted(want - told)}\n     told {[(m.fault, m.polarity, m.confidence, m.words) for m in reading.mentions if (m.fault, m.polarity) not in want]}"
            )
            for m in item["mentions"]:
                if (m["fault"], m["polarity"]) not in told:
                    print(f"       {m['fault']} {m['polarity']}: {m['words']}")


def fair(told: Sequence[Mention], wanted: list[dict[str, Any]]) -> list[Mention]:
    """The told mentions; one whose fault the annotation calls fair for a missed fault ("also") stands for that."""
    found = {m.fault for m in told}
    stands = {
        other: m["fault"]
        for m in wanted
        for other in m.get("also", ())
        if m["fault"] not in found and other not in {w["fault"] for w in wanted}
    }
    return [replace(m, fault=stands.get(m.fault, m.fault)) for m in told]


def _counts(item: dict[str, Any], mentions: Any, report: Report, errors: bool) -> None:
    for wanted in item["mentions"]:
        for told in mentions:
            if told.fault == wanted["fault"] and told.polarity == wanted["polarity"]:
                if wanted["count"] is None and told.count in (None, wanted.get("count_may")):
                    continue
                report.counts.wanted += 1
                right = told.count == wanted["count"]
                report.counts.found += right
                if errors and not right:
                    print(f"   count {item['id']} wanted {wanted['count']} told {told.count}: {told.words}")


def clean(reader: Reader, report: Report, errors: bool, items: list[dict[str, Any]]) -> None:
    """False present sightings in notes that have none."""
    for item in items:
        false = [m for m in reader.read(item["text"]).mentions if m.polarity in HERE]
        report.clean_notes += 1
        report.clean_false += len(false)
        if errors:
            for m in false:
                print(f"{item['id']} false {m.fault} {m.polarity} {m.confidence}: {m.words}")


def measure(reader: Reader, errors: bool = False, fresh: str = "") -> Report:
    """All figures on the sets whose names end in ``fresh``."""
    report = Report()
    complaints(reader, report, errors, load(f"complaints{fresh}"))
    told = load(f"reflections{fresh}") + load(f"figures{fresh}")
    reflections(reader, report, errors, told)
    clean(reader, report, errors, load(f"clean{fresh}"))
    for item in load(f"counts{fresh}"):
        _counts(item, reader.read(item["text"]).mentions, report, errors)
    return report


def rows(report: Report) -> list[tuple[str, str, str]]:
    """What is measured, the aim, the figure."""
    r = report
    return [
        ("complaints, right fault first", "≥ 0.90", f"{r.top1:.3f}"),
        ("complaints, right fault in first three", "≥ 0.97", f"{r.top3:.3f}"),
        ("complaints read as a present sighting", "", f"{r.complaint_read:.3f}"),
        (
            "reflections, mention F1 (fault)",
            "≥ 0.88",
            f"{r.fault.f1:.3f} (P {r.fault.precision:.3f}, R {r.fault.recall:.3f})",
        ),
        (
            "reflections, mention F1 (fault and polarity)",
            "",
            f"{r.mention.f1:.3f} (P {r.mention.precision:.3f}, R {r.mention.recall:.3f})",
        ),
        (
            "reflections, F1 of those present or worse",
            "≥ 0.90",
            f"{r.here.f1:.3f} (P {r.here.precision:.3f}, R {r.here.recall:.3f})",
        ),
        ("polarity right", "≥ 0.95", f"{r.polarity.recall:.3f}"),
        ("counts right", "≥ 0.95", f"{r.counts.recall:.3f} of {r.counts.wanted}"),
        ("scores recall", "≥ 0.95", f"{r.scores.recall:.3f} (P {r.scores.precision:.3f})"),
        ("measures recall", "≥ 0.95", f"{r.measures.recall:.3f} (P {r.measures.precision:.3f})"),
        (
            "false present sightings per 100 clean notes",
            "≤ 2",
            f"{100 * r.clean_false / max(1, r.clean_notes):.1f}",
        ),
        ("expected calibration error", "≤ 0.05", f"{r.ece():.3f}"),
    ]


def main() -> None:
    """Command line of the harness."""
    parser = argparse.ArgumentParser(
        description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter
    )
    parser.add_argument("--errors", action="store_true", help="print every text that was read wrongly")
    parser.add_argument("--fresh", action="store_true", help="the later sets, written by another hand")
    args = parser.parse_args()
    report = measure(Reader(load_rules()), args.errors, "_fresh" if args.fresh else "")
    for what, aim, figure in rows(report):
        print(f"| {what} | {aim} | {figure} |")
    print("most confused:", ", ".join(f"{a}→{b} {n}" for (a, b), n in report.confused.most_common(12)))


if __name__ == "__main__":
    main()
