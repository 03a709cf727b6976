"""A dilemma's answers tried at the table in shuffled order, each try on disk before the next one is played.

A running trial is an open result of kind trial whose ref is the dilemma. Its detail holds the settings, the order
in which they come, and 1 for a hit or 0 for a miss; the try that comes next follows from the tries played. Several
days' trials of the same settings are counted together.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date, datetime

from journal import practice
from journal.care import pain_noted
from journal.dilemmas import ENOUGH_TRIES, TrialVerdict, find_dilemmas, judge_trial, shuffled_order
from journal.errors import BadInput, UnknownEntry
from journal.prescription import PAIN_CAUTION, PAIN_FAULTS
from journal.records import ItemKind, Player, Result
from journal.store.work import UnitOfWork
from journal.trials import Tally
from knowledge.entries import Dilemma
from knowledge.rulebase import RuleBase

NOTES_READ = 8
"""Notes in which advice that pulls two ways is looked for."""
CHOICES = (10, 20, 30)
"""Tries of each setting to choose from; 20 decide at the earliest."""
_ALIKE = {2: "1 in 6", 3: "1 in 20"}
"""How many trials of equally good answers name a winner when looked at after each of three days of 20 tries of
each; a test plays such trials."""


@dataclass(frozen=True, slots=True)
class Trial:
    """A trial that goes on. order: numbers of the settings, try by try."""

    result: Result
    settings: tuple[str, ...]
    order: tuple[int, ...]

    @classmethod
    def of(cls, result: Result) -> Trial:
        """The trial that a result holds."""
        return cls(result, tuple(result.detail["settings"]), tuple(result.detail["order"]))

    @property
    def next_setting(self) -> int | None:
        """Number of the setting to play now; None when all tries were played."""
        return self.order[self.result.tries] if self.result.tries < len(self.order) else None


@dataclass(frozen=True, slots=True)
class Standing:
    """A dilemma's trials so far. days: on which there were any. going: tries played and planned of the open one.

    tallies: hits of tries of each setting, in the rules' order. verdict: None before each setting was tried.
    caution: pain was noted, to be shown with it.
    """

    dilemma: Dilemma
    days: int
    tallies: tuple[Tally, ...]
    verdict: TrialVerdict | None
    going: tuple[int, int] | None = None
    caution: str | None = None


@dataclass(frozen=True, slots=True)
class Offer:
    """A trial that can be played. why: what makes it worth while now, empty when nothing does.

    asked: recent notes hold advice for both of its sides.
    """

    dilemma: Dilemma
    why: str = ""
    asked: bool = False


def can_be_tried(dilemma: Dilemma) -> bool:
    """Whether its trial is counted try by try at the table."""
    return bool(dilemma.settings)


def begin(
    work: UnitOfWork,
    rules: RuleBase,
    player: Player,
    dilemma_id: str,
    *,
    now: datetime,
    today: date,
    tries: int = ENOUGH_TRIES,
) -> Trial:
    """Go on with this dilemma's trial, or begin one and make that permanent. tries: of each setting.

    The order follows from the time of beginning. Raises: UnknownEntry; BadInput for a trial that is not counted
    try by try, for impossible tries, and while pain is noted for one that touches it.
    """
    dilemma = named(rules, dilemma_id)
    if not can_be_tried(dilemma):
        raise BadInput(f"the trial of “{dilemma.name}” is not counted try by try", dilemma.trial)
    if PAIN_FAULTS & set(dilemma.faults) and pain_noted(work, player) is not None:
        raise BadInput("pain or strain is no matter for a trial", PAIN_CAUTION)
    open_one = going_on(work, player, dilemma_id)
    if open_one is not None:
        return open_one
    names = dilemma.settings
    order = [names.index(each) for each in shuffled_order(names, tries, int(now.timestamp()))]
    detail = {"settings": list(names), "order": order}
    result = practice.begun(work, player, dilemma_id, ItemKind.TRIAL, now=now, today=today, detail=detail)
    work.commit()
    return Trial.of(result)


def named(rules: RuleBase, dilemma_id: str) -> Dilemma:
    """The dilemma of this id. Raises: UnknownEntry."""
    dilemma = rules.dilemmas.get(dilemma_id)
    if dilemma is None:
        raise UnknownEntry(f"there is no dilemma {dilemma_id!r}", "Find it with: plainball lookup WORDS")
    return dilemma


def going_on(work: UnitOfWork, player: Player, dilemma_id: str | None = None) -> Trial | None:
    """The trial that was going on when the program stopped, the latest first."""
    found = work.results.all(order="-taken_at", player_id=player.id, kind=ItemKind.TRIAL, open=True)
    return next((Trial.of(each) for each in found if dilemma_id in (None, each.ref)), None)


def score(work: UnitOfWork, trial: Trial, hit: bool) -> Trial:
    """Score the try whose turn it is and make it permanent. Raises: BadInput when all were played."""
    if trial.next_setting is None:
        raise BadInput(
            f"all {len(trial.order)} tries are played", "enter shows the result; u takes the last one back."
        )
    return Trial.of(practice.ball(work, trial.result, hit))


def undo(work: UnitOfWork, trial: Trial) -> Trial:
    """Take the last try back; without a try nothing happens."""
    return Trial.of(practice.undo(work, trial.result))


def finish(work: UnitOfWork, trial: Trial, *, minutes: float | None = None) -> Result | None:
    """End it for today; one without a try is dropped and None comes back."""
    return practice.finish(work, trial.result, minutes=minutes)


def standing(work: UnitOfWork, rules: RuleBase, player: Player, dilemma_id: str) -> Standing:
    """What all trials of this dilemma say together, the open one included. Raises: UnknownEntry."""
    dilemma = named(rules, dilemma_id)
    results = work.results.all(order="taken_at", player_id=player.id, kind=ItemKind.TRIAL, ref=dilemma_id)
    same = [each for each in results if set(each.detail["settings"]) == set(dilemma.settings)]
    tallies = tallies_of(dilemma.settings, same)
    played = [each for each in same if each.tries]
    verdict = judge_trial(tallies) if tallies and all(tally.tries for tally in tallies) else None
    going = next(((each.tries, len(each.detail["order"])) for each in reversed(results) if each.open), None)
    caution = PAIN_CAUTION if pain_noted(work, player) is not None else None
    return Standing(dilemma, len({each.day for each in played}), tallies, verdict, going, caution)


def tallies_of(settings: Sequence[str], results: Sequence[Result]) -> tuple[Tally, ...]:
    """Hits of tries of each setting over all these trials."""
    hits, tries = dict.fromkeys(settings, 0), dict.fromkeys(settings, 0)
    for result in results:
        names = result.detail["settings"]
        for place, hit in zip(result.detail["order"], result.detail.get("balls", ()), strict=False):
            hits[names[place]] += hit
            tries[names[place]] += 1
    return tuple(Tally(name, hits[name], tries[name]) for name in settings)


def doubt_of_winner(settings: int) -> str:
    """What to think of a winner among so many answers."""
    share = _ALIKE[settings]
    return f"Looked at on three days, {share} trials of answers that are alike would name one too."


def offers(work: UnitOfWork, rules: RuleBase, player: Player) -> list[Offer]:
    """Every trial that can be played: the interrupted, those that the notes ask for, those begun, the rest."""
    open_one = going_on(work, player)
    notes = work.notes.all(order="-played_at", player_id=player.id)[:NOTES_READ]
    asked = [each.dilemma.id for note in notes for each in find_dilemmas(rules, note.text[:5000])]
    results = work.results.all(order="-taken_at", player_id=player.id, kind=ItemKind.TRIAL)
    tried = [each.ref for each in results]
    first = [open_one.result.ref] if open_one else []
    why = (
        dict.fromkeys(tried, "You tried it before.")
        | dict.fromkeys(asked, "Your notes hold advice both ways: try both.")
        | dict.fromkeys(first, "Interrupted: go on with it.")
    )
    order = dict.fromkeys([*first, *asked, *tried, *rules.dilemmas])
    return [
        Offer(rules.dilemmas[id_], why.get(id_, ""), id_ in asked)
        for id_ in order
        if id_ in rules.dilemmas and can_be_tried(rules.dilemmas[id_])
    ]
