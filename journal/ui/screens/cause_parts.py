"""What the find-the-cause screen shows: the ranking with bars, the reasons, the verdict."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from datetime import date
from typing import TYPE_CHECKING

from textual.content import Content

from journal.care import pain_noted
from journal.changes import running
from journal.check_pictures import CheckPicture, check_picture
from journal.days import day_words
from journal.diagnosis import diagnose_player, verdict_parts
from journal.dilemmas import FoundDilemma, find_dilemmas
from journal.records import Change, Player, Sighting, SightingStatus
from journal.table_trial import NOTES_READ
from journal.ui.words import bar, fault_name, short

if TYPE_CHECKING:
    from journal.store.work import UnitOfWork
    from knowledge.causes.diagnose import Diagnosis
    from knowledge.causes.explain import Reason
    from knowledge.causes.next_check import Means
    from knowledge.rulebase import RuleBase

SHOWN, EXPLAINED = 9, 9


@dataclass(frozen=True, slots=True)
class Found:
    """A diagnosis with what is needed to tell it. pain: the day on which it was last noted, while it is open."""

    diagnosis: Diagnosis
    sightings: tuple[Sighting, ...]
    change: Change | None
    dilemmas: tuple[FoundDilemma, ...]
    rules: RuleBase
    today: date
    picture: CheckPicture | None = None
    pain: date | None = None

    @property
    def check(self) -> str | None:
        """Id of the check to do now."""
        choice = self.diagnosis.next_check
        return choice.check.id if choice else None


def find(
    work: UnitOfWork, rules: RuleBase, player: Player, today: date, means: Means, skipped: Sequence[str]
) -> Found:
    """Think over everything this player reported."""
    diagnosis = diagnose_player(
        work, rules, player, today=today, means=means, skipped=skipped, explained=EXPLAINED
    )
    seen = work.sightings.all(order="-day", player_id=player.id, status=SightingStatus.CONFIRMED)
    notes = work.notes.all(order="-played_at", player_id=player.id)[:NOTES_READ]
    dilemmas = [each for note in notes for each in find_dilemmas(rules, note.text[:5000])]
    choice = diagnosis.next_check
    picture = check_picture(rules, choice.check, player) if choice else None
    return Found(
        diagnosis,
        tuple(seen),
        running(work, player),
        tuple(dilemmas[:1]),
        rules,
        today,
        picture,
        pain_noted(work, player),
    )


def check_words(found: Found) -> Content:
    """The check to do now, above its answers."""
    choice = found.diagnosis.next_check
    if choice is None:
        return Content.styled("No check now", "bold $primary")
    check = choice.check
    needs = " or ".join(check.needs) + ("" if check.at_table else ", no table needed")
    return Content("\n").join(
        [
            Content.styled("Do this check", "bold $primary"),
            Content.assemble(
                (check.name, "bold $accent"), (f"  {check.minutes:g} min, {needs}", "$text-muted")
            ),
            Content(check.do),
            Content(""),
            Content("What happened?"),
        ]
    )


def ranking(found: Found, room: int) -> Iterator[Content]:
    """One line and a bar a cause; what cannot be told apart shares a mark."""
    leaders = {cause.id for cause in found.diagnosis.leaders}
    wide = room >= 52
    for cause in found.diagnosis.causes[:SHOWN]:
        mark = "≈" if cause.id in leaders and len(leaders) > 1 else " "
        name = short(found.rules.causes[cause.id].name, room - (28 if wide else 13))
        length = 10 if wide else 5
        word = (f"  {cause.word}" if wide else "", "$text-muted")
        yield Content.assemble(
            (f"{mark}{cause.probability:4.0%} ", "bold"),
            (bar(cause.probability, length), "$primary"),
            " ",
            name,
            word,
        )


def why_words(found: Found, number: int) -> Content:
    """Because you wrote …: what speaks for the cause and what against it."""
    if number >= len(found.diagnosis.causes):
        return Content("")
    cause = found.diagnosis.causes[number]
    parts = [Content.styled(found.rules.causes[cause.id].name, "bold $accent")]
    for head, sign, reasons in (
        ("for", "+", cause.why.speaks_for[:4]),
        ("against", "−", cause.why.against[:3]),
    ):
        parts += [
            Content.assemble((f"{sign} {_strength(reason)} {head}: ", "bold"), _reason(found, reason))
            for reason in reasons
        ]
    if len(parts) == 1:
        parts.append(Content("No single note or check decides here."))
    parts.append(Content.styled("A guess until a check has confirmed it.", "$text-muted"))
    return Content("\n").join(parts)


def _strength(reason: Reason) -> str:
    size = abs(reason.bits)
    return "strongly" if size >= 2 else "clearly" if size >= 0.8 else "a little"


def _reason(found: Found, reason: Reason) -> str:
    if reason.id in found.rules.checks:
        return f"the check “{found.rules.checks[reason.id].name}”"
    if reason.id.startswith("words."):
        return f"your words on when it happens ({reason.id.removeprefix('words.').replace('_', ' ')})"
    said = next((s for s in found.sightings if s.fault == reason.id and s.words), None)
    name = fault_name(found.rules, reason.id)
    return f"you wrote “{short(said.words, 60)}” ({day_words(said.day, found.today)})" if said else name


def verdict_words(found: Found) -> Content:
    """What can be said now, and what ends it."""
    diagnosis = found.diagnosis
    head, rest = verdict_parts(diagnosis)
    parts = [Content.assemble((f"{head}: ", "bold $primary"), rest)]
    if diagnosis.verdict == "settled":
        parts.append(Content.styled("c makes it the one change.", "bold"))
    if not diagnosis.causes:
        parts.append(
            Content(
                "Write a note and keep its sightings first, or press “this is me” on a fault you look up."
            )
        )
    if diagnosis.coach_look:
        parts.append(Content(diagnosis.coach_look))
    if found.change is not None:
        until = day_words(found.change.stop_on, found.today)
        parts.append(
            Content(
                f"Running until {until}: {found.change.instruction.rstrip('.')}. A second change waits for its end."
            )
        )
    for each in found.dilemmas:
        parts.append(
            Content.assemble(
                ("Advice both ways: ", "bold $warning"),
                f"“{short(each.one, 50)}” and “{short(each.other, 50)}”: d shows what decides.",
            )
        )
    if diagnosis.method != "exact":
        parts.append(
            Content.styled(f"Sampled, not summed: within about ±{diagnosis.error:.3f}.", "$text-muted")
        )
    return Content("\n").join(parts)
