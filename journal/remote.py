"""From a distance: a pupil's question becomes questions back, what cannot be judged unseen, and a draft a
coach edits."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date, datetime, timedelta

from journal.diagnosis import player_findings, player_network, recent_checks, sentence_at
from journal.errors import BadInput, TooLong
from journal.players import SAFEGUARDING, may_be_minor
from journal.prescription import PAIN_CAUTION, PAIN_FAULTS, prescribe
from journal.records import Player, Question
from journal.store.work import UnitOfWork, new_id
from knowledge.causes.diagnose import Diagnosis, LikelyCause, diagnose
from knowledge.causes.findings import Findings
from knowledge.causes.questions import Question as Back
from knowledge.causes.questions import questions_back
from knowledge.causes.reports import Report, findings_of
from knowledge.reading.types import Reading
from knowledge.rulebase import RuleBase

WRITE_AGAIN_DAYS = 14
MAX_LETTERS = 20_000
_CAUSES_TOLD = 3


@dataclass(frozen=True, slots=True)
class Draft:
    """A reply to edit. faults: understood in the words. unseen: what cannot be judged from here. text: the
    whole draft.

    caution: pain; then the draft holds a stop and a referral and no drill. for_coach: what the coach has to
    think of and the pupil is not sent.
    """

    faults: tuple[str, ...]
    questions: tuple[Back, ...]
    unseen: tuple[str, ...]
    diagnosis: Diagnosis
    text: str
    caution: str | None
    for_coach: str | None = None


def draft_reply(
    work: UnitOfWork,
    rules: RuleBase,
    player: Player,
    text: str,
    reading: Reading,
    *,
    now: datetime,
    today: date,
) -> Draft:
    """A draft from the question's words and everything the journal knows of the pupil. Nothing is stored.

    What was read in the question counts for this draft only. Raises: BadInput, TooLong.
    """
    if not text.strip():
        raise BadInput("the question has no words", "Give the pupil's question as text.")
    if len(text) > MAX_LETTERS:
        raise TooLong("the question is too long", f"Keep it under {MAX_LETTERS} letters.")
    findings, faults = _with_question(player_findings(work, rules, player, today), rules, text, reading)
    network = player_network(work, rules, player)
    found = diagnose(
        rules, network, findings, done=recent_checks(work, player, today), explained=_CAUSES_TOLD
    )
    questions = tuple(questions_back(rules, found.posterior, faults)) if found.causes else ()
    sees = [rules.faults[f].coach_sees for f in found.posterior.findings.present if f in rules.faults]
    unseen = tuple(dict.fromkeys(each for each in sees if each))[:3]
    caution = _caution(reading, faults)
    lines = (
        _pain_lines(caution)
        if caution
        else _lines(rules, player, faults, found, questions=questions, unseen=unseen, today=today)
    )
    for_coach = SAFEGUARDING if may_be_minor(player, now) else None
    return Draft(faults, questions, unseen, found, "\n".join(lines), caution, for_coach)


def keep_question(work: UnitOfWork, player: Player, text: str, reply: str, *, now: datetime) -> Question:
    """Store a question with the draft of its reply; sending is up to the coach."""
    return work.questions.add(Question(player.id, new_id(), now, text.strip(), reply))


def _with_question(
    known: Findings, rules: RuleBase, text: str, reading: Reading
) -> tuple[Findings, tuple[str, ...]]:
    reports = [
        Report(m.fault, 0, m.polarity, "player", m.count, sentence_at(text, m.start, m.end))
        for m in reading.mentions
        if m.fault in rules.faults
    ]
    new = findings_of(rules, reports, [], 0)
    faults = dict(known.faults)
    for fault, bits in new.faults.items():
        faults[fault] = faults.get(fault, 0.0) + bits
    causes = {cause: dict(factors) for cause, factors in known.causes.items()}
    for cause, factors in new.causes.items():
        causes.setdefault(cause, {}).update(factors)
    named = tuple(dict.fromkeys(report.fault for report in reports))
    return Findings(faults, causes, (known.reports or 0) + (new.reports or 0)), named


def _caution(reading: Reading, faults: Sequence[str]) -> str | None:
    if reading.cautions:
        return reading.cautions[0].advice
    return PAIN_CAUTION if PAIN_FAULTS.intersection(faults) else None


def _pain_lines(caution: str | None) -> list[str]:
    return [
        "Thank you for writing. You mention something that comes before any advice on play.",
        caution or PAIN_CAUTION,
        "Write again when it has been looked at; until then change or practise nothing that hurts.",
    ]


def _lines(
    rules: RuleBase,
    player: Player,
    faults: Sequence[str],
    found: Diagnosis,
    *,
    questions: Sequence[Back],
    unseen: Sequence[str],
    today: date,
) -> list[str]:
    names = [rules.faults[fault].name for fault in faults]
    lines = [
        f"Thank you for writing. I understand: {', '.join(names)}." if names else "Thank you for writing."
    ]
    lines.append("I have not seen you play, so what follows is a guess to be tested, not a finding.")
    lines += [f"What I cannot judge from here: {each}" for each in unseen]
    if not found.causes:
        return [*lines, "What exactly happens, on which shots, since when, and on which table?"]
    lines += _cause_lines(rules, found.causes[:_CAUSES_TOLD])
    if questions:
        lines.append("Please tell me:")
        lines += [f"  {number}. {question.text}" for number, question in enumerate(questions, 1)]
    lines += _check_lines(found)
    lines += _drill_lines(rules, player, found)
    again = today + timedelta(days=WRITE_AGAIN_DAYS)
    lines.append(
        f"Write again on {again.day} {again:%B} with the numbers and what the check showed; "
        "sooner if anything hurts."
    )
    lines.append("If it stays the same after that, let a coach see ten shots, misses included.")
    return lines


def _cause_lines(rules: RuleBase, causes: Sequence[LikelyCause]) -> list[str]:
    return [
        f"{cause.word.capitalize()}: {rules.causes[cause.id].name}. {rules.causes[cause.id].what}"
        for cause in causes
    ]


def _check_lines(found: Diagnosis) -> list[str]:
    if found.next_check is None:
        return [found.coach_look] if found.coach_look else []
    check = found.next_check.check
    lines = [f"Do this first ({check.minutes:g} min, {' or '.join(check.needs)}): {check.do}"]
    return lines + [f"  - {outcome.result}" for outcome in check.outcomes if outcome.signs]


def _drill_lines(rules: RuleBase, player: Player, found: Diagnosis) -> list[str]:
    """One drill with its target and one checkpoint, for the likeliest cause of a told fault."""
    told = [fault for fault in found.posterior.findings.present if fault in rules.faults]
    for cause in found.causes[:_CAUSES_TOLD]:
        for fault in (each for each in told if cause.id in rules.faults[each].causes):
            own = [drill for drill in rules.causes[cause.id].drills if drill in rules.drills] or None
            help_ = prescribe(fault, rules, player, own)
            if help_.drills:
                drill = help_.drills[0]
                lines = [
                    f"One drill: {drill.name} ({drill.minutes:g} min). {drill.why} Target: {drill.target}"
                ]
                points = help_.checkpoints[:1]
                return lines + [f"Keep an eye on: {p.quantity}, {p.value} ({p.measure})" for p in points]
    return []
