"""Load the rules, cross-check them, and lay a coach's own rules over the shipped ones."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from functools import cached_property
from pathlib import Path
from typing import TypeVar

from knowledge import rulecache
from knowledge.crosscheck import Where, cross_check
from knowledge.entries import (
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
from knowledge.rulefiles import RawEntry, build, lay_over, raw_entries
from knowledge.yamlfile import MAX_BYTES, Problem

RULES = Path(__file__).parent / "rules"
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
    raw: dict[str, RawEntry] = {}
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
            for found in raw_entries(path, path.relative_to(folder.parent).as_posix(), is_own):
                if isinstance(found, Problem):
                    problems.append(found)
                else:
                    problems.extend(lay_over(found, raw))
    entries: dict[str, Entry] = {}
    where: dict[str, Where] = {}
    for id_, item in raw.items():
        entry = build(item)
        if isinstance(entry, list):
            problems.extend(entry)
        else:
            entries[id_] = entry
            where[id_] = Where(item.file, item.lines)
    problems.extend(cross_check(entries, where))
    return RuleBase(entries, _folders(own, shipped)), problems
