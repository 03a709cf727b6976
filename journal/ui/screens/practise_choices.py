"""What can be practised now: interrupted work first, then the mix, what is due, trials, what comes next."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from datetime import date
from typing import Literal

from textual.content import Content

from journal import mixing, table_trial
from journal.days import clock
from journal.plans import items_on
from journal.practice import interrupted
from journal.records import ItemKind, ItemStatus, Player
from journal.store.work import UnitOfWork
from journal.ui.words import entry_name, item_name, short
from knowledge.rulebase import RuleBase

AHEAD, LISTED = 12, 16
"""Entries up to which planned drills, and up to which earlier ones, are added."""


@dataclass(frozen=True, slots=True)
class Choice:
    """One thing that can be practised now. ref: a drill's, a fault's or a dilemma's id; empty for a mix.

    refs: the drills of a mix that is to begin; none when it goes on.
    """

    ref: str
    name: str
    facts: str
    why: str
    mark: str = " "
    kind: Literal["drill", "mix", "trial"] = "drill"
    refs: tuple[str, ...] = ()

    def line(self, width: int, *, marked: bool = False) -> Content:
        """Two lines: name and facts, and why."""
        mark = "+" if marked else self.mark
        first = Content.assemble(
            (f"{mark} ", "bold $accent"),
            (short(self.name, max(12, width - len(self.facts) - 6)), "bold"),
            (f"  {self.facts}", "$text-muted"),
        )
        return first + Content("\n    " + short(self.why, width - 6))


def choices(
    work: UnitOfWork, rules: RuleBase, player: Player, today: date, marked: Sequence[str] = ()
) -> list[Choice]:
    """Everything, each once. marked: drills chosen by hand for mixing."""
    found = [*_interrupted(work, rules, player), *_mix(work, rules, player, today, marked)]
    found += _due(work, rules, player, today)
    found += _trial(work, rules, player, {each.ref for each in found})
    for added, most in (
        (_planned(work, rules, player, today), AHEAD),
        (_earlier(work, rules, player), LISTED),
    ):
        for each in added:
            if len(found) < most and each.ref not in {one.ref for one in found}:
                found.append(each)
    return found


def _interrupted(work: UnitOfWork, rules: RuleBase, player: Player) -> Iterator[Choice]:
    why = "Interrupted: go on with it."
    mix = mixing.going_on(work, player)
    if mix is not None and all(part.ref in rules.drills for part in mix.parts):
        names = [rules.drills[part.ref].name for part in mix.parts]
        facts = f"{mix.played} of {len(mix.order)} tries"
        yield Choice("", "Mixed: " + ", ".join(names), facts, why, "▸", "mix")
    trial = table_trial.going_on(work, player)
    if trial is not None and trial.result.ref in rules.dilemmas:
        name = rules.dilemmas[trial.result.ref].name
        facts = f"{trial.result.tries} of {len(trial.order)} tries"
        yield Choice(trial.result.ref, f"Trial: {name}", facts, why, "▸", "trial")
    for going in interrupted(work, player):
        facts = f"{going.hits} of {going.tries} so far"
        yield Choice(going.ref, entry_name(rules.entries, going.ref), facts, why, "▸")


def _mix(
    work: UnitOfWork, rules: RuleBase, player: Player, today: date, marked: Sequence[str]
) -> Iterator[Choice]:
    """The drills marked by hand, or today's as a proposal."""
    refs = tuple(marked) if len(marked) >= 2 else ()
    if not refs and mixing.going_on(work, player) is None:
        refs = mixing.suggested(work, rules, player, today)
    if refs:
        names = ", ".join(rules.drills[ref].name for ref in refs)
        facts = f"{len(refs)} × {mixing.EACH} tries"
        why = "Changing order is a leaning: in sport its evidence is weak (o: off)."
        yield Choice("", f"Mixed: {names}", facts, why, " ", "mix", refs)


def _due(work: UnitOfWork, rules: RuleBase, player: Player, today: date) -> Iterator[Choice]:
    for item in items_on(work, player, today):
        if item.kind in (ItemKind.DRILL, ItemKind.RECHECK):
            mark = "✓" if item.status is ItemStatus.DONE else " "
            facts = f"{clock(item.start_minute)}, {item.minutes:g} min"
            yield Choice(item.ref, item_name(item, rules), facts, item.why, mark)


def _trial(work: UnitOfWork, rules: RuleBase, player: Player, listed: set[str]) -> Iterator[Choice]:
    """The trial that the notes ask for, until it has decided."""
    asked = next((each for each in table_trial.offers(work, rules, player) if each.asked), None)
    if asked is None or asked.dilemma.id in listed:
        return
    standing = table_trial.standing(work, rules, player, asked.dilemma.id)
    if standing.verdict is None or standing.verdict.winner is None:
        facts = f"{len(asked.dilemma.settings)} answers in shuffled order"
        yield Choice(asked.dilemma.id, f"Trial: {asked.dilemma.name}", facts, asked.why, " ", "trial")


def _planned(work: UnitOfWork, rules: RuleBase, player: Player, today: date) -> Iterator[Choice]:
    for item in work.plan_items.all(order="day", player_id=player.id, status=ItemStatus.OPEN):
        if item.kind is ItemKind.DRILL and item.day > today:
            facts = f"planned for {item.day.day} {item.day:%b}"
            yield Choice(item.ref, item_name(item, rules), facts, item.why)


def _earlier(work: UnitOfWork, rules: RuleBase, player: Player) -> Iterator[Choice]:
    for result in work.results.all(order="-taken_at", player_id=player.id, open=False):
        if result.ref in rules.drills:
            drill = rules.drills[result.ref]
            yield Choice(drill.id, drill.name, f"last {result.hits} of {result.tries}", drill.purpose)
