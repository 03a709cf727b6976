"""What the trial screen shows: the answers before it begins, the try to play, the result with its spread."""

from __future__ import annotations

import textwrap
from collections.abc import Iterator
from dataclasses import dataclass, replace

from textual.content import Content

from journal import practice, table_trial
from journal.dilemmas import still_open
from journal.store.work import UnitOfWork
from journal.table_trial import Standing, Trial
from journal.ui.pictures import drill_picture
from journal.ui.words import bar, plural
from knowledge.entries import Dilemma, Drill
from knowledge.rulebase import RuleBase

MINUTES_A_TRY = 0.5
"""Common practice, no source."""


@dataclass(frozen=True, slots=True)
class TrialGoing:
    """A trial that is being scored. Hits are not shown while it goes on, so that they do not sway the player."""

    trial: Trial
    dilemma: Dilemma
    drill: Drill | None
    for_two: bool = False

    @property
    def _over(self) -> bool:
        return self.trial.next_setting is None

    @property
    def name(self) -> str:
        """Of the dilemma."""
        return f"Trial: {self.dilemma.name}"

    @property
    def now(self) -> str:
        """The setting to play now."""
        number = self.trial.next_setting
        return "all played" if number is None else self.trial.settings[number]

    @property
    def minutes(self) -> float:
        """Of the whole trial."""
        return len(self.trial.order) * MINUTES_A_TRY

    @property
    def score(self) -> str:
        """Tries played, of those planned."""
        return f"{self.trial.result.tries}/{len(self.trial.order)}"

    def picture(self, columns: int, rows: int, *, dark: bool) -> Content | None:
        """The positions of the drill that the trial is set up as."""
        return drill_picture(self.drill, columns, rows, dark=dark) if self.drill is not None else None

    def tally(self) -> Content:
        """Which try it is, what counts as a hit, and what was scored last."""
        number, tries = self.trial.next_setting, self.trial.result.tries
        planned = len(self.trial.order)
        now = (
            f"all {planned} tries are played: enter shows the result"
            if number is None
            else f"try {tries + 1} of {planned}, now: {self.trial.settings[number]}"
        )
        parts = [Content.styled(now, "bold"), Content(f"hit: {self.dilemma.hit}")]
        if tries:
            last = self.trial.settings[self.trial.order[tries - 1]]
            hit = "hit" if self.trial.result.detail["balls"][-1] else "miss"
            parts.append(Content(f"last: {last}, {hit} (u takes it back)"))
        else:
            parts.append(Content("the score comes at the end, so that it does not sway you"))
        return Content("\n").join(parts)

    def steps(self, *, short_form: bool) -> Content:
        """The set-up and the trial in words."""
        parts = [Content(f"Set up: {self.drill.setup}")] if self.drill is not None else []
        return Content("\n").join([*parts, *([] if short_form else [Content(self.dilemma.trial)])])

    def ball(self, work: UnitOfWork, hit: bool) -> TrialGoing:
        """After one more try."""
        return replace(self, trial=table_trial.score(work, self.trial, hit))

    def undo(self, work: UnitOfWork) -> TrialGoing:
        """Without the last try."""
        return replace(self, trial=table_trial.undo(work, self.trial))

    def point(self, work: UnitOfWork, side: str) -> TrialGoing:  # noqa: ARG002 (a trial has no points)
        """Nothing: a trial is not played for points."""
        return self

    def finish(self, work: UnitOfWork, minutes: float | None) -> tuple[str, str]:
        """End it for today."""
        done = table_trial.finish(work, self.trial, minutes=minutes)
        if done is None:
            return "nothing was scored, so nothing is kept", ""
        return f"kept: {plural(done.tries, 'try', 'tries')} of today's trial", ""

    def put_by(self, work: UnitOfWork) -> bool:
        """Leave it for later."""
        return practice.put_by(work, self.trial.result)


def going_of(rules: RuleBase, trial: Trial) -> TrialGoing:
    """With the drill that the trial is set up as, when one has positions."""
    dilemma = rules.dilemmas[trial.result.ref]
    drills = (rules.drills[ref] for ref in dilemma.trial_refs if ref in rules.drills)
    return TrialGoing(trial, dilemma, next(iter(drills), None))


def about_words(standing: Standing, tries: int, width: int) -> Content:
    """The page before and after: both answers, what is tried, how it stands."""
    dilemma = standing.dilemma
    parts = [Content.styled(dilemma.name, "bold $accent"), Content("")]
    if standing.caution:
        parts = [Content.assemble(("! ", "bold $warning"), standing.caution), *parts]
    result = list(_result(standing, width))
    parts += [*result, Content("")] if result else []
    parts += [_named("Some say", dilemma.one, width), _named("Others say", dilemma.other, width), Content("")]
    if not table_trial.can_be_tried(dilemma):
        parts += [Content("This trial is not counted try by try:"), Content(dilemma.trial)]
        return Content("\n").join(parts)
    parts += [
        _named("You try", f"{', '.join(dilemma.settings)}, in shuffled order", width),
        _named("A hit is", f"when {dilemma.hit}", width),
        Content(""),
        Content.styled(_next_words(standing, tries), "bold"),
        Content(""),
        _named("In full", dilemma.trial, width),
    ]
    return Content("\n").join(parts)


def _named(what: str, words: str, width: int) -> Content:
    lines = textwrap.wrap(words, max(30, width - 18)) or [""]
    return Content.assemble((what.ljust(12), "bold $primary"), ("\n" + " " * 12).join(lines))


def _next_words(standing: Standing, tries: int) -> str:
    if standing.going is not None:
        return f"Interrupted after {standing.going[0]} of {standing.going[1]} tries: enter goes on."
    again = "again, better on another day" if standing.days else "now"
    return f"Enter begins {again}: {tries} tries of each answer (t changes that)."


def _result(standing: Standing, width: int) -> Iterator[Content]:
    """Each setting with its rate and spread, and what can be said."""
    if not standing.days:
        return
    yield Content.styled(f"So far, on {plural(standing.days, 'day')}", "bold $primary")
    room = max(len(name) for name in standing.dilemma.settings)
    verdict = standing.verdict
    for number, tally in enumerate(standing.tallies):
        rate = tally.hits / tally.tries if tally.tries else 0.0
        told = f"{tally.hits} of {tally.tries}"
        if verdict is not None:
            low, high = verdict.spreads[number]
            told += f"  {rate:.0%}, fits {low:.0%} to {high:.0%}"
        best = verdict is not None and verdict.winner == tally.setting
        yield Content.assemble(
            ("▸ " if best else "  "), (tally.setting.ljust(room), "bold"), "  ",
            (bar(rate, 20 if width >= 100 else 10), "$primary"), f"  {told}",
        )  # fmt: skip
    if verdict is None:
        yield Content("Cannot tell yet: not every answer was tried.")
    elif verdict.winner is None:
        yield Content.styled(f"{still_open(verdict.more)}.", "bold")
    else:
        yield Content.styled(f"Best: {verdict.winner}, with a chance of {max(verdict.chances):.0%}.", "bold")
        yield Content(table_trial.doubt_of_winner(len(standing.tallies)))
