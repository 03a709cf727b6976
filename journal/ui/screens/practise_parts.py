"""What the practise screen shows and asks the use cases for."""

from __future__ import annotations

from dataclasses import dataclass, replace
from datetime import date, datetime

from textual.content import Content

from journal.plans import items_on
from journal.practice import Standing, find_ref, points_of, resume, standing, start, tally
from journal.prescription import dose
from journal.records import ItemKind, ItemStatus, Player, Result
from journal.store.work import UnitOfWork
from journal.ui.pictures import drill_picture
from journal.ui.words import bar, clock, item_name
from knowledge.entries import Drill
from knowledge.rulebase import RuleBase


@dataclass(frozen=True, slots=True)
class Choice:
    """One thing that can be practised now."""

    ref: str
    name: str
    facts: str
    why: str
    mark: str = " "


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

    def with_result(self, result: Result) -> Going:
        """The same after one more ball."""
        return replace(self, result=result)

    @property
    def for_two(self) -> bool:
        """Whether two can play it for points."""
        return self.drill is not None and self.drill.people != "solo"

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


def choices(work: UnitOfWork, rules: RuleBase, player: Player, today: date) -> list[Choice]:
    """What was interrupted, then what is due today, then what comes next or was practised lately."""
    found: list[Choice] = []
    going = resume(work, player)
    if going is not None:
        name = rules.entries[going.ref].id if going.ref in rules.entries else going.ref
        entry = rules.drills.get(going.ref) or rules.faults.get(going.ref)
        found.append(
            Choice(
                going.ref,
                entry.name if entry else name,
                f"{going.hits} of {going.tries} so far",
                "Interrupted: go on with it.",
                "▸",
            )
        )
    for item in items_on(work, player, today):
        if item.kind in (ItemKind.DRILL, ItemKind.RECHECK):
            mark = "✓" if item.status is ItemStatus.DONE else " "
            found.append(
                Choice(
                    item.ref,
                    item_name(item, rules),
                    f"{clock(item.start_minute)}, {item.minutes:g} min",
                    item.why,
                    mark,
                )
            )
    known = {choice.ref for choice in found}
    ahead = [
        item
        for item in work.plan_items.all(order="day", player_id=player.id, status=ItemStatus.OPEN)
        if item.day > today
    ]
    for item in ahead:
        if item.kind is ItemKind.DRILL and item.ref not in known and len(found) < 12:
            known.add(item.ref)
            found.append(
                Choice(
                    item.ref, item_name(item, rules), f"planned for {item.day.day} {item.day:%b}", item.why
                )
            )
    for result in work.results.all(order="-taken_at", player_id=player.id, open=False):
        if result.ref in rules.drills and result.ref not in known and len(found) < 16:
            known.add(result.ref)
            found.append(
                Choice(
                    result.ref,
                    rules.drills[result.ref].name,
                    f"last {result.hits} of {result.tries}",
                    rules.drills[result.ref].purpose,
                )
            )
    return found


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


def tally_words(going: Going) -> Content:
    """Beside the big score: the rate with its spread, the run, the rung, the target, the best so far."""
    stand = tally(going.result, going.drill, going.level)
    rate = stand.hits / stand.tries if stand.tries else 0.0
    first = (
        f"{bar(rate, 12)} {rate:.0%}, fits {stand.low:.0%} to {stand.high:.0%}"
        if stand.tries
        else "→ hit   ← miss"
    )
    runs = f"run {stand.run}, best run {stand.best_run}"
    if stand.rung is not None:
        runs += f" · rung {stand.rung}, highest {stand.top_rung}"
    best = f" · best {going.before.best[0]} of {going.before.best[1]}" if going.before.best else ""
    parts = [Content(first), Content(runs), Content(f"target: {going.target}{best}")]
    if stand.hint:
        parts.append(Content.styled(stand.hint, "bold $warning"))
    return Content("\n").join(parts)


def steps_words(going: Going, *, short_form: bool) -> Content:
    """What to do. short_form: beside a picture the set-up and score are enough."""
    drill = going.drill
    if drill is None:
        return Content(going.meaning)
    parts: list[Content] = []
    if drill.caution:
        parts.append(Content.assemble(("! ", "bold $warning"), drill.caution))
    if not short_form:
        parts.append(Content(drill.setup))
    parts += [Content(f"{number}. {step}") for number, step in enumerate(drill.steps, 1)]
    parts.append(Content(f"Score: {drill.score}"))
    return Content("\n").join(parts)
