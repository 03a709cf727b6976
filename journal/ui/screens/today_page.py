"""The words of the first screen."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from textual.content import Content

from journal.days import clock, day_words
from journal.records import ItemKind, PlanItem
from journal.today import Today
from journal.ui.care import care_words
from journal.ui.words import fault_name, item_name, plural, short
from knowledge.rulebase import RuleBase

SHOWN = 6
"""Items listed on the first screen."""


def page(found: Today, rules: RuleBase, width: int) -> Iterator[Content]:
    """Line by line."""
    yield from _pain(found)
    if found.has_draft:
        yield Content.styled("An unfinished note is waiting: n goes on with it.", "bold")
        yield Content("")
    yield from _intention(found)
    yield from _change(found, rules)
    yield from _due(found, rules, width)
    yield from _slipping(found, rules)
    if found.open_sightings:
        yield Content(f"{plural(found.open_sightings, 'sighting')} not answered yet: h opens the notes.")


def _head(words: str, right: str = "") -> Content:
    return Content.assemble((words, "bold $primary"), ("   " + right if right else "", "$text-muted"))


def _pain(found: Today) -> Iterator[Content]:
    if found.pain is not None:
        yield care_words(found.pain, found.day)
        yield Content("")


def _intention(found: Today) -> Iterator[Content]:
    note = found.intention
    if note is None and found.has_draft and not found.notes:
        return  # the first note is being written: nothing stands behind it yet
    if note is None:
        yield _head("Last time you wrote")
        words = (
            "nothing for next time yet."
            if found.notes
            else "nothing yet. n begins your first note: one minute is enough."
        )
        yield Content(f"  {words}")
    else:
        yield _head("Last time you wrote", day_words(note.day, found.day))
        yield Content(f"  “{short(note.next_time, 300)}”")
    yield Content("")


def _change(found: Today, rules: RuleBase) -> Iterator[Content]:
    change = found.change
    if change is None:
        if found.notes:
            yield _head("One change")
            yield Content("  none is running: c finds the likely cause and what to change.")
            yield Content("")
        return
    length = (change.stop_on - change.started_on).days + 1
    day = (found.day - change.started_on).days + 1
    left = (
        f"day {day} of {length}"
        if day <= length
        else f"ended {day_words(change.stop_on, found.day)}: g tells whether it helped"
    )
    yield _head(f"One change: {change.instruction}", left)
    yield Content(f"  against: {fault_name(rules, change.fault)} · aim: {change.measure}")
    yield Content("")


def _due(found: Today, rules: RuleBase, width: int) -> Iterator[Content]:
    items = found.due or found.next_items
    matches = [item for item in items if item.kind is ItemKind.MATCH]
    practice = [item for item in items if item.kind is not ItemKind.MATCH]
    for match in matches:
        yield _head("Match", f"{_when(match, found)}{_called(match)}")
    if practice:
        minutes = f"{sum(item.minutes for item in practice):g} min"
        if found.due:
            yield _head("Due today", f"{minutes} · p begins")
        else:
            yield _head("Next", f"{_when(practice[0], found)}, {minutes}")
        yield from _items(practice, rules, width)
    elif not matches:
        yield _head("Due today")
        yield Content("  nothing is planned: l makes a plan.")
    yield Content("")


def _when(item: PlanItem, found: Today) -> str:
    return f"{day_words(item.day, found.day)} at {clock(item.start_minute)}"


def _called(match: PlanItem) -> str:
    """Its own name, where it has one."""
    return "" if match.why == "Match" else f" · {short(match.why, 40)}"


def _items(items: Sequence[PlanItem], rules: RuleBase, width: int) -> Iterator[Content]:
    """The items to be done; warming up and winding down are left to the plan."""
    named = [item for item in items if item.kind is not ItemKind.REST]
    room = max(16, min(36, width - 44))
    for number, item in enumerate(named[:SHOWN], 1):
        cell = Content(short(item_name(item, rules), room))
        gap = " " * (room - cell.cell_length)
        why = short(item.why, width - room - 18)
        yield Content.assemble(
            f"  {number:>2}  ", cell, gap, f" {item.minutes:3g} min  ", (why, "$text-muted")
        )
    if len(named) > SHOWN:
        yield Content(f"      and {len(named) - SHOWN} more: l shows the plan.")


def _slipping(found: Today, rules: RuleBase) -> Iterator[Content]:
    if not found.slipping:
        return
    yield _head("Slipping")
    for slip in found.slipping[:3]:
        before = f" (was {slip.before} in {slip.before_days})" if slip.before_days else ""
        name = fault_name(rules, slip.fault)
        yield Content(f"  {name}: on {slip.recent} of the last {slip.recent_days} days with a note{before}")
    yield Content("")
