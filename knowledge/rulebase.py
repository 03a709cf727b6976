"""Load the rules, cross-check them, and lay a coach's own rules over the shipped ones.

A rule file is a YAML mapping from a plural kind (``faults``, ``causes``, …) to a list of entries.
In an own folder an entry may carry ``lay``: ``add`` (the default), ``extend``, ``replace`` or ``hide``.
"""

from __future__ import annotations

import re
from collections.abc import Iterator, Mapping
from dataclasses import dataclass, field
from functools import cached_property
from pathlib import Path
from typing import Any, TypeVar

from pydantic import ValidationError
from rapidfuzz import process

from knowledge import rulecache
from knowledge.crosscheck import Where, cross_check
from knowledge.entries import (
    KINDS,
    Cause,
    Caution,
    Check,
    Checkpoint,
    Dilemma,
    Drill,
    Entry,
    Fault,
    Ruling,
    Source,
    Term,
)
from knowledge.yamlfile import MAX_BYTES, Located, Problem, read_yaml

RULES = Path(__file__).parent / "rules"
PLURALS = {f"{kind}s": kind for kind in KINDS}
_NUMBER = re.compile(r"\d")
E = TypeVar("E", bound=Entry)


class RulesError(Exception):
    """The rule base has problems; ``problems`` names file, line, entry and mend for each."""

    def __init__(self, problems: list[Problem]) -> None:
        super().__init__("\n".join(map(str, problems)))
        self.problems = problems


@dataclass(frozen=True)
class RuleBase:
    """Every entry by id, in file order."""

    entries: Mapping[str, Entry]
    folders: tuple[Path, ...] = field(default=(RULES,), compare=False)

    def of(self, kind: type[E]) -> dict[str, E]:
        """All entries of one kind by id."""
        return {id_: entry for id_, entry in self.entries.items() if isinstance(entry, kind)}

    @cached_property
    def faults(self) -> dict[str, Fault]:
        return self.of(Fault)

    @cached_property
    def causes(self) -> dict[str, Cause]:
        return self.of(Cause)

    @cached_property
    def checks(self) -> dict[str, Check]:
        return self.of(Check)

    @cached_property
    def drills(self) -> dict[str, Drill]:
        return self.of(Drill)

    @cached_property
    def checkpoints(self) -> dict[str, Checkpoint]:
        return self.of(Checkpoint)

    @cached_property
    def dilemmas(self) -> dict[str, Dilemma]:
        return self.of(Dilemma)

    @cached_property
    def rulings(self) -> dict[str, Ruling]:
        return self.of(Ruling)

    @cached_property
    def terms(self) -> dict[str, Term]:
        return self.of(Term)

    @cached_property
    def cautions(self) -> dict[str, Caution]:
        return self.of(Caution)

    @cached_property
    def sources(self) -> dict[str, Source]:
        return self.of(Source)


def kind_of(entry: Entry) -> str:
    """The kind's word: fault, cause, check …"""
    return type(entry).__name__.lower()


def title_of(entry: Entry) -> str:
    """What a list shows for an entry."""
    for name in ("name", "question", "term", "quantity", "title"):
        title = getattr(entry, name, None)
        if title:
            return str(title)
    return entry.id


def rule_files(folder: Path) -> list[Path]:
    """Every .yaml or .yml file below the folder, in a fixed order."""
    return sorted(path for path in folder.rglob("*") if path.suffix in (".yaml", ".yml") and path.is_file())


def load_rules(own: Path | None = None, shipped: Path = RULES, cache: Path | None = None) -> RuleBase:
    """The shipped rules with the own folder laid over them.

    cache: where the compiled rules are kept; None for the platform's cache folder.
    Raises: RulesError with every problem found, each with file, line, entry and mend.
    """
    cache = cache or rulecache.cache_folder()
    key = _key_of(own, shipped)
    kept = rulecache.load(cache, key) if key else None
    if kept is not None:
        return RuleBase(kept, _folders(own, shipped))
    base, problems = read_rules(own, shipped)
    if problems:
        raise RulesError(problems)
    if key:
        rulecache.save(cache, key, base.entries)
    return base


def _key_of(own: Path | None, shipped: Path) -> str | None:
    """The cache key; None when something cannot be read or a folder is empty: read_rules explains."""
    folders = [(folder, rule_files(folder), folder is own) for folder in _folders(own, shipped)]
    try:
        if not all(
            files and all(path.stat().st_size <= MAX_BYTES for path in files) for _, files, _ in folders
        ):
            return None
        return rulecache.content_key(folders)
    except OSError:
        return None


def _folders(own: Path | None, shipped: Path) -> tuple[Path, ...]:
    return (shipped,) if own is None else (shipped, own)


def read_rules(own: Path | None = None, shipped: Path = RULES) -> tuple[RuleBase, list[Problem]]:
    """What could be read, and every problem found on the way."""
    problems: list[Problem] = []
    raw: dict[str, _Raw] = {}
    for folder, is_own in ((shipped, False), (own, True)):
        if folder is None:
            continue
        if not folder.is_dir():
            problems.append(
                Problem(str(folder), 1, "", "is not a folder", "Name a folder of .yaml rule files.")
            )
            continue
        files = rule_files(folder)
        if not files:
            problems.append(
                Problem(str(folder), 1, "", "holds no .yaml file", "Write one: plainball rules new fault.")
            )
        for path in files:
            for found in _raw_entries(path, path.relative_to(folder.parent).as_posix(), is_own):
                if isinstance(found, Problem):
                    problems.append(found)
                else:
                    problems.extend(_lay(found, raw))
    entries: dict[str, Entry] = {}
    where: dict[str, Where] = {}
    for id_, item in raw.items():
        entry = _build(item)
        if isinstance(entry, list):
            problems.extend(entry)
        else:
            entries[id_] = entry
            where[id_] = Where(item.file, item.lines)
    problems.extend(cross_check(entries, where))
    return RuleBase(entries, _folders(own, shipped)), problems


@dataclass(frozen=True)
class _Raw:
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


def _raw_entries(path: Path, shown: str, own: bool) -> Iterator[_Raw | Problem]:
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
) -> Iterator[_Raw | Problem]:
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
        yield _Raw(PLURALS[plural], item["id"], value, lay, own, shown, lines)


def _lay(new: _Raw, raw: dict[str, _Raw]) -> list[Problem]:
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
        raw[new.id] = _Raw(new.kind, new.id, merged, new.lay, True, new.file, new.lines)
    return []


def _build(item: _Raw) -> Entry | list[Problem]:
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


def _explain(item: _Raw, detail: Any) -> Problem:
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
