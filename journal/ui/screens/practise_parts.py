"""A drill, a re-check or several drills together, as the practise screen scores them."""

from __future__ import annotations

import re
from dataclasses import dataclass, replace
from datetime import date, datetime

from textual.content import Content

from journal import mixing, practice
from journal.mixing import Mix
from journal.points import for_two, how_to_score, in_points, taken_off
from journal.practice import Standing, find_ref, points_of, resume, standing, start, tally
from journal.prescription import dose
from journal.records import Player, Result
from journal.store.work import UnitOfWork
from journal.ui.pictures import drill_picture
from journal.ui.words import bar
from knowledge.entries import Drill
from knowledge.rulebase import RuleBase

KEPT_HINT = "n writes a note when you are through."


@dataclass(frozen=True, slots=True)
class Going:
    """A drill or re-check that is being scored."""

    result: Result
    name: str
    drill: Drill | None
    target: str
    minutes: float
    level: str
    before: Standing
    meaning: str = ""
    now: str = ""

    @property
    def for_two(self) -> bool:
        """Whether two can play it for points."""
        return self.drill is not None and for_two(self.drill)

    @property
    def score(self) -> str:
        """The big figures: hits and tries, or the points of a game."""
        points = points_of(self.result)
        if any(points):
            return f"{points[0]}:{points[1]}"
        return f"{self.result.hits}/{self.result.tries}"

    def picture(self, columns: int, rows: int, *, dark: bool) -> Content | None:
        """The positions, when the drill has any."""
        return drill_picture(self.drill, columns, rows, dark=dark) if self.drill is not None else None

    def tally(self) -> Content:
        """The rate with its spread, the run, the rung, the target, the best so far."""
        return tally_words(self)

    def steps(self, *, short_form: bool) -> Content:
        """What to do."""
        return steps_words(self.drill, short_form=short_form) if self.drill else Content(self.meaning)

    def ball(self, work: UnitOfWork, hit: bool) -> Going:
        """After one more ball."""
        return replace(self, result=practice.ball(work, self.result, hit))

    def undo(self, work: UnitOfWork) -> Going:
        """Without the last ball."""
        return replace(self, result=practice.undo(work, self.result))

    def point(self, work: UnitOfWork, side: str) -> Going:
        """After a point in a game for two."""
        return replace(self, result=practice.point(work, self.result, side, 1))

    def finish(self, work: UnitOfWork, minutes: float | None) -> tuple[str, str]:
        """Close it."""
        done = practice.finish(work, self.result, minutes=minutes)
        if done is None:
            return "nothing was scored, so nothing is kept", ""
        return f"kept: {self.name}, {done.hits} of {done.tries}", KEPT_HINT

    def put_by(self, work: UnitOfWork) -> bool:
        """Leave it for later."""
        return practice.put_by(work, self.result)


@dataclass(frozen=True, slots=True)
class MixedGoing:
    """Several drills whose tries come in shuffled order."""

    mix: Mix
    drills: tuple[Drill, ...]
    targets: tuple[str, ...]
    for_two: bool = False

    @property
    def _number(self) -> int:
        """Of the drill on the screen: the one to play, or the last one when all tries were played."""
        number = self.mix.next_part
        return self.mix.order[-1] if number is None else number

    @property
    def name(self) -> str:
        """The drill to play now, in full."""
        letter = "ABCDE"[self._number]
        return f"Mixed, drill {letter}: {self.drills[self._number].name}"

    @property
    def now(self) -> str:
        """The drill to play now."""
        if self.mix.next_part is None:
            return "all played"
        name = re.sub(r"^(?:an?|the) ", "", self.drills[self._number].name, flags=re.IGNORECASE)
        return f"{'ABCDE'[self._number]} {name}"

    @property
    def minutes(self) -> float:
        """Of all drills."""
        return sum(drill.minutes for drill in self.drills)

    @property
    def score(self) -> str:
        """Hits and tries of the drill to play now."""
        part = self.mix.parts[self._number]
        return f"{part.hits}/{part.tries}"

    def picture(self, columns: int, rows: int, *, dark: bool) -> Content | None:
        """The positions of the drill to play now."""
        return drill_picture(self.drills[self._number], columns, rows, dark=dark)

    def tally(self) -> Content:
        """How far it is, the target, every drill's score."""
        planned = len(self.mix.order)
        first = (
            f"try {self.mix.played + 1} of {planned}"
            if self.mix.next_part is not None
            else f"all {planned} tries are played: enter keeps them"
        )
        scores = "   ".join(f"{'ABCDE'[n]} {part.hits}/{part.tries}" for n, part in enumerate(self.mix.parts))
        return Content("\n").join(
            [
                Content.styled(first, "bold"),
                Content(f"target: {self.targets[self._number]}"),
                Content(scores),
                Content.styled("a leaning only: weak evidence in sport", "$text-muted"),
            ]
        )

    def steps(self, *, short_form: bool) -> Content:
        """What to do in the drill to play now."""
        return steps_words(self.drills[self._number], short_form=short_form)

    def ball(self, work: UnitOfWork, hit: bool) -> MixedGoing:
        """After one more try."""
        return replace(self, mix=mixing.score(work, self.mix, hit))

    def undo(self, work: UnitOfWork) -> MixedGoing:
        """Without the last try."""
        return replace(self, mix=mixing.undo(work, self.mix))

    def point(self, work: UnitOfWork, side: str) -> MixedGoing:  # noqa: ARG002 (no points in a mix)
        """Nothing: mixed drills are not played for points."""
        return self

    def finish(self, work: UnitOfWork, minutes: float | None) -> tuple[str, str]:
        """Close them all."""
        kept = mixing.finish(work, self.mix, minutes=minutes)
        if not kept:
            return "nothing was scored, so nothing is kept", ""
        names = {drill.id: drill.name for drill in self.drills}
        told = "; ".join(f"{names[each.ref]}, {each.hits} of {each.tries}" for each in kept)
        return f"kept: {told}", KEPT_HINT

    def put_by(self, work: UnitOfWork) -> bool:
        """Leave them all for later."""
        return practice.put_by(work, *self.mix.parts)


def open_drill(
    work: UnitOfWork, rules: RuleBase, player: Player, ref: str, *, now: datetime, today: date
) -> Going:
    """Go on with a drill that was interrupted, or begin it. Raises: UnknownEntry."""
    ref, kind = find_ref(rules, ref)
    before = standing(work, player, ref)
    result = resume(work, player, ref) or start(work, player, ref, kind, now=now, today=today)
    drill = rules.drills.get(ref)
    if drill is None:
        fault = rules.faults[ref]
        target = "a clean ball is a hit, the fault is a miss"
        return Going(
            result, f"re-check: {fault.name}", None, target, 4.0, player.level, before, fault.meaning
        )
    return Going(result, drill.name, drill, dose(drill, player).target, drill.minutes, player.level, before)


def open_mix(
    work: UnitOfWork,
    rules: RuleBase,
    player: Player,
    refs: tuple[str, ...],
    *,
    now: datetime,
    today: date,
) -> MixedGoing:
    """Begin these drills together; without any, go on with those that were interrupted. Raises: BadInput,
    UnknownEntry."""
    mix = None if refs else mixing.going_on(work, player)
    if mix is None:
        mix = mixing.start(work, rules, player, refs, now=now, today=today)
    drills = tuple(rules.drills[part.ref] for part in mix.parts)
    return MixedGoing(mix, drills, tuple(_mixed_target(drill, player) for drill in drills))


def _mixed_target(drill: Drill, player: Player) -> str:
    """In a mix one try is one shot, so that a drill in points needs a word on what a hit is."""
    target = dose(drill, player).target
    return f"{target}; here a shot with all its points is a hit" if in_points(drill, player.level) else target


def tally_words(going: Going) -> Content:
    """Beside the big score: the rate with its spread, the run, the rung, the target, the best so far."""
    stand = tally(going.result, going.drill, going.level)
    rate = stand.hits / stand.tries if stand.tries else 0.0
    how = how_to_score(going.drill, going.level) if going.drill else None
    first = (
        f"{bar(rate, 12)} {rate:.0%}, fits {stand.low:.0%} to {stand.high:.0%}"
        if stand.tries
        else ("→ point won   ← point not won" if how else "→ hit   ← miss")
    )
    runs = f"run {stand.run}, best run {stand.best_run}"
    if stand.rung is not None:
        runs += f" · rung {stand.rung}, highest {stand.top_rung}"
    best = f" · best {going.before.best[0]} of {going.before.best[1]}" if going.before.best else ""
    parts = [Content(first), Content(how or runs), Content(f"target: {going.target}{best}")]
    if stand.hint:
        parts.append(Content.styled(stand.hint, "bold $warning"))
    return Content("\n").join(parts)


def steps_words(drill: Drill, *, short_form: bool) -> Content:
    """What to do. short_form: beside a picture the steps and the score are enough."""
    parts: list[Content] = []
    if drill.caution:
        parts.append(Content.assemble(("! ", "bold $warning"), drill.caution))
    if not short_form:
        parts.append(Content(drill.setup))
    parts += [Content(f"{number}. {step}") for number, step in enumerate(drill.steps, 1)]
    parts.append(Content(" ".join(["Score:", drill.score, taken_off(drill) or ""]).rstrip()))
    return Content("\n").join(parts)
