"""Rule files: their entries as written, own ones laid over shipped ones, and what is wrong with each.

A rule file is a YAML mapping from a plural kind (``faults``, ``causes``, …) to a list of entries.
In an own folder an entry may carry ``lay``: ``add`` (the default), ``extend``, ``replace`` or ``hide``.
"""

from __future__ import annotations

import re
from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from pydantic import ValidationError
from rapidfuzz import process

from knowledge.entries import KINDS, Entry
from knowledge.yamlfile import Located, Problem, read_yaml

PLURALS = {f"{kind}s": kind for kind in KINDS}
_NUMBER = re.compile(r"\d")


@dataclass(frozen=True)
class RawEntry:
    """One entry as its file has it. lay: how it goes over one of the same id; lines: the line of each path in it."""

    kind: str
    id: str
    value: dict[str, Any]
    lay: str
    own: bool
    file: str
    lines: dict[tuple[str | int, ...], int]

    @property
    def line(self) -> int:
        return self.lines.get((), 1)


def raw_entries(path: Path, shown: str, own: bool) -> Iterator[RawEntry | Problem]:
    """The entries of one file, shown under this name in problems."""
    located = read_yaml(path, shown)
    if isinstance(located, Problem):
        yield located
        return
    if located.value is None:
        yield Problem(shown, 1, "", "the file is empty", "Write at least one entry, or remove the file.")
        return
    if not isinstance(located.value, dict):
        yield Problem(
            shown, 1, "", "the file is no mapping of kinds", f"Begin with one of: {', '.join(PLURALS)}."
        )
        return
    for plural, items in located.value.items():
        line = located.lines.get((plural,), 1)
        if plural not in PLURALS:
            yield Problem(shown, line, "", f"unknown kind {plural!r}", _did_you_mean(plural, list(PLURALS)))
        elif not isinstance(items, list):
            yield Problem(shown, line, "", f"{plural!r} is no list", "Write each entry as '- id: …'.")
        else:
            yield from _listed(located, plural, items, shown, own)


def _listed(
    located: Located, plural: str, items: list[Any], shown: str, own: bool
) -> Iterator[RawEntry | Problem]:
    within: dict[str | int, dict[tuple[str | int, ...], int]] = {}
    for path, at in located.lines.items():
        if len(path) > 1 and path[0] == plural:
            within.setdefault(path[1], {})[path[2:]] = at
    for number, item in enumerate(items):
        line = located.lines.get((plural, number), 1)
        if not isinstance(item, dict) or not isinstance(item.get("id"), str):
            yield Problem(shown, line, "", "an entry without an id", "Give it 'id: area.name' in lower case.")
            continue
        lines = within.get(number, {})
        value = dict(item)
        lay = str(value.pop("lay", "add"))
        if "own" in value:
            yield Problem(shown, line, item["id"], "'own' is set by the program", "Remove the key.")
            continue
        if lay not in ("add", "extend", "replace", "hide") or (lay != "add" and not own):
            yield Problem(
                shown,
                line,
                item["id"],
                f"lay: {lay!r} is not possible here",
                "Use add, extend, replace or hide, in an own folder.",
            )
            continue
        yield RawEntry(PLURALS[plural], item["id"], value, lay, own, shown, lines)


def lay_over(new: RawEntry, raw: dict[str, RawEntry]) -> list[Problem]:
    """Add, extend, replace or hide in ``raw`` as the entry says."""
    old = raw.get(new.id)
    if new.lay == "add":
        if old is not None:
            mend = f"It stands in {old.file}:{old.line} too. Use another id, or lay: extend or replace."
            return [Problem(new.file, new.line, new.id, "the id stands twice", mend)]
        raw[new.id] = new
        return []
    if old is None or old.kind != new.kind:
        mend = _did_you_mean(new.id, [id_ for id_, item in raw.items() if item.kind == new.kind])
        return [Problem(new.file, new.line, new.id, f"there is no {new.kind} of this id to {new.lay}", mend)]
    if new.lay == "hide":
        del raw[new.id]
    elif new.lay == "replace":
        raw[new.id] = new
    else:
        merged = {**old.value}
        for key, value in new.value.items():
            before = merged.get(key)
            if isinstance(before, list) and isinstance(value, list):
                merged[key] = before + [part for part in value if part not in before]
            elif isinstance(before, dict) and isinstance(value, dict):
                merged[key] = {**before, **value}
            else:
                merged[key] = value
        raw[new.id] = RawEntry(new.kind, new.id, merged, new.lay, True, new.file, new.lines)
    return []


def build(item: RawEntry) -> Entry | list[Problem]:
    """The checked entry, or everything wrong with it."""
    try:
        entry = KINDS[item.kind].model_validate({**item.value, "own": item.own})
    except ValidationError as error:
        return [_explain(item, detail) for detail in error.errors()]
    if not entry.source and item.kind != "source" and _states_number(item.value):
        mend = 'Add source: a source id, "common practice, no source" or "from memory".'
        return [Problem(item.file, item.line, item.id, "states a number without a source", mend)]
    return entry


def _states_number(value: Any) -> bool:
    if isinstance(value, dict):
        return any(_states_number(part) for key, part in value.items() if key not in ("id", "says"))
    if isinstance(value, list):
        return any(map(_states_number, value))
    if isinstance(value, str):
        return bool(_NUMBER.search(value))
    return isinstance(value, int | float) and not isinstance(value, bool)


def _explain(item: RawEntry, detail: Any) -> Problem:
    path = tuple(part for part in detail["loc"] if isinstance(part, str | int) and part != "[key]")
    line = next(
        (item.lines[path[:end]] for end in range(len(path), -1, -1) if path[:end] in item.lines), item.line
    )
    place = ".".join(map(str, path)) or "entry"
    if detail["type"] == "extra_forbidden":
        return Problem(
            item.file,
            line,
            item.id,
            f"unknown key {place!r}",
            _did_you_mean(str(path[-1]), list(KINDS[item.kind].model_fields)),
        )
    if detail["type"] == "missing":
        return Problem(
            item.file, line, item.id, f"{place!r} is missing", f"Add '{path[-1]}: …' to the entry."
        )
    shown = repr(detail.get("input"))
    shown = shown if len(shown) <= 60 else shown[:57] + "…"
    return Problem(
        item.file,
        line,
        item.id,
        f"{place}: {detail['msg'].lower()} (found {shown})",
        "See DEVELOPERS.md, rule base format, for the key's form.",
    )


def _did_you_mean(word: str, choices: list[str]) -> str:
    best = process.extractOne(word, choices, score_cutoff=60)
    return f"Did you mean {best[0]}?" if best else f"Use one of: {', '.join(choices[:12])}."
