"""Findings in, ranking and next step out: the whole of the reasoning in one call."""

from __future__ import annotations

from collections.abc import Collection
from dataclasses import dataclass
from typing import Literal

from knowledge.causes.explain import Explanation, explain
from knowledge.causes.findings import Findings
from knowledge.causes.network import Network
from knowledge.causes.next_check import CheckChoice, Means, best_check
from knowledge.causes.order import ranked
from knowledge.causes.posterior import Posterior, posterior_of
from knowledge.entries import Check
from knowledge.rulebase import RuleBase

SETTLED = 0.80
LIKELY = 0.50
POSSIBLE = 0.20
ENOUGH_REPORTS = 3
SAME = 0.10
"""Chances closer than this are shown as equal."""

Verdict = Literal["settled", "likely", "open"]


@dataclass(frozen=True, slots=True)
class LikelyCause:
    """probability: P(present | everything known). word: likely, possible or unlikely."""

    id: str
    probability: float
    why: Explanation

    @property
    def word(self) -> str:
        """How a person would say it."""
        return (
            "likely"
            if self.probability >= LIKELY
            else "possible"
            if self.probability >= POSSIBLE
            else "unlikely"
        )


@dataclass(frozen=True, slots=True)
class Diagnosis:
    """causes: every cause that a finding touches, the likeliest first. reason: what the verdict rests on,
    one sentence.

    next_check: None when settled or when nothing that can be done now would move it. coach_look: the check
    that would, if somebody else were there, or what a coach should look at. method, error: see Posterior.
    """

    causes: tuple[LikelyCause, ...]
    next_check: CheckChoice | None
    verdict: Verdict
    reason: str
    coach_look: str | None
    method: str
    error: float
    posterior: Posterior

    @property
    def leaders(self) -> tuple[LikelyCause, ...]:
        """The first cause and those that cannot be told from it."""
        top = self.causes[0].probability if self.causes else 0.0
        return tuple(cause for cause in self.causes if top - cause.probability < SAME)


def diagnose(
    rules: RuleBase,
    network: Network,
    findings: Findings,
    *,
    means: Means | None = None,
    done: Collection[str] = (),
    explained: int | None = None,
) -> Diagnosis:
    """Rank the causes and choose the next check.

    means: what can be done now. done: checks not to name again. explained: for how many causes to give
    reasons (all).
    """
    post = posterior_of(network, findings)
    order = ranked(rules, {cause: post.chance[cause] for cause in post.linked})
    why = explain(post, order[:explained])
    causes = tuple(LikelyCause(c, post.chance[c], why.get(c, Explanation())) for c in order)
    few = findings.reports is not None and findings.reports < ENOUGH_REPORTS
    top = causes[0].probability if causes else 0.0
    settled = bool(causes) and top >= SETTLED and not few
    choice = None if settled else best_check(rules, post, means, done)
    verdict: Verdict = "settled" if settled else "likely" if top >= LIKELY and not few else "open"
    look = None if settled or choice is not None else _coach_look(rules, post, done, causes)
    if not causes:
        reason = "nothing was reported yet"
    else:
        reason = _few_words(choice) if few else _reason(rules, causes, verdict, choice, look)
    return Diagnosis(causes, choice, verdict, reason, look, post.method, post.error, post)


def _reason(
    rules: RuleBase,
    causes: tuple[LikelyCause, ...],
    verdict: Verdict,
    choice: CheckChoice | None,
    look: str | None,
) -> str:
    name = rules.causes[causes[0].id].name
    if verdict == "settled":
        return f"settled enough to change one thing: {name}"
    if choice is not None:
        return f"{causes[0].word}: {name}; a check would tell more"
    rest = look or "Note what happens in three more sessions."
    return f"cannot tell: no check that can be done now would move it. {rest}"


def _few_words(choice: CheckChoice | None) -> str:
    return "too few notes for a verdict" + ("; a check tells more" if choice else "")


def _coach_look(
    rules: RuleBase, post: Posterior, done: Collection[str], causes: tuple[LikelyCause, ...]
) -> str | None:
    """What somebody else's eyes should be put on."""
    everything = Means(partner=True, phone=True, coach=True)
    other = best_check(rules, post, everything, done)
    if other is not None:
        return f"A coach's look would: {_said(other.check)}"
    seen = [rules.faults[f].coach_sees for f in post.findings.present if f in rules.faults]
    sights = [text for text in seen if text]
    return f"A coach's look would. What to look for: {sights[0]}" if sights and causes else None


def _said(check: Check) -> str:
    return f"{check.name} ({check.minutes:g} min)"
