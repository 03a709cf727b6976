"""Find the cause: a player's confirmed sightings and answered checks become likely causes and the next
best check."""

from __future__ import annotations

from collections.abc import Collection, Iterable, Mapping, Sequence
from datetime import date, datetime, timedelta

from rapidfuzz import process

from journal.care import barred_checks, pain_noted
from journal.desk import zone_of
from journal.errors import BadInput, UnknownEntry
from journal.records import CheckResult, Player, Sighting, SightingStatus
from journal.store.work import UnitOfWork, new_id
from knowledge.causes.diagnose import Diagnosis, diagnose
from knowledge.causes.findings import Findings, sure
from knowledge.causes.network import Network, network_of
from knowledge.causes.next_check import Means
from knowledge.causes.people import network_for
from knowledge.causes.reports import Answer, Report, findings_of
from knowledge.entries import Check
from knowledge.rulebase import RuleBase

NOT_AGAIN_DAYS = 21
"""A check that was answered is not proposed again within these days. Common practice, no source."""
_MEANS = ("alone", "partner", "phone", "coach", "home")


def means_of(words: str | None, minutes: float | None = None) -> Means:
    """What is at hand from a list such as "phone,home"; None for partner, phone and table. Raises:
    BadInput."""
    if minutes is not None and not 0 < minutes <= 600:
        raise BadInput(f"{minutes:g} minutes cannot be", "Give 1 to 600 minutes.")
    if words is None:
        return Means(minutes=minutes)
    named = [word.strip() for word in words.split(",") if word.strip()]
    for word in named:
        if word not in _MEANS:
            raise BadInput(f"{word!r} is nothing to check with", f"Use any of: {', '.join(_MEANS)}.")
    return Means("partner" in named, "phone" in named, "coach" in named, "home" not in named, minutes)


def reports_of(sightings: Iterable[Sighting], texts: Mapping[str, str] | None = None) -> list[Report]:
    """Confirmed sightings as reports; suggestions and dropped ones are no facts.

    texts: note id to text; the sentence around a sighting may hold deciding words ("only in matches").
    """
    return [
        Report(s.fault, s.day.toordinal(), s.polarity.value, s.seen_by.value, s.count, _said(s, texts or {}))
        for s in sightings
        if s.status is SightingStatus.CONFIRMED
    ]


def _said(sighting: Sighting, texts: Mapping[str, str]) -> str:
    """The sighting's context and the sentence its words stand in."""
    text = texts.get(sighting.note_id or "", "")
    sentence = sentence_at(text, sighting.start, sighting.end) or sighting.words
    return f"{sighting.context} {sentence}".strip()


def sentence_at(text: str, start: int, end: int) -> str:
    """The sentence or line of a text in which the span lies."""
    first = max(text.rfind(mark, 0, start) for mark in ".!?\n;") + 1
    ends = [at for mark in ".!?\n;" if (at := text.find(mark, end)) >= 0]
    return text[first : min(ends, default=len(text))]


def answers_of(results: Sequence[CheckResult], player: Player) -> list[Answer]:
    """Answered checks on the player's local days, the latest last."""
    zone = zone_of(player)
    ordered = sorted(results, key=lambda result: result.taken_at)
    return [Answer(r.check_id, r.outcome_id, r.taken_at.astimezone(zone).date().toordinal()) for r in ordered]


def player_findings(work: UnitOfWork, rules: RuleBase, player: Player, today: date) -> Findings:
    """Everything known of a player up to today, faded by age."""
    sightings = work.sightings.all(player_id=player.id)
    texts = {str(note.id): note.text for note in work.notes.all(player_id=player.id)}
    answers = answers_of(work.check_results.all(player_id=player.id), player)
    return findings_of(rules, reports_of(sightings, texts), answers, today.toordinal())


def player_network(work: UnitOfWork, rules: RuleBase, player: Player) -> Network:
    """The network with what this journal has learnt, and this player's level and hand."""
    from journal.learning import learnt

    known = learnt(work, rules)
    return network_for(network_of(rules, known.bases, known.strengths), player.level, player.hand)


def recent_checks(work: UnitOfWork, player: Player, today: date) -> set[str]:
    """Checks answered so lately that asking again would tell nothing new."""
    since = today - timedelta(days=NOT_AGAIN_DAYS)
    answers = answers_of(work.check_results.all(player_id=player.id), player)
    return {answer.check for answer in answers if answer.day > since.toordinal()}


def diagnose_player(
    work: UnitOfWork,
    rules: RuleBase,
    player: Player,
    *,
    today: date,
    means: Means | None = None,
    skipped: Collection[str] = (),
    explained: int | None = None,
) -> Diagnosis:
    """The likely causes over everything the player reported, and the next best check.

    While pain is noted no check is named that is done at the table or loads the body.
    skipped: checks the player said "can't" to. explained: for how many causes to give reasons (None: all).
    """
    findings = player_findings(work, rules, player, today)
    done = recent_checks(work, player, today) | set(skipped)
    if pain_noted(work, player) is not None:
        done |= barred_checks(rules)
    network = player_network(work, rules, player)
    return diagnose(rules, network, findings, means=means, done=done, explained=explained)


def verdict_parts(found: Diagnosis) -> tuple[str, str]:
    """The verdict's head and what it rests on. A reason with a head of its own ("likely: …") needs no other."""
    head, colon, rest = found.reason.partition(": ")
    return (head, rest) if colon else (str(found.verdict), found.reason)


def diagnose_list(rules: RuleBase, faults: Iterable[str], means: Means | None = None) -> Diagnosis:
    """The likely causes of a bare list of faults, each taken as certain. Raises: BadInput, UnknownEntry."""
    named = [fault.strip() for fault in faults if fault.strip()]
    if not named:
        raise BadInput("no fault was named", "Name fault ids with commas between: head.lifts,pot.thin")
    for fault in named:
        if fault not in rules.faults:
            raise UnknownEntry(f"there is no fault {fault!r}", _nearest(fault, rules.faults))
    return diagnose(rules, network_of(rules), sure(named), means=means)


def find_check(rules: RuleBase, name: str) -> Check:
    """A check by its id, with or without "check.". Raises: UnknownEntry."""
    found = rules.checks.get(name) or rules.checks.get(f"check.{name}")
    if found is None:
        raise UnknownEntry(f"there is no check {name!r}", _nearest(name, rules.checks))
    return found


def answer_check(
    work: UnitOfWork,
    rules: RuleBase,
    player: Player,
    check: str,
    outcome: str,
    *,
    now: datetime,
    remark: str = "",
) -> CheckResult:
    """Store the outcome of a check. Raises: UnknownEntry for a check or outcome that is not in the rules."""
    found = find_check(rules, check)
    outcomes = [each.id for each in found.outcomes]
    if outcome not in outcomes:
        raise UnknownEntry(f"{found.id} has no outcome {outcome!r}", f"Use one of: {', '.join(outcomes)}.")
    if len(remark) > 2000:
        raise BadInput("the remark is too long", "Keep it under 2000 characters.")
    return work.check_results.add(CheckResult(player.id, new_id(), found.id, outcome, now, remark))


def take_back_answer(work: UnitOfWork, player: Player) -> CheckResult | None:
    """Remove the latest answer (a step back) and return it; None when there is none."""
    latest = next(iter(work.check_results.all(order="-taken_at", player_id=player.id)), None)
    if latest is not None:
        work.check_results.remove(player_id=player.id, id=latest.id)
    return latest


def _nearest(name: str, known: Iterable[str]) -> str:
    near = process.extractOne(name, list(known), score_cutoff=50)
    return f"Did you mean {near[0]}?" if near else "Look it up with: plainball lookup WORDS"
