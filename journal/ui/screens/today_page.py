"""The words of the first screen."""

from __future__ import annotations

from collections.abc import Iterator

from textual.content import Content

from journal.records import ItemKind, PlanItem
from journal.today import Today
from journal.ui.words import clock, day_words, entry_name, fault_name, plural, short
from knowledge.rulebase import RuleBase


def page(found: Today, rules: RuleBase, width: int) -> Iterator[Content]:
    """Line by line."""
    if found.pain is not None:
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
    from journal.prescription import PAIN_CAUTION

    when = day_words(found.pain, found.day) if found.pain else ""
    yield Content.assemble((f"! Care ({when})  ", "bold $warning"), PAIN_CAUTION)
    yield Content("")


def _intention(found: Today) -> Iterator[Content]:
    note = found.intention
    if note is None:
        yield _head("Last time you wrote")
        words = "nothing for next time yet." if found.notes else "nothing yet. n begins your first note: one minute is enough."
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
    length = (change.stop_on - change.started_on).days
    day = (found.day - change.started_on).days + 1
    left = f"day {day} of {length}" if day <= length else f"ended {day_words(change.stop_on, found.day)}: g tells whether it helped"
    yield _head(f"One change: {change.instruction}", left)
    yield Content(f"  against: {fault_name(rules, change.fault)} · decided by: {change.measure}")
    yield Content("")


def _due(found: Today, rules: RuleBase, width: int) -> Iterator[Content]:
    minutes = sum(item.minutes for item in found.due)
    if found.due:
        yield _head("Due today", f"{minutes:g} min · p begins")
        for number, item in enumerate(found.due, 1):
            yield _item(number, item, rules, width)
    elif found.next_items:
        day = found.next_items[0].day
        yield _head("Next", f"{day_words(day, found.day)} at {clock(found.next_items[0].start_minute)}")
        for number, item in enumerate(found.next_items, 1):
            yield _item(number, item, rules, width)
    else:
        yield _head("Due today")
        yield Content("  nothing is planned: l makes a plan.")
    yield Content("")


def _item(number: int, item: PlanItem, rules: RuleBase, width: int) -> Content:
    name = item.why if item.kind in (ItemKind.MATCH, ItemKind.REST) else entry_name(rules.entries, item.ref)
    if item.kind is ItemKind.RECHECK:
        name = f"re-check: {name}"
    room = max(16, min(34, width - 44))
    cell = Content(short(name, room))
    padded = cell + Content(" " * (room - cell.cell_length))
    return Content.assemble(f"  {number}  ", padded, f" {item.minutes:3g} min  ", (short(item.why, width - room - 16), "$text-muted"))


def _slipping(found: Today, rules: RuleBase) -> Iterator[Content]:
    if not found.slipping:
        return
    yield _head("Slipping")
    for slip in found.slipping[:3]:
        before = f" (was {slip.before} in {slip.before_days})" if slip.before_days else ""
        yield Content(f"  {fault_name(rules, slip.fault)}: on {slip.recent} of the last {slip.recent_days} days with a note{before}")
    yield Content("")
