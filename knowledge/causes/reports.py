"""From what was reported, when and by whom, to the bits that a fault shows.

Formula (weights and chances are common practice, no source). A fault that is there is reported in a
session with chance 0.3, one that is not with chance 0.02. So one report is worth log2(0.3 / 0.02) = 3.9
bits for it, and a session that names it as absent is worth log2(0.7 / 0.98) = −0.49 bits. A fault nobody
mentions stays unknown. One count a session:

    bits(fault) = Σ over days  who × how × number × 2^(−age / 60 days) × (3.9 or −0.49)

who: player 1, coach 2, film 3. how: present 1, worse 1.5, better 0.5. number: 1.2 when the words name
three times or more. Of several reports of one fault on one day only the weightiest counts; a day that saw
it outweighs one that denied it.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace
from typing import Literal

from knowledge.causes.deciding import deciding_factors
from knowledge.causes.findings import Findings
from knowledge.entries import LIKELIHOOD_RATIO
from knowledge.rulebase import RuleBase

REPORT_CHANCE = 0.30
FALSE_MENTION = 0.02
HALF_LIFE_DAYS = 60.0
SEEN_BITS = math.log2(REPORT_CHANCE / FALSE_MENTION)
DENIED_BITS = math.log2((1 - REPORT_CHANCE) / (1 - FALSE_MENTION))
WHO: dict[str, float] = {"player": 1.0, "coach": 2.0, "film": 3.0}
HOW: dict[str, float] = {"present": 1.0, "worse": 1.5, "better": 0.5}
MANY_TIMES, MANY = 3, 1.2

How = Literal["present", "absent", "better", "worse"]


@dataclass(frozen=True, slots=True)
class Report:
    """One confirmed mention of a fault. day: any whole number that grows by one a day. words: as said,
    with context."""

    fault: str
    day: int
    how: str = "present"
    who: str = "player"
    count: int | None = None
    words: str = ""


@dataclass(frozen=True, slots=True)
class Answer:
    """The outcome of a check on a day (see Report.day)."""

    check: str
    outcome: str
    day: int


def fading(age_days: float) -> float:
    """What is left of a finding's weight after some days: one half each 60 days; none in the future counts
    more."""
    return float(2.0 ** (-max(0.0, age_days) / HALF_LIFE_DAYS))


def weight_of(report: Report, today: int) -> float:
    """Bits of one report that its fault shows; negative for an absence."""
    who = WHO[report.who] * fading(today - report.day)
    if report.how == "absent":
        return DENIED_BITS * who
    number = MANY if (report.count or 0) >= MANY_TIMES else 1.0
    return SEEN_BITS * who * HOW[report.how] * number


def fault_bits(reports: Iterable[Report], today: int) -> dict[str, float]:
    """Bits for each fault named, one count a day (see the module)."""
    days: dict[tuple[str, int], float] = {}
    for report in reports:
        key, bits = (report.fault, report.day), weight_of(report, today)
        old = days.get(key)
        if old is None or (bits > 0, abs(bits)) > (old > 0, abs(old)):
            days[key] = bits
    total: dict[str, float] = {}
    for (fault, _), bits in days.items():
        total[fault] = total.get(fault, 0.0) + bits
    return total


def answer_bits(rules: RuleBase, answers: Sequence[Answer], today: int) -> dict[str, dict[str, float]]:
    """Cause to {check: bits}. A check done again replaces its older answer, for it mostly measures the
    same thing."""
    latest: dict[str, Answer] = {}
    for answer in answers:
        if answer.check in rules.checks and (
            answer.check not in latest or answer.day >= latest[answer.check].day
        ):
            latest[answer.check] = answer
    found: dict[str, dict[str, float]] = {}
    for answer in latest.values():
        outcomes = {outcome.id: outcome for outcome in rules.checks[answer.check].outcomes}
        if answer.outcome not in outcomes:
            continue
        for cause, sign in outcomes[answer.outcome].signs.items():
            bits = math.log2(LIKELIHOOD_RATIO[sign]) * fading(today - answer.day)
            found.setdefault(cause, {})[answer.check] = bits
    return found


def findings_of(
    rules: RuleBase, reports: Sequence[Report], answers: Sequence[Answer], today: int
) -> Findings:
    """Everything known of one player. Reports of faults and answers of checks that the rules no longer
    have are left out."""
    known = [report for report in reports if report.fault in rules.faults]
    causes = answer_bits(rules, answers, today)
    for cause, factors in deciding_factors(rules, known_present(known), today, fading).items():
        causes.setdefault(cause, {}).update(factors)
    sessions = {(report.fault, report.day) for report in known if report.how != "absent"}
    # An answer that tells nothing ("unclear") is not a finding.
    told = {check for factors in causes.values() for check in factors if check in rules.checks}
    return Findings(fault_bits(known, today), causes, reports=len(sessions) + len(told))


def known_present(reports: Iterable[Report]) -> list[tuple[str, int, str]]:
    """(fault, day, words) of what was seen."""
    return [(report.fault, report.day, report.words) for report in reports if report.how != "absent"]


def with_answer(findings: Findings, rules: RuleBase, check: str, outcome: str) -> Findings:
    """The findings with one more answer, given today; it replaces an older answer of the same check."""
    rest = findings.without_reason(check)
    causes = {cause: dict(factors) for cause, factors in rest.causes.items()}
    new = answer_bits(rules, [Answer(check, outcome, 0)], 0)
    for cause, factors in new.items():
        causes.setdefault(cause, {}).update(factors)
    counted = check in findings.reasons
    reports = None if findings.reports is None else findings.reports - counted + bool(new)
    return replace(rest, causes=causes, reports=reports)
