"""How counts, names and chances are said on the screens."""

from __future__ import annotations

from collections.abc import Mapping
from typing import TYPE_CHECKING

from journal.records import ItemKind, PlanItem

if TYPE_CHECKING:
    from knowledge.entries import Entry, Fault
    from knowledge.rulebase import RuleBase

POLARITY = {"present": "", "absent": "not this time", "better": "better", "worse": "worse"}


def times(count: int | None) -> str:
    """ "once", "twice", "5 times"; nothing when unknown."""
    if count is None:
        return ""
    return {1: "once", 2: "twice"}.get(count, f"{count} times")


def plural(number: int, one: str, many: str | None = None) -> str:
    """ "1 note", "3 notes"."""
    return f"{number} {one if number == 1 else many or one + 's'}"


def fault_name(rules: RuleBase, fault: str) -> str:
    """The fault's name; its id when the rules no longer have it; says when it is no fault at all."""
    if fault == "none":
        return "no fault"
    found: Fault | None = rules.faults.get(fault)
    return found.name if found else fault


def item_name(item: PlanItem, rules: RuleBase) -> str:
    """What a plan item is called."""
    if item.kind is ItemKind.MATCH:
        return item.why
    if item.kind is ItemKind.REST:
        return {"warm_up": "warm-up", "wind_down": "wind-down"}.get(item.ref, "rest")
    name = entry_name(rules.entries, item.ref)
    return f"re-check: {name}" if item.kind is ItemKind.RECHECK else name


def entry_name(entries: Mapping[str, Entry], id_: str) -> str:
    """Any entry's title; the id when there is none."""
    from knowledge.rulebase import (
        title_of,
    )  # here, so that the first screen is painted without the rules' types

    entry = entries.get(id_)
    return title_of(entry) if entry else id_


def bar(share: float, width: int = 10) -> str:
    """A bar of a share in [0, 1], readable without colour."""
    eighths = round(max(0.0, min(1.0, share)) * width * 8)
    full, part = divmod(eighths, 8)
    return ("█" * full + ("▏▎▍▌▋▊▉"[part - 1] if part else "")).ljust(width, "·")


def short(text: str, width: int) -> str:
    """The text on one line, cut with a sign that it was cut."""
    line = " ".join(text.split())
    return line if len(line) <= width else line[: max(1, width - 1)].rstrip() + "…"
